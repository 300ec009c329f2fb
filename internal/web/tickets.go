package web

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"sync"
	"time"

	"brinebell/internal/fail"
)

// Limits of tickets: how long one opens what it was given for, and how many may be open at a time.
const (
	ticketLives     = time.Minute
	ticketsOfDevice = 8
	ticketsMost     = 512
)

// holder is the device that a ticket was given to, with the key that it showed.
type holder struct{ id, key string }

// tickets are links that open one file once. Only their hashes are held, and only in memory.
type tickets struct {
	mu   sync.Mutex
	open map[[sha256.Size]byte]ticket
}

type ticket struct {
	to      holder
	address string
	until   time.Time
}

// give makes a ticket for one address.
func (t *tickets) give(to holder, address string, now time.Time) (string, error) {
	b := make([]byte, 24)
	_, _ = rand.Read(b) // never fails: documented by crypto/rand
	word := hex.EncodeToString(b)
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.open == nil {
		t.open = map[[sha256.Size]byte]ticket{}
	}
	of := 0
	for k, v := range t.open {
		if !now.Before(v.until) {
			delete(t.open, k)
		} else if v.to.id == to.id {
			of++
		}
	}
	if of >= ticketsOfDevice || len(t.open) >= ticketsMost {
		return "", fail.E("web.tickets", fail.Busy, "Too many files were asked for and not fetched. Wait a minute, then tap again.", nil)
	}
	t.open[sha256.Sum256([]byte(word))] = ticket{to, address, now.Add(ticketLives)}
	return word, nil
}

// redeem takes a ticket in. It opens nothing a second time, even if it was shown for the wrong address.
func (t *tickets) redeem(word, address string, now time.Time) (holder, bool) {
	key := sha256.Sum256([]byte(word))
	t.mu.Lock()
	defer t.mu.Unlock()
	v, ok := t.open[key]
	delete(t.open, key)
	return v.to, ok && v.address == address && now.Before(v.until)
}
