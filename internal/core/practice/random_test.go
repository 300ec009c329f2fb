package practice

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/words"
)

type object = map[string]any

func say(s string) object { return object{"en": s, "es": s + " (es)"} }

func iso(s stamp.Span) string { return fmt.Sprintf("PT%dS", s/stamp.Second) }

// spans draws a window; short ones for what lies in hot oil.
func spans(t *rapid.T, name string, short bool) object {
	units := []stamp.Span{stamp.Minute, 7 * stamp.Minute, stamp.Hour}
	if short {
		units = []stamp.Span{30 * stamp.Second, stamp.Minute}
	}
	unit := rapid.SampledFrom(units).Draw(t, name+" unit")
	gap := func() stamp.Span { return unit * stamp.Span(rapid.IntRange(1, 6).Draw(t, name)) }
	floor := gap()
	from := floor + gap()
	until := from + gap()
	w := object{"patience": "PT1M", "ceiling": iso(until + gap())}
	switch rapid.IntRange(0, 3).Draw(t, name+" marks") {
	case 0:
		w["floor"] = iso(floor)
	case 1:
		w["floor"], w["best"] = iso(floor), object{"from": iso(from), "until": iso(until)}
	case 2:
		w["best"] = object{"until": iso(until)}
	}
	for _, flag := range []string{"hard", "hardFloor", "critical"} {
		if rapid.IntRange(0, 3).Draw(t, flag) == 3 && (flag != "hardFloor" || w["floor"] != nil) {
			w[flag] = true
		}
	}
	return w
}

func bounds(t *rapid.T, least, most bool, around int, unit string) object {
	l := object{"source": say("The house's own rule.")}
	at := around + rapid.IntRange(-20, 20).Draw(t, "around")
	if least {
		l["min"] = fmt.Sprintf("%d %s", at, unit)
	}
	if most {
		l["max"] = fmt.Sprintf("%d %s", at+rapid.IntRange(4, 12).Draw(t, "wide"), unit)
	}
	for _, flag := range []string{"hard", "critical"} {
		if rapid.IntRange(0, 3).Draw(t, flag) == 3 {
			l[flag] = true
		}
	}
	return l
}

// steps draws some of the steps that a stage may have.
func steps(t *rapid.T, menu ...object) []object {
	var list []object
	for i, s := range menu {
		if rapid.IntRange(0, 4).Draw(t, "step?") > 0 {
			s["name"] = fmt.Sprintf("s%d", i)
			if s["text"] == nil {
				s["text"] = say(fmt.Sprintf("Step %d", i))
			}
			if s["kind"] != "read" && rapid.Bool().Draw(t, "critical?") {
				s["critical"] = true
			}
			list = append(list, s)
		}
	}
	return list
}

func warning(hazard string) object {
	return object{"hazards": []string{hazard}, "title": say("Mind"), "lines": []object{say("Mind it.")}}
}

