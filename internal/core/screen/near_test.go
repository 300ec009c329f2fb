package screen

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// text is all that a part of a screen says.
func text(t *testing.T, d drawn, key string) string {
	t.Helper()
	for _, part := range d["parts"].([]any) {
		if p := part.(map[string]any); p["key"] == key {
			out, err := json.Marshal(p["sub"])
			require.NoError(t, err)
			return string(out)
		}
	}
	t.Fatalf("no part %s", key)
	return ""
}

const ringing = canRing | CanHeard

func TestDevicesSayWhetherTheyRingNow(t *testing.T) {
	w := midshift(t)
	for _, c := range []struct {
		near Near
		want string
	}{
		{Near{Can: ringing}, "rings now"},
		{Near{Crew: "teo", Can: ringing}, "Teo has it"},
		{Near{Crew: "nobody", Can: ringing}, "rings now"},
		{Near{Can: canRing}, "nobody has tested how loud"},
		{Near{Can: ringing &^ CanSound}, "sound is locked"},
		{Near{Can: ringing &^ CanSeen}, "not in front"},
		{Near{}, "in touch"},
		{Near{Can: ringing, Since: w.now.Add(-21 * stamp.Minute)}, "out of touch since 11:17"},
	} {
		ctx := w.ctx("maren", "/devices")
		c.near.Device = "d2"
		ctx.Near[1] = c.near
		said := text(t, draw(t, ctx), "device-d2")
		require.Contains(t, said, c.want)
		require.NotContains(t, said, "nobody has it")
	}
	ctx := w.ctx("maren", "/devices")
	ctx.Near = ctx.Near[:1]
	require.Contains(t, text(t, draw(t, ctx), "device-d2"), "out of touch")
}

// TestWhatIsNotKnownIsNotSaidToBeSo: out of touch, a device knows neither how many are in touch nor that others ring.
func TestWhatIsNotKnownIsNotSaidToBeSo(t *testing.T) {
	w := midshift(t)
	for path, in := range map[string]string{"/wall": "2 devices in touch", "/more": "2 devices in touch",
		"/devices": "2 devices in touch", "/": "1 other device rings now"} {
		ctx := w.ctx("teo", path)
		if path == "/" {
			ctx.Ability.Sound = false
		}
		require.Contains(t, string(View(ctx)), in, path)
		ctx.NearNow, ctx.Saved.InTouch, ctx.Saved.OutSince = false, false, w.now.Add(-21*stamp.Minute)
		require.NotContains(t, string(View(ctx)), in, path)
		if path == "/devices" {
			require.Contains(t, string(View(ctx)), "what stands here was so at")
			require.NotContains(t, text(t, draw(t, ctx), "device-d2"), "rings now")
		}
	}
}

// TestALeadSeesWhichPlaceHasNoDeviceThatRings: with the cold room a room of its own, a device must stand there.
func TestALeadSeesWhichPlaceHasNoDeviceThatRings(t *testing.T) {
	w := midshift(t)
	for i := range w.s.Equipment().Devices {
		if d := &w.s.Equipment().Devices[i]; d.Name == "cold-room" {
			d.Room = "cellar"
		}
	}
	require.NotEmpty(t, w.s.In("cold-room"))
	warned := func(crew string, with func(*Context)) bool {
		ctx := w.ctx(crew, "/")
		if with != nil {
			with(ctx)
		}
		line := string(View(ctx))
		ctx.Path = "/devices"
		const warning = "No device that rings now is at Cold room"
		require.Equal(t, strings.Contains(line, warning), strings.Contains(string(View(ctx)), warning))
		require.NotContains(t, line, "No device that rings now is at Fryer")
		return strings.Contains(line, warning)
	}
	require.True(t, warned("maren", nil))
	require.False(t, warned("teo", nil), "only a lead is called")
	require.False(t, warned("maren", func(c *Context) { c.NearNow = false }), "it is not known")

	w.s.Device("d2").Place = "cold-room"
	require.False(t, warned("maren", nil))
	require.True(t, warned("maren", func(c *Context) { c.Near[1].Can &^= CanSound }))
	require.True(t, warned("maren", func(c *Context) { c.Near[1].Can &^= CanSeen }))
	require.True(t, warned("maren", func(c *Context) { c.Near[1].Since = w.now }))
	w.s.Device("d2").Revoked = true
	require.True(t, warned("maren", nil))
	for i := range w.s.Batches {
		if w.s.Batches[i].Place == "cold-room" {
			w.s.Batches[i].Place = ""
		}
	}
	require.False(t, warned("maren", nil), "nothing waits there")
}

// TestATimerSaysWhoHasIt: who answered its bell is named, until it calls again.
func TestATimerSaysWhoHasIt(t *testing.T) {
	w := newWorld(t, at(11, 0))
	w.tap("teo", &kitchen.Command{Do: kitchen.DoTimer, Name: "Stock", Span: 20 * stamp.Minute})
	w.wait(20*stamp.Minute + stamp.Second)
	said := func() string {
		for _, part := range draw(t, w.ctx("maren", "/timers"))["parts"].([]any) {
			if out, _ := json.Marshal(part); strings.Contains(string(out), "Stock") {
				return string(out)
			}
		}
		return ""
	}
	require.Contains(t, said(), "set by Teo")
	require.NotContains(t, said(), "has it")
	w.tap("ines", &kitchen.Command{Do: kitchen.DoGot, Bell: kitchen.Bells(w.s, w.now, 0)[0].Key})
	require.Contains(t, said(), "set by Teo")
	require.Contains(t, said(), "Inés has it")
	w.wait(2 * stamp.Minute)
	require.NotContains(t, said(), "has it", "it rings again")
}

