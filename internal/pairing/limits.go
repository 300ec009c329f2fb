package pairing

import (
	"fmt"
	"sync"
	"time"

	"golang.org/x/time/rate"

	"brinebell/internal/fail"
)

// Tries at codes: ten at once from one address, then one in 30 s; sixty at once from all together, then one a second.
const (
	triesEach    = 10
	triesAll     = 60
	addressesMax = 1024
)

// limits counts tries at codes.
type limits struct {
	mu   sync.Mutex
	all  *rate.Limiter
	each map[string]*rate.Limiter
}

func newLimits() *limits {
	return &limits{all: rate.NewLimiter(rate.Every(time.Second), triesAll), each: map[string]*rate.Limiter{}}
}

// take counts a try from an address and returns how long it must wait, 0 if it may go on.
func (l *limits) take(from string, now int64) time.Duration {
	l.mu.Lock()
	defer l.mu.Unlock()
	at := time.UnixMilli(now)
	own := l.own(from, at)
	if !own.AllowN(at, 1) {
		return wait(own, at)
	}
	if !l.all.AllowN(at, 1) {
		return wait(l.all, at)
	}
	return 0
}

// right forgets the wrong tries from an address, once a code from there was right: a lead who lets in a dozen phones is
// not guessing.
func (l *limits) right(from string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	delete(l.each, from)
}

// own finds the limiter of an address. When too many are known, those that are full again are forgotten; they would
// start full anyway.
func (l *limits) own(from string, at time.Time) *rate.Limiter {
	if r := l.each[from]; r != nil {
		return r
	}
	if len(l.each) >= addressesMax {
		for k, r := range l.each {
			if r.TokensAt(at) >= triesEach {
				delete(l.each, k)
			}
		}
	}
	if len(l.each) >= addressesMax {
		return l.all // a flood from everywhere: all share the common limit
	}
	r := rate.NewLimiter(rate.Every(30*time.Second), triesEach)
	l.each[from] = r
	return r
}

// wait is how long it takes until a limiter lets the next one through.
func wait(r *rate.Limiter, at time.Time) time.Duration {
	lacks := 1 - r.TokensAt(at)
	return max(time.Second, time.Duration(lacks/float64(r.Limit())*float64(time.Second)))
}

func tooOften(op string, wait time.Duration) error {
	return fail.E(op, fail.Busy, fmt.Sprintf(
		"Too many tries at a code. Wait %d seconds, then try again with a code from the lead.", int(wait.Seconds()+0.999)), nil)
}

func countSentence(n int) string {
	return fmt.Sprintf("This name has %d characters; a device's name has at most %d. Shorten it.", n, NameMax)
}

// RetryAfter is when another try makes sense to whoever was told to wait.
const RetryAfter = 30 * time.Second
