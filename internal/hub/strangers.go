package hub

import (
	"net/netip"
	"slices"
	"sync"
)

// Bounds on lines that have not said hello yet. They are counted apart from the joined ones, so that a crowd of
// strangers takes no place from a device of the kitchen. At a bound the stranger who has waited longest goes: a device
// of the kitchen says hello within a round trip, and is a stranger no longer.
const (
	strangersMax  = 256 // in all
	strangersEach = 16  // from one address, but for this machine's own, behind which a proxy may bring everybody
)

// strangers are the lines that have not said hello yet, oldest first.
type strangers struct {
	mu   sync.Mutex
	list []*line
}

// add takes a line in and returns the one that must go for it, nil if there is room.
func (s *strangers) add(l *line) (goes *line) {
	s.mu.Lock()
	defer s.mu.Unlock()
	from := map[string]int{}
	for _, o := range s.list {
		from[o.from]++
	}
	switch {
	case !isLoopback(l.from) && from[l.from] >= strangersEach:
		goes = s.oldest(l.from)
	case len(s.list) >= strangersMax:
		crowd := l.from
		for _, o := range s.list {
			if from[o.from] > from[crowd] {
				crowd = o.from
			}
		}
		if from[crowd] <= 1 {
			crowd = s.list[0].from
		}
		goes = s.oldest(crowd)
	}
	s.list = append(s.list, l)
	return goes
}

// oldest takes the oldest line from an address out.
func (s *strangers) oldest(from string) *line {
	i := slices.IndexFunc(s.list, func(o *line) bool { return o.from == from })
	l := s.list[i]
	s.list = slices.Delete(s.list, i, i+1)
	return l
}

// leave takes a line out that has said hello, or is gone.
func (s *strangers) leave(l *line) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.list = slices.DeleteFunc(s.list, func(o *line) bool { return o == l })
}

// address is whom a line counts for: its network address, or the household's whole /64 of IPv6.
func address(remote string) string {
	at, err := netip.ParseAddrPort(remote)
	if err != nil {
		return remote
	}
	addr := at.Addr().Unmap().WithZone("")
	if addr.Is6() && !addr.IsLoopback() {
		if p, err := addr.Prefix(64); err == nil {
			return p.String()
		}
	}
	return addr.String()
}

func isLoopback(from string) bool {
	addr, err := netip.ParseAddr(from)
	return err == nil && addr.IsLoopback()
}
