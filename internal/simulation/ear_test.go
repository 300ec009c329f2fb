package simulation_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/jsontext"
	"brinebell/internal/core/stamp"
	"brinebell/internal/simulation"
)

// bell is a bell of a ring order, as far as these tests change it.
type bell struct {
	key string
	at  int64
}

func read(t *testing.T, ring []byte) (now, book []bell) {
	v, err := jsontext.Read(ring)
	require.NoError(t, err)
	for name, list := range map[string]*[]bell{"now": &now, "book": &book} {
		for _, b := range v.List(name) {
			*list = append(*list, bell{b.Str("key"), b.Int("at")})
		}
	}
	return now, book
}

func write(now, book []bell) []byte {
	var w jsontext.Writer
	w.Object("")
	for i, list := range [][]bell{now, book} {
		w.List([]string{"now", "book"}[i])
		for _, b := range list {
			w.Object("")
			w.Str("key", b.key)
			w.Int("at", b.at)
			w.EndObject()
		}
		w.EndList()
	}
	w.EndObject()
	return w.Out
}

// fault is what a core may do wrong, and what the simulation says then.
type fault struct {
	want   string
	mangle func(now, book []bell) ([]bell, []bell)
}

var noted = map[string]bell{} // what rang once

var faults = map[string]fault{
	"nothing is wrong": {"", func(now, book []bell) ([]bell, []bell) { return now, book }},
	"a dropped ring": {"does not ring", func(now, book []bell) ([]bell, []bell) {
		return now[min(1, len(now)):], nil
	}},
	"a ring that falls silent by itself": {"falls silent on", func(now, book []bell) ([]bell, []bell) {
		if len(now) > 1 {
			now = now[:1]
		}
		return now, book
	}},
	"a doubled ring": {"twice", func(now, book []bell) ([]bell, []bell) {
		return append(now, now...), book
	}},
	"a ring that rings again under its next number, unanswered": {"does not ring in its state", func(now, book []bell) ([]bell, []bell) {
		for _, b := range now {
			now = append(now, bell{strings.TrimSuffix(b.key, "/0") + "/1", b.at})
		}
		return now, book
	}},
	"a ring that becomes its next number, unanswered": {"falls silent on", func(now, book []bell) ([]bell, []bell) {
		for i := range now {
			now[i].key = strings.TrimSuffix(now[i].key, "/0") + "/1"
		}
		return now, book
	}},
	"a ring that goes on after it was answered": {"which is silent by", func(now, book []bell) ([]bell, []bell) {
		for _, b := range now {
			noted[b.key] = b
			delete(noted, strings.TrimSuffix(b.key, "/1")+"/0")
		}
		now = now[:0]
		for _, b := range noted {
			now = append(now, b)
		}
		return now, book
	}},
	"a ring before its time": {"before its instant", func(now, book []bell) ([]bell, []bell) {
		return append(now, book...), nil
	}},
	"a ring after its time": {"does not ring", func(now, book []bell) ([]bell, []bell) {
		now = append(now, book...)
		for i := range now {
			now[i].at += 60_000
		}
		return nil, now
	}},
	"a ring booked for a wrong instant": {"at that instant", func(now, book []bell) ([]bell, []bell) {
		for i := range book {
			book[i].at -= 5000
		}
		return now, book
	}},
}

// TestTheEarHearsWhatIsWrong changes what the core of one phone orders, one fault at a time, and each is found.
func TestTheEarHearsWhatIsWrong(t *testing.T) {
	for name, fault := range faults {
		t.Run(name, func(t *testing.T) {
			clear(noted)
			k := simulation.New(simulation.Options{Seed: 5, Phones: 3})
			k.Mangle(func(phone string, ring []byte) []byte {
				now, book := read(t, ring)
				if phone != "phone-2" {
					return ring
				}
				return write(fault.mangle(now, book))
			})
			err := k.Run(2 * stamp.Hour)
			if fault.want == "" {
				require.NoError(t, err)
				require.Greater(t, k.Events["ring"], 20)
				require.Greater(t, k.Events["ring in step"], 10)
				require.Greater(t, k.Events["listened in touch"], 100)
				return
			}
			require.ErrorContains(t, err, fault.want)
			require.ErrorContains(t, err, "phone-2")
		})
	}
}