// TestALeadSaysWhereADeviceStands: by a tap under devices, which only a lead has.
func TestALeadSaysWhereADeviceStands(t *testing.T) {
	w := midshift(t)
	require.Contains(t, string(View(w.ctx("maren", "/devices"))), `"do":"post"`)
	require.NotContains(t, string(View(w.ctx("teo", "/devices"))), `"do":"post"`)
	w.tap("maren", &kitchen.Command{Do: kitchen.DoPost, Device: "d1", Place: "cold-room"})
	require.Equal(t, "cold-room", w.s.Device("d1").Place)
	require.Contains(t, text(t, draw(t, w.ctx("maren", "/devices")), "device-d1"), "Cold room")
	w.make("", &entry.Post{Device: "stranger", Place: "cold-room"})
	require.Nil(t, w.s.Device("stranger"))
	for _, bad := range []kitchen.Command{{Device: "d1", Place: "moon"}, {Device: "stranger", Place: "cold-room"}} {
		bad.Do = kitchen.DoPost
		require.NotNil(t, w.decide("maren", &bad))
	}
	require.Equal(t, kitchen.RefNotLead, w.decide("teo", &kitchen.Command{Do: kitchen.DoPost, Device: "d1"}).Code)
}

// TestADeviceSaysWhyItCannotRing: each cause has a sentence of its own, and the test page has a row for each.
func TestADeviceSaysWhyItCannotRing(t *testing.T) {
	w := newWorld(t, at(8, 0))
	why := func(able Ability) []any {
		ctx := w.ctx("maren", "/")
		ctx.Ability, ctx.NearNow = able, false
		bell := draw(t, ctx)["bell"].(map[string]any)
		if bell["can"] == true {
			return []any{bell["text"]}
		}
		return bell["lines"].([]any)
	}
	locked, dark := "Its sound is locked until you tap once.", "Its screen may go dark, and a dark phone does not ring."
	require.Equal(t, []any{"This phone rings"}, why(Ability{Known: true, Sound: true, Awake: true, Secure: true}))
	require.Equal(t, []any{"Rings while its screen is on"}, why(Ability{Known: true, Sound: true, Secure: true}))
	require.Equal(t, []any{locked}, why(Ability{Known: true, Awake: true, Secure: true}))
	require.Equal(t, []any{locked, dark}, why(Ability{Known: true, Secure: true}))
	require.Equal(t, []any{"Its sound stands still, after a call perhaps: tap once."}, why(Ability{Known: true, Stuck: true, Awake: true, Secure: true}))
	require.Equal(t, []any{locked, dark, "This address is not secure: the screen cannot be kept awake, and nothing opens without the server."},
		why(Ability{Known: true}))

	rows := func(able Ability) (no []string, tip bool) {
		ctx := w.ctx("maren", "/ring")
		ctx.Ability = able
		d := draw(t, ctx)
		for _, r := range partOf(d, "pairs")["rows"].([]any) {
			row := r.(map[string]any)
			if row["v"].([]any)[0].(map[string]any)["t"] == "no" {
				no = append(no, row["k"].(string))
			}
		}
		return no, strings.Contains(said(d), "Put it on the home screen")
	}
	all := Ability{Known: true, Sound: true, Awake: true, Vibrate: true, Visible: true, Installed: true, Secure: true, Voice: true, Stays: true}
	no, tip := rows(all)
	require.Empty(t, no)
	require.False(t, tip)
	for name, lack := range map[string]func(*Ability){
		"Sound is unlocked":                func(a *Ability) { a.Sound = false },
		"Screen is kept awake":             func(a *Ability) { a.Awake = false },
		"This app is in front":             func(a *Ability) { a.Visible = false },
		"Vibrates":                         func(a *Ability) { a.Vibrate = false },
		"Has a voice for this language":    func(a *Ability) { a.Voice = false },
		"Opens without the server":         func(a *Ability) { a.Secure = false },
		"Its store is kept by the browser": func(a *Ability) { a.Stays = false },
	} {
		able := all
		lack(&able)
		no, tip := rows(able)
		require.Equal(t, []string{name}, no)
		require.False(t, tip, name)
	}
	able := all
	able.Installed, able.Stays = false, false
	no, tip = rows(able)
	require.Equal(t, []string{"Installed", "Its store is kept by the browser"}, no)
	require.True(t, tip, "what would make the browser keep it is said")
}

// TestADeviceLeftAloneSaysHowFarItsTimeMayBeOff: beyond a second, rounded up, and only while nothing sets it right.
func TestADeviceLeftAloneSaysHowFarItsTimeMayBeOff(t *testing.T) {
	w := newWorld(t, at(8, 0))
	saved := func(off stamp.Span, inTouch bool) string {
		ctx := w.ctx("maren", "/")
		ctx.Saved = Saved{Joined: true, Entries: true, InTouch: inTouch, Off: off}
		if !inTouch {
			ctx.Saved.OutSince = at(2, 0)
		}
		return strings.ReplaceAll(draw(t, ctx)["saved"].(map[string]any)["text"].(string), "\u00a0", " ")
	}
	require.Equal(t, "Nothing waiting, out of touch since 02:00", saved(stamp.Second, false))
	require.Equal(t, "Nothing waiting, out of touch since 02:00; its time may be off by 2 s", saved(stamp.Second+1, false))
	require.Equal(t, "Saved in kitchen", saved(5*stamp.Second, true))
}