// randomKitchen draws a kitchen with one procedure: each valid, none like another.
func randomKitchen(t *rapid.T) []entry.Document {
	warmth := rapid.SampledFrom([]string{"Cel", "[degF]"}).Draw(t, "unit")
	pressure := rapid.Bool().Draw(t, "pressure")
	stage := func(name, kind, vessel, equipment string, short bool, rest object) object {
		s := object{"name": name, "kind": kind, "vessel": vessel, "title": say(name), "act": say("Begin " + name), "doing": say(name),
			"window": spans(t, name, short), "caution": object{"hazards": []string{"hot oil", "pressure", "raw poultry", "allergens"}, "title": say("Mind"), "lines": []object{say("Mind it.")}}}
		if equipment != "" {
			s["equipment"] = equipment
		}
		if s["window"].(object)["hard"] == nil && rapid.Bool().Draw(t, "override") {
			s["override"] = true
		}
		for k, v := range rest {
			if list, ok := v.([]object); !ok || len(list) > 0 {
				s[k] = v
			}
		}
		return s
	}
	read := func(least, most bool, around int) object {
		return object{"kind": "read", "unit": warmth, "critical": true, "ifNot": say("Call the lead."), "limit": bounds(t, least, most, around, warmth)}
	}
	ask := func() object { return object{"kind": "ask", "ifNot": say("Mend it.")} }
	var stages []object
	maybe := func(s object) {
		if rapid.IntRange(0, 3).Draw(t, "stage?") > 0 {
			stages = append(stages, s)
		}
	}
	maybe(stage("mix", "work", "tub", "", false, object{"raw": true, "steps": steps(t, read(false, true, 30), object{"kind": "do"}, ask())}))
	maybe(stage("soak", "wait", "tub", "cold room", false, object{"raw": true, "mark": object{"use": say("use by")}}))
	maybe(stage("drain", "wait", "tub", "cold room", false, object{"raw": true, "steps": steps(t, ask())}))
	maybe(stage("coat", "work", "pan", "", false, object{"raw": true, "enter": object{"most": "9 kg", "weighed": true}, "steps": steps(t, object{"kind": "do"}, ask())}))
	maybe(stage("set", "wait", "pan", "cold room", false, object{"raw": true}))
	wet := ask()
	wet["caution"] = warning("hot oil")
	stages = append(stages, stage("load", "work", "load", "fryer", true, object{"raw": true,
		"enter": object{"part": true, "most": "7.5 kg", "pieces": rapid.IntRange(8, 60).Draw(t, "basket"), "weighed": true},
		"steps": steps(t, object{"kind": "do"}, read(true, true, 160), wet, object{"kind": "do"})}))
	stages = append(stages, stage("cook", "wait", "load", "fryer", true, object{"pressure": pressure}))
	maybe(stage("release", "work", "load", "fryer", true, object{"pressure": pressure,
		"steps": steps(t, object{"kind": "do", "caution": warning("pressure")}, ask(), read(true, false, 75))}))
	maybe(stage("stand", "wait", "tray", "", true, object{"enter": object{"pieces": 24, "counted": true}, "steps": steps(t, ask())}))
	stages = append(stages, stage("hold", "hold", "tray", "hold cabinet", false, object{"mark": object{"use": say("serve by")}, "enter": object{"pieces": 24, "counted": true}}))
	for i, s := range stages {
		if i == 0 || stages[i-1]["vessel"] == s["vessel"] {
			delete(s, "enter")
		} else if s["enter"] == nil {
			s["enter"] = object{"most": "9 kg"}
		}
	}
	doc := object{"format": "brinebell procedure 1", "name": "p", "version": 1, "title": say("Thing"), "item": say("thing"),
		"piece": "150 g", "counted": "pieces", "stages": stages, "reasons": []object{say("Past its limit")}}
	if rapid.Bool().Draw(t, "allergens?") {
		doc["allergens"] = say("Wheat")
	}
	if stages[0]["vessel"] == "tub" && rapid.Bool().Draw(t, "mix?") {
		doc["mix"] = object{"meatPerWater": "1.5 kg/L", "tub": fmt.Sprintf("%d kg", rapid.IntRange(1, 30).Draw(t, "tub")), "concentratePerWater": "60 mL/L"}
	}
	if rapid.Bool().Draw(t, "receiving?") {
		w := bounds(t, false, true, 30, warmth)
		w["unit"] = warmth
		doc["receiving"] = object{"warmth": w}
	}
	return []entry.Document{document(t, "procedure", "p", doc), document(t, "equipment", "kitchen", randomEquipment(t, warmth)), document(t, "list", "opening", randomList(t))}
}

func randomEquipment(t *rapid.T, warmth string) object {
	reading := func(least, most bool, around int) object {
		r := bounds(t, least, most, around, warmth)
		delete(r, "critical")
		r["what"], r["unit"] = say("air"), warmth
		r["every"] = "PT2H"
		if rapid.Bool().Draw(t, "checked") {
			r["checked"] = true
		}
		return r
	}
	var devices []object
	for i := range rapid.IntRange(1, 3).Draw(t, "fryers") {
		devices = append(devices, object{"name": fmt.Sprintf("fryer-%d", i+1), "kind": "fryer", "title": say(fmt.Sprintf("Fryer %d", i+1)), "single": true,
			"most": "8 kg", "pieces": rapid.IntRange(8, 60).Draw(t, "holds"), "between": "PT2M", "reading": reading(true, true, 160)})
	}
	devices = append(devices, object{"name": "cold-room", "kind": "cold room", "title": say("Cold room"), "reading": reading(false, true, 30)},
		object{"name": "cabinet", "kind": "hold cabinet", "title": say("Cabinet"), "reading": reading(true, false, 70)})
	eq := object{"format": "brinebell equipment 1", "name": "kitchen", "version": 1, "devices": devices}
	if rapid.Bool().Draw(t, "probes?") {
		eq["probes"] = []object{{"name": "probe-1", "title": say("Probe 1"), "unit": warmth}, {"name": "probe-2", "title": say("Probe 2"), "unit": "Cel"}}
	}
	return eq
}

