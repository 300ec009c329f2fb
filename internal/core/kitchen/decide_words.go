package kitchen

import (
	"cmp"
	"slices"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/stamp"
)

// note writes something down about a batch or a place.
func (d *deciding) note() *Refusal {
	if r := d.about(); r != nil {
		return r
	}
	return d.add(&entry.Note{Batch: d.c.Batch, Place: d.c.Place, Text: clean(d.c.Text)})
}

// deviate writes down that something is off.
func (d *deciding) deviate() *Refusal {
	if r := d.about(); r != nil {
		return r
	}
	id := d.newID()
	d.drafts = append(d.drafts, Draft{ID: id, Body: &entry.Deviation{
		Deviation: id, Batch: d.c.Batch, Place: d.c.Place, Text: clean(d.c.Text),
	}})
	return nil
}

// about asks for words, and that what they are about is known.
func (d *deciding) about() *Refusal {
	if blank(d.c.Text) {
		return &Refusal{Code: RefNeedText, Batch: d.c.Batch, Place: d.c.Place}
	}
	if !d.c.Batch.IsZero() && d.s.Batch(d.c.Batch) == nil {
		return &Refusal{Code: RefNoBatch, Batch: d.c.Batch}
	}
	return d.placeKnown()
}

// placeKnown asks that a place that is named is the kitchen's.
func (d *deciding) placeKnown() *Refusal {
	if d.c.Place != "" && d.s.Equipment().Device(d.c.Place) == nil {
		return &Refusal{Code: RefNoPlace, Name: d.c.Place}
	}
	return nil
}

// answer says what was done about a deviation. Only a lead closes one.
func (d *deciding) answer() *Refusal {
	off := d.s.Deviation(d.c.Deviation)
	switch {
	case off == nil:
		return &Refusal{Code: RefNoDeviation, Name: d.c.Deviation}
	case off.Closed:
		return &Refusal{Code: RefClosed, Name: off.Key}
	case blank(d.c.Text):
		return &Refusal{Code: RefNeedText, Name: off.Key}
	}
	if d.c.Closes {
		if r := d.lead(); r != nil {
			return r
		}
		if missing := off.Missing(); len(missing) > 0 {
			return &Refusal{Code: RefPartMissing, Name: missing[0], Number: int64(len(missing)), Unit: "1"}
		}
	}
	return d.add(&entry.Answer{Deviation: off.Key, Action: clean(d.c.Text), Closes: d.c.Closes})
}

// member lists, changes or takes off a crew member.
func (d *deciding) member() *Refusal {
	if r := d.lead(); r != nil {
		return r
	}
	m := entry.Member{Crew: clean(d.c.Crew), Name: clean(d.c.Name), Lang: d.c.Text, Gone: d.c.Closes, Trainer: d.c.Trainer == "yes"}
	roles := []string{"cook", "lead", "trainee"} // as entry.Role counts them
	role := max(slices.Index(roles, d.c.Answer), 0)
	if d.c.Answer != "" && roles[role] != d.c.Answer {
		return &Refusal{Code: RefCrewKnown, Name: d.c.Answer}
	}
	if m.Role = entry.Role(role); d.c.Born != "" {
		born, ok := stamp.Date(d.c.Born)
		if today := d.s.WallDay(d.now); !ok || born < today-120*366 || born > today {
			return &Refusal{Code: RefBorn, Name: clean(d.c.Born)}
		}
		m.Born = born
	}
	if old := d.s.Member(m.Crew); old != nil { // what is not said stays as it is
		m.Name, m.Lang = cmp.Or(m.Name, old.Name), cmp.Or(m.Lang, old.Lang)
		if d.c.Answer == "" {
			m.Role = old.Role
		}
		m.Born, m.Trainer = cmp.Or(m.Born, old.Born), m.Trainer || old.Trainer && d.c.Trainer != "no"
	}
	if m.Lang != "es" {
		m.Lang = "en"
	}
	if m.Crew == "" || m.Name == "" {
		return &Refusal{Code: RefNeedText}
	}
	if (m.Gone || m.Role != entry.Lead) && d.lastLead(m.Crew) {
		return &Refusal{Code: RefCrewKnown, Name: m.Name}
	}
	return d.add(&m)
}

// lastLead tells whether the kitchen would be without a lead if the crew member were none.
func (d *deciding) lastLead(crew string) bool {
	others := 0
	for _, m := range d.s.Crew {
		if m.Role == entry.Lead && !m.Gone && m.Crew != crew {
			others++
		}
	}
	return d.s.IsLead(crew) && others == 0
}

// device takes a device out of the kitchen, or says where it stands.
func (d *deciding) device() *Refusal {
	if r := d.lead(); r != nil {
		return r
	}
	dev := d.s.Device(d.c.Device)
	switch post := d.c.Do == DoPost; {
	case dev == nil || post && dev.Revoked:
		return &Refusal{Code: RefNoDevice, Name: d.c.Device}
	case post:
		if r := d.placeKnown(); r != nil || dev.Place == d.c.Place {
			return r
		}
		return d.add(&entry.Post{Device: d.c.Device, Place: d.c.Place})
	case dev.Revoked:
		return nil
	}
	return d.add(&entry.Revocation{Device: d.c.Device, Reason: clean(d.c.Reason)})
}

// name names the kitchen and says where it stands.
func (d *deciding) name() *Refusal {
	if r := d.lead(); r != nil {
		return r
	}
	if blank(d.c.Name) {
		return &Refusal{Code: RefNeedText}
	}
	k := entry.NamedKitchen{Name: clean(d.c.Name), Zone: d.s.Zone, Country: d.s.Country, Demo: d.s.Demo}
	if d.c.Text != "" {
		k.Zone = clean(d.c.Text)
	}
	if d.c.Answer != "" {
		k.Country = clean(d.c.Answer)
	}
	return d.add(&k)
}

// publish publishes a new version of a document.
func (d *deciding) publish() *Refusal {
	if r := d.lead(); r != nil {
		return r
	}
	doc, faults := procedure.Parse([]byte(d.c.Text))
	if len(faults) > 0 {
		return &Refusal{Code: RefDocument, Name: faults[0].Error()}
	}
	if len(d.c.Text) > documentMost {
		return &Refusal{Code: RefUnlikely, Number: int64(len(d.c.Text)), Limit: documentMost, Unit: "By"}
	}
	key := keyOf(&doc)
	for i := range d.s.Documents {
		if o := &d.s.Documents[i]; o.What == key.what && o.Name == key.name && o.Version >= key.version {
			newest := d.s.newestVersion(key)
			return &Refusal{Code: RefSameVersion, Name: key.name, Number: int64(key.version), Limit: int64(newest)}
		}
	}
	return d.add(&entry.Document{What: key.what, Name: key.name, Version: key.version, Text: d.c.Text})
}

// documentMost leaves room in a record for all else.
const documentMost = entry.RecordMax - 4<<10

func (s *State) newestVersion(key docKey) uint32 {
	var v uint32
	for i := range s.Documents {
		if d := &s.Documents[i]; d.What == key.what && d.Name == key.name {
			v = d.Version
		}
	}
	return v
}
