package simulation

import (
	"bytes"
	"maps"
	"slices"
	"strings"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/stamp"
)

// Rest ends all trouble, lets the kitchen come to rest, and checks what must hold then.
func (k *Kitchen) Rest() error {
	k.calm = true
	k.settleAll()
	if err := k.Run(3 * stamp.Minute); err != nil {
		return err
	}
	k.check()
	k.calm = false
	return k.failure
}

// settleAll puts right whatever is down, silent or revoked.
func (k *Kitchen) settleAll() {
	k.server.room()
	for _, p := range k.phones {
		p.room()
		p.barred, p.slowUntil = false, 0
		if k.server.revoked[p.name] {
			k.server.pair(p)
		}
		p.revive()
		p.wake()
		p.dial()
		p.silence() // whoever is silent is found out, as in life
	}
}

// check checks what must hold at rest.
func (k *Kitchen) check() {
	k.checkKept()
	want := k.server.core.StateBytes()
	if plain := k.plain(); plain != nil && !bytes.Equal(plain, want) {
		k.fail("the server's state is not that of its journal")
	}
	for _, p := range k.phones {
		switch {
		case !p.up || p.frozen:
			k.fail("%s is not awake at rest", p.name)
			return
		case p.link == nil:
			k.fail("%s has not found the kitchen again", p.name)
		case !bytes.Equal(want, p.core.StateBytes()):
			k.fail("%s holds another state than the server", p.name)
		}
		for id, n := range p.shelf.records {
			if n.Seq == 0 && !k.isAside(id) {
				k.fail("%s still waits for the kitchen to keep %s", p.name, id)
			}
		}
	}
}

// checkKept checks that all that was durable on a phone is in the kitchen's journal once, or set aside. After the loss
// of a whole journal, what phones had folded into their base is there as state, and not as entries any more.
func (k *Kitchen) checkKept() {
	s := k.server
	list, err := entries(s.keeper)
	if err != nil {
		k.fail("the journal cannot be read: %v", err)
	}
	kept := map[entry.ID]bool{}
	for i := range list {
		kept[list[i].ID()] = true
	}
	if len(kept) != len(list) {
		k.fail("the journal has %d entries with %d ids", len(list), len(kept))
	}
	k.verify()
	if k.Events["empty"] > 0 {
		return
	}
	for _, id := range slices.SortedFunc(maps.Keys(k.seen), entry.ID.Compare) {
		if !kept[id] && !k.isAside(id) {
			k.fail("%s was durable on a phone and is not in the journal", id)
			return
		}
	}
}

// heed looks at what a core notes: that states differ after the same entries, or that something held cannot be read,
// must never come of anything that happens here.
func (k *Kitchen) heed(who string, notes []string) {
	for _, n := range notes {
		for _, bad := range []string{"another state after", "state differs", "did not hold", "cannot be read", "no history"} {
			if strings.Contains(n, bad) {
				k.fail("%s notes: %s", who, n)
			}
		}
	}
}

func (k *Kitchen) isAside(id entry.ID) bool {
	list, err := k.server.keeper.Aside()
	if err != nil {
		k.fail("what was set aside cannot be read: %v", err)
	}
	return slices.ContainsFunc(list, func(a journal.Aside) bool {
		return len(a.Record) > 17 && entry.ID(a.Record[1:17]) == id
	})
}

// plain folds the journal anew from its first entry; nil if it began from a phone's base.
func (k *Kitchen) plain() []byte {
	list, err := entries(k.server.keeper)
	if err != nil {
		k.fail("the journal cannot be read: %v", err)
		return nil
	}
	var l journal.Log
	if rest, err := l.Load(&journal.Stored{Tail: list}); err != nil || len(rest) > 0 {
		k.fail("the journal cannot be folded: %v, %d records left", err, len(rest))
		return nil
	}
	if k.Events["empty"] > 0 {
		return nil // phones may have brought a base
	}
	return l.Bytes()
}

// StateBytes returns the bytes of the server's state.
func (k *Kitchen) StateBytes() []byte { return k.server.core.StateBytes() }
