package core_test

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/practice"
)

// pretend is a page that practises: a core of its own, what it drew last, and all that it may not order.
type pretend struct {
	t     *testing.T
	core  *core.Core
	now   int64
	dice  *rand.Rand
	path  string
	drawn map[string]any
	ring  []byte
	clock *core.Clock
	notes []string
}

func practise(t *testing.T, state []byte, night string, seed uint64) *pretend {
	p := &pretend{t: t, core: core.New(core.Config{Device: "practice"}), now: 1_900_000_000_000, dice: rand.New(rand.NewPCG(seed, 3)),
		path: "/practice/night/"}
	p.step(core.Input{Op: core.OpStart, Lang: "en"})
	p.step(core.Input{Op: core.OpNight, Frame: bytes.Clone(state), Tap: []byte(night)})
	p.look(p.path)
	return p
}

func (p *pretend) step(in core.Input) core.Outcome {
	in.Wall, in.Mono = p.now, p.now
	for i := range in.Chance {
		in.Chance[i] = byte(p.dice.Uint32())
	}
	out := p.core.Step(in)
	if in.Op != core.OpStart {
		require.Nil(p.t, out.Change(), "practice keeps nothing")
	}
	require.Empty(p.t, out.Send, "and sends nothing")
	require.Empty(p.t, out.Cut)
	for _, d := range out.Draw {
		p.drawn = nil
		require.NoError(p.t, json.Unmarshal(d.JSON, &p.drawn), "%s", d.JSON)
		require.Equal(p.t, p.path, p.drawn["path"])
		require.NotNil(p.t, p.drawn["practice"], "every screen of practice says that it is one")
	}
	if out.Ring != nil {
		p.ring = out.Ring
	}
	if out.Clock != nil {
		p.clock = out.Clock
	}
	p.notes = append(p.notes, out.Notes...)
	return out
}

func (p *pretend) look(path string) {
	p.path = path
	p.step(core.Input{Op: core.OpLook, View: "v", Path: path})
}

func (p *pretend) tap(command string) {
	p.step(core.Input{Op: core.OpTap, View: "v", Path: p.path, Tap: []byte(command)})
}

// passes lets so many ms of a real clock pass, as a page would step.
func (p *pretend) passes(ms int64) {
	for until := p.now + ms; p.now < until; {
		out := p.step(core.Input{Op: core.OpTick})
		if p.now = min(max(out.Wake, p.now+1), until); out.Wake == 0 {
			p.now = until // its time stands
		}
	}
}

// offers returns the commands and the addresses that the screen offers.
func (p *pretend) offers() (commands, links []string) {
	var visit func(v any)
	visit = func(v any) {
		switch v := v.(type) {
		case []any:
			for _, x := range v {
				visit(x)
			}
		case map[string]any:
			if do, ok := v["do"].(map[string]any); ok {
				if ask, ok := v["ask"].(map[string]any); ok {
					do[ask["name"].(string)] = []any{"3", "so it was"}[min(1, strings.Compare(ask["kind"].(string), "number")&1)]
				}
				text, err := json.Marshal(do)
				require.NoError(p.t, err)
				commands = append(commands, string(text))
			}
			if to, ok := v["to"].(string); ok && strings.HasPrefix(to, "/") {
				links = append(links, to)
			}
			for _, x := range v {
				visit(x)
			}
		}
	}
	visit(p.drawn)
	slices.Sort(commands)
	slices.Sort(links)
	return slices.Compact(commands), slices.Compact(links)
}

// realKitchen is a phone with entries of its own that are not sent, beside a server.
func realKitchen(t *testing.T) *phone {
	b := newBench(t)
	b.furnish()
	anna := b.phone("anna")
	anna.dial()
	anna.tap(`{"do":"crew","crew":"bo"}`)
	b.flow()
	anna.hang()
	anna.tap(`{"do":"timer","name":"rice","span":540000}`)
	anna.note("not sent yet")
	return anna
}

// TestPracticeLeavesTheJournalAlone: a thousand random taps in practice, on whatever its screens offer, order nothing to be
// kept or sent, and what the phone holds stays byte for byte.
func TestPracticeLeavesTheJournalAlone(t *testing.T) {
	anna := realKitchen(t)
	state := anna.core.StateBytes()
	stored := core.AppendStored(nil, &anna.stored)
	p := practise(t, state, `{"do":"page-practice","procedure":"bone-in","name":"night","number":77,"crew":"bo","text":"es"}`, 1)
	require.Empty(t, p.notes)
	done := map[string]int{}
	for range 1000 {
		commands, links := p.offers()
		switch n := p.dice.IntN(10); {
		case n < 7 && len(commands) > 0:
			c := commands[p.dice.IntN(len(commands))]
			var do struct{ Do string }
			require.NoError(t, json.Unmarshal([]byte(c), &do))
			done[do.Do]++
			p.tap(c)
		case n < 9 && len(links) > 0:
			to := links[p.dice.IntN(len(links))]
			require.True(t, strings.HasPrefix(to, "/practice/night/"), "%s leads out of practice into the real kitchen", to)
			p.look(to)
		default:
			p.passes(int64(p.dice.IntN(2000)))
		}
		if p.drawn["kind"] == "missing" {
			p.look("/practice/night/")
		}
	}
	require.Equal(t, state, anna.core.StateBytes())
	require.Equal(t, stored, core.AppendStored(nil, &anna.stored))
	for _, do := range []string{"practice-go", "practice-pace", "practice-reply"} {
		require.Positive(t, done[do], "%v", done)
	}
	require.Greater(t, len(done), 6, "%v", done)
}

