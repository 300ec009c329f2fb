package core_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// signsAl is a sign-off of Al by Bo, on Bo's own phone, with a PIN.
func signsAl(pin string) string {
	return `{"do":"sign-off","crew":"al","what":"procedure","name":"wedges","competence":"fryer","answer":"experience","reason":"years","pin":"` + pin + `"}`
}

// refusal is what the page is told by the last screen that was drawn.
func (p *phone) refusal() string {
	last := string(p.draws[len(p.draws)-1].JSON)
	_, after, found := strings.Cut(last, `"refusal":{"title":"`)
	if !found {
		return ""
	}
	title, _, _ := strings.Cut(after, `"`)
	return title
}

// TestAPinStaysInTheDoor: no PIN, right or wrong, is in what a phone keeps, sends or draws; wrong ones are counted, make one
// wait, and are not forgotten by a restart; the right one ends that.
func TestAPinStaysInTheDoor(t *testing.T) {
	b := newBench(t)
	b.furnish()
	bo := b.phone("bo-phone")
	bo.dial()
	look := func() { bo.step(core.Input{Op: core.OpLook, View: "page", Path: "/crew/al", Lang: "en"}) }
	look()
	everything := func() string {
		all := string(core.AppendStored(nil, &bo.stored))
		for _, d := range bo.draws {
			all += string(d.JSON)
		}
		for n, err := range b.keeper.Since(0) {
			require.NoError(t, err)
			all += string(n.Record)
			e, err := entry.ReadRecord(n.Record)
			require.NoError(t, err)
			all += string(e.AppendJSON(nil))
		}
		return all + strings.Join(b.notes, "\n")
	}
	bo.tap(`{"do":"pin","pin":"27497","again":"27497"}`)
	b.flow()
	require.NotNil(t, b.server.State().PinOf("bo"))
	for i := range 3 {
		bo.tap(signsAl("61835"))
		require.Contains(t, bo.refusal(), "no es el PIN", "%d", i)
	}
	bo.tap(signsAl("27497"))
	require.Contains(t, bo.refusal(), "Demasiados PIN", "the right one waits too")
	bo.hang()
	bo.boot()
	look()
	bo.dial()
	b.pass(25*stamp.Second, stamp.Second)
	bo.tap(signsAl("27497"))
	require.Contains(t, bo.refusal(), "Demasiados PIN", "a restart forgets nothing")
	b.pass(6*stamp.Second, stamp.Second)
	bo.tap(signsAl("27497"))
	require.Empty(t, bo.refusal())
	b.flow()
	x := b.server.State().Standing("al", kitchen.WhatProcedure, "wedges", "fryer", bo.core.Now())
	require.True(t, x.Signed)
	require.Equal(t, "years", x.Sign.Reason)
	bo.tap(signsAl("61835"))
	require.Contains(t, bo.refusal(), "no es el PIN", "counted from nothing again")
	bo.tap(`{"do":"pin","oldPin":"27497","pin":"40952","again":"40953"}`)
	require.Contains(t, bo.refusal(), "distintos")
	all := everything()
	for _, pin := range []string{"27497", "61835", "40952", "40953"} {
		require.NotContains(t, all, pin)
	}
	b.same()
}
