package screen

import (
	"slices"
	"strings"

	"brinebell/internal/core/kitchen"
)

// near returns what the kitchen last said of a device, or nil.
func (p *page) near(device string) *Near {
	for i := range p.Near {
		if p.Near[i].Device == device {
			return &p.Near[i]
		}
	}
	return nil
}

// inTouch says how many devices are in touch, nothing when that is not known.
func (p *page) inTouch() string {
	n := int64(0)
	for i := range p.Near {
		if p.Near[i].Since == 0 {
			n++
		}
	}
	if !p.NearNow {
		return ""
	}
	return p.n("saved.phones", n)
}

// nearNote says how many devices are in touch, or that it is not known any more.
func (p *page) nearNote() {
	if text := p.inTouch(); text != "" {
		p.add(&note{line: plain(text), tone: "plain"})
	} else if since := p.Saved.OutSince; since > 0 {
		p.add(&note{line: plain(p.t("devices.old", "time", p.clock(since))), tone: "plain"})
	}
}

// deviceNow says who holds a device, where it stands, and whether it rings now. Out of touch it is not known what the
// others can do.
func (p *page) deviceNow(d *kitchen.Device) line {
	var said []string
	if d.Pairing.Device == p.Device {
		said = append(said, p.t("devices.this"))
	}
	n := p.near(d.Pairing.Device)
	if n != nil && p.State.Member(n.Crew) != nil {
		said = append(said, p.t("got.by", "name", p.l.Crew(p.State, n.Crew)))
	}
	if d.Place != "" {
		said = append(said, p.l.Place(p.State, d.Place))
	}
	if p.NearNow {
		said = append(said, p.nearWord(n))
	}
	return plain(strings.Join(said, ", "))
}

// nearWord says whether a device rings.
func (p *page) nearWord(n *Near) string {
	id := "near.rings"
	switch {
	case n == nil:
		id = "near.out"
	case n.Since > 0:
		return p.t("near.gone", "time", p.clock(n.Since))
	case n.Can&CanTell == 0:
		id = "near.in"
	case n.Can&CanSound == 0:
		id = "near.dumb"
	case n.Can&CanSeen == 0:
		id = "near.hidden"
	case n.Can&CanHeard == 0:
		id = "near.unheard"
	}
	return p.t(id)
}

// postButton lets a lead say where a device stands.
func (p *page) postButton(d *kitchen.Device) button {
	title := p.t("devices.post")
	a := &ask{kind: "choice", name: "place", title: title, choices: []option{{label: p.t("devices.roams")}}}
	for _, e := range p.State.Equipment().Devices {
		a.choices = append(a.choices, option{label: p.text(e.Title), text: e.Name})
	}
	return button{label: title, style: quiet, ask: a, do: &kitchen.Command{Do: kitchen.DoPost, Device: d.Pairing.Device}}
}

// deafNote warns a lead of places where something waits and no device that rings now stands in the room, and leads to
// where that is put right. Of the room of this device its own bell says so already.
func (p *page) deafNote(to string) {
	if !p.NearNow || !p.State.IsLead(p.Crew) {
		return
	}
	var heard, places []string
	for i := range p.State.Devices {
		d := &p.State.Devices[i]
		n := p.near(d.Pairing.Device)
		if d.Pairing.Device == p.Device || !d.Revoked && n != nil && n.rings() {
			room := "" // what is carried about is where most of the kitchen is
			if e := p.State.Equipment().Device(d.Place); e != nil {
				room = e.Room
			}
			heard = append(heard, room)
		}
	}
	for _, e := range p.State.Equipment().Devices {
		if !slices.Contains(heard, e.Room) && len(p.State.In(e.Name)) > 0 {
			places = append(places, p.text(e.Title))
		}
	}
	switch text := p.t("deaf", "place", p.enumerate(places)); {
	case len(places) == 0:
	case to == "":
		p.add(&note{line: plain(text), tone: "bad"})
	default:
		p.add(&choice{rows: []choiceRow{{label: text, to: to, state: "last"}}})
	}
}