// TestANightReadsTheKitchenOnly: a night made of the very state that a real core works with changes nothing in it.
func TestANightReadsTheKitchenOnly(t *testing.T) {
	anna := realKitchen(t)
	before := anna.core.StateBytes()
	for i, r := range practice.Rungs(anna.core.State(), "bone-in") {
		n := practice.New(anna.core.State(), uint64(i), r, "bo", "en")
		for !n.Ends() {
			n.Pass(n.Now() + 600_000)
			if n.Trouble() != nil {
				n.Choose(i % 3)
			}
		}
		n.Debrief()
	}
	require.Equal(t, before, anna.core.StateBytes())
	require.Equal(t, before, anna.core.State().Append(nil))
}

// TestPracticeTimeIsTheCooks: it stands until it is let go, runs as fast as is asked, stops for trouble and for a real bell.
func TestPracticeTimeIsTheCooks(t *testing.T) {
	p := practise(t, realKitchen(t).core.StateBytes(), `{"do":"page-practice","procedure":"bone-in","name":"tub","number":5,"crew":"bo","text":"en"}`, 2)
	at := func() float64 { return p.drawn["now"].(map[string]any)["kitchen"].(float64) }
	began := at()
	p.passes(5000)
	p.look("/practice/night/hold")
	require.Equal(t, began, at(), "it stands")
	p.tap(`{"do":"practice-go"}`)
	require.EqualValues(t, 360, p.clock.Pace)
	p.passes(1000)
	p.look("/practice/night/")
	require.Equal(t, began+360_000, at())
	p.tap(`{"do":"practice-pace","number":10}`)
	p.passes(1000)
	p.look("/practice/night/")
	require.Equal(t, began+370_000, at())
	p.tap(`{"do":"practice-stop","reason":"bell"}`)
	require.Zero(t, p.clock.Pace)
	require.Contains(t, text(t, p.drawn), "A real bell rang")
	p.passes(3000)
	p.tap(`{"do":"practice-pace","number":43200}`)
	require.Zero(t, p.clock.Pace, "another speed does not let it go")
	p.tap(`{"do":"practice-go"}`)
	p.passes(3000)
	require.Equal(t, "trouble", p.drawn["kind"])
	require.Zero(t, p.clock.Pace)
	came := at()
	p.passes(3000)
	p.look(p.path)
	require.Equal(t, came, at())
	p.tap(`{"do":"practice-look"}`)
	require.Equal(t, "line", p.drawn["kind"])
	p.tap(`{"do":"practice-show"}`)
	p.tap(`{"do":"practice-reply","number":0}`)
	require.Equal(t, "told", p.drawn["kind"])
}

// TestANightIsPlayedThrough: every trouble is answered, and the debrief offers to keep the result in the real kitchen.
func TestANightIsPlayedThrough(t *testing.T) {
	anna := realKitchen(t)
	p := practise(t, anna.core.StateBytes(), `{"do":"page-practice","procedure":"bone-in","name":"tub","number":5,"crew":"bo","text":"en"}`, 3)
	p.tap(`{"do":"practice-pace","number":43200}`)
	for i := 0; p.drawn["kind"] != "debrief"; i++ {
		require.Less(t, i, 200)
		switch p.drawn["kind"] {
		case "trouble":
			p.tap(`{"do":"practice-reply","number":1}`)
		case "told":
			p.tap(`{"do":"practice-go"}`)
		default:
			p.tap(`{"do":"practice-go"}`)
			p.passes(500)
		}
	}
	commands, _ := p.offers()
	i := slices.IndexFunc(commands, func(c string) bool { return strings.Contains(c, `"do":"rung"`) })
	require.GreaterOrEqual(t, i, 0, "%v", commands)
	cmd, err := kitchen.ReadCommand([]byte(commands[i]))
	require.NoError(t, err)
	require.EqualValues(t, 1, cmd.Number)
	require.EqualValues(t, 5, cmd.Value)
}

// TestWhatStopsTimeIsDrawn: however close after a drawing trouble comes, it is shown.
func TestWhatStopsTimeIsDrawn(t *testing.T) {
	state := realKitchen(t).core.StateBytes()
	for every := int64(1); every < 200; every += 7 {
		p := practise(t, state, `{"do":"page-practice","procedure":"bone-in","name":"cold","number":9,"crew":"bo","text":"en"}`, 4)
		p.tap(`{"do":"practice-pace","number":43200}`)
		p.tap(`{"do":"practice-go"}`)
		for i := 0; p.clock.Pace > 0; i++ {
			require.Less(t, i, 100_000)
			p.now += every
			p.step(core.Input{Op: core.OpTick})
		}
		require.Equal(t, "trouble", p.drawn["kind"], "stepped every %d ms", every)
	}
}

// TestANightThatCannotBeIsSaid: a state, a command or a rung that is none starts nothing.
func TestANightThatCannotBeIsSaid(t *testing.T) {
	state := realKitchen(t).core.StateBytes()
	for _, in := range []core.Input{{Frame: []byte("no state"), Tap: []byte(`{}`)}, {Frame: state, Tap: []byte(`{`)},
		{Frame: state, Tap: []byte(`{"procedure":"bone-in","name":"none"}`)}} {
		c := core.New(core.Config{Device: "practice"})
		c.Step(core.Input{Op: core.OpStart})
		in.Op = core.OpNight
		out := c.Step(in)
		require.Len(t, out.Notes, 1)
	}
}

func text(t *testing.T, v any) string {
	out, err := json.Marshal(v)
	require.NoError(t, err)
	return string(out)
}