func randomList(t *rapid.T) object {
	return object{"format": "brinebell list 1", "name": "opening", "version": 1, "title": say("Opening"), "opens": "04:00",
		"due": fmt.Sprintf("%02d:15", rapid.IntRange(5, 23).Draw(t, "due")), "patience": "PT10M",
		"steps": []object{{"name": "a", "kind": "do", "text": say("A"), "critical": true}, {"name": "b", "kind": "ask", "text": say("B"), "ifNot": say("No.")},
			{"name": "c", "kind": "sign", "text": say("C"), "role": "lead"}}}
}

func document(t *rapid.T, what, name string, o object) entry.Document {
	text, err := json.Marshal(o)
	require.NoError(t, err)
	_, faults := procedure.Parse(text)
	require.Empty(t, faults, string(text))
	return entry.Document{What: what, Name: name, Version: 1, Text: string(text)}
}

// TestRandomKitchens holds for a thousand random kitchens what must hold of every night: the costs of answers are what the core says
// of their entries, no refusal is kept quiet, exactly the right answers leave no harm, and every text has its numbers.
func TestRandomKitchens(t *testing.T) {
	seen := map[string]int{}
	for range 10 { // of a hundred random kitchens each
		rapid.Check(t, func(t *rapid.T) {
			from := kitchenOf(t, randomKitchen(t))
			rungs := Rungs(from, "p")
			rung := rungs[rapid.IntRange(0, len(rungs)-1).Draw(t, "rung")]
			l := rapid.SampledFrom(words.Langs()).Draw(t, "lang")
			n := watched(t, from, rapid.Uint64().Draw(t, "seed"), rung, l, func(_ *Trouble, k *kind) int {
				return rapid.IntRange(-1, len(k.answers)-1).Draw(t, "answer")
			}, seen)
			folded(t, n)
			passing(t, n)
		})
	}
	kinds := map[string]bool{}
	for key := range seen {
		kinds[key[:slices.Index([]byte(key), '/')]] = true
	}
	require.GreaterOrEqual(t, len(kinds), len(troubles)*9/10, "kinds that came up: %v", kinds)
}

// folded holds that the night's state is what its entries say, in whatever order they come.
func folded(t require.TestingT, n *Night) {
	plain := kitchen.New()
	for i := range n.entries {
		plain.Apply(&n.entries[i], kitchen.Amended{})
	}
	require.Equal(t, plain.Append(nil), n.s.Append(nil))
	require.True(t, slices.IsSortedFunc(n.entries, func(a, b entry.Entry) int { return entry.Compare(&a, &b) }), "entries are in the journal's order")
	log := new(journal.Log)
	for i := len(n.entries) - 1; i >= 0; i-- {
		e := &n.entries[i]
		_, err := log.Add(journal.Numbered{Seq: uint64(i + 1), Record: entry.AppendRecord(nil, e)})
		require.NoError(t, err)
	}
	require.Equal(t, plain.Append(nil), log.Bytes())
}

// passing holds what a debrief adds up to, and that nobody passes who hurt somebody.
func passing(t require.TestingT, n *Night) {
	d := n.Debrief()
	require.Equal(t, len(d.Line), d.Troubles)
	require.Equal(t, d.Troubles, d.Right+d.Wrong)
	require.LessOrEqual(t, d.Troubles, n.rung.Troubles)
	var grams, pieces int64
	var lost stamp.Span
	hurts := 0
	for _, m := range d.Line {
		grams, pieces, lost = grams+m.Grams, pieces+m.Pieces, lost+m.Lost
		if m.Hurt {
			hurts++
		}
	}
	require.Equal(t, []any{grams, pieces, lost, hurts}, []any{d.Grams, d.Pieces, d.Lost, d.Hurts})
	if d.Hurts > 0 || d.Troubles == 0 || d.Right*100 < d.Troubles*n.rung.Mark {
		require.False(t, d.Passed)
	} else {
		require.True(t, d.Passed)
	}
	if d.Wrong == 0 {
		require.Equal(t, -1, d.Worst)
		return
	}
	worst := d.Line[d.Worst]
	require.NotEqual(t, Right, worst.Grade)
	require.Equal(t, d.Hurts > 0, worst.Hurt, "what hurt somebody comes first")
	require.NotEmpty(t, worst.Better)
}
