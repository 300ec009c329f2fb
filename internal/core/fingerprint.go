package core

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/journal"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// small is a procedure for the fingerprint: it has every kind of stage, a window with every mark, and a limit.
const small = `{"format":"brinebell procedure 1","name":"f","version":1,
"title":{"en":"F","es":"F"},"item":{"en":"f","es":"f"},"allergens":{"en":"None","es":"Ninguno"},
"keep":{"en":"Cold","es":"En frío"},"piece":"100 g","counted":"pieces",
"receiving":{"warmth":{"max":"5 Cel","source":{"en":"made up","es":"inventado"},"critical":true},
"unit":{"min":"500 g","source":{"en":"made up","es":"inventado"}}},
"mix":{"meatPerWater":"1.5 kg/L","concentratePerWater":"60 mL/L","tub":"10 kg","tubHolds":"20 L"},
"stages":[
{"name":"a","kind":"work","title":{"en":"A","es":"A"},"act":{"en":"A","es":"A"},"doing":{"en":"a","es":"a"},"vessel":"tub",
"window":{"ceiling":"PT30M","patience":"PT5M"},"override":true,
"caution":{"hazards":["raw poultry","allergens"],"title":{"en":"Raw","es":"Cruda"},"lines":[{"en":"Wash hands.","es":"Lavarse las manos."}]},
"steps":[{"name":"t","kind":"read","text":{"en":"T","es":"T"},"critical":true,"unit":"Cel",
"limit":{"max":"5 Cel","source":{"en":"made up","es":"inventado"},"critical":true},"ifNot":{"en":"Call","es":"Llamar"}}]},
{"name":"b","kind":"wait","title":{"en":"B","es":"B"},"act":{"en":"B","es":"B"},"doing":{"en":"b","es":"b"},"vessel":"tub",
"mark":{"use":{"en":"Use by","es":"Usar antes de"}},
"window":{"floor":"PT1H","best":{"from":"PT2H","until":"PT3H"},"lastCall":"PT10M","ceiling":"PT4H","patience":"PT5M"},"override":true,
"caution":{"hazards":["raw poultry","allergens"],"title":{"en":"Raw","es":"Cruda"},"lines":[{"en":"Wash hands.","es":"Lavarse las manos."}]}},
{"name":"c","kind":"hold","title":{"en":"C","es":"C"},"act":{"en":"C","es":"C"},"doing":{"en":"c","es":"c"},"vessel":"tray",
"enter":{"most":"4 kg","weighed":true},"window":{"ceiling":"PT1H","patience":"PT5M"}}],
"reasons":[{"en":"Dropped","es":"Caída"}]}`

// Fingerprint names the rules of this build: a hash of the state that a small journal folds to, with one entry of
// every kind at least. Two builds with the same one fold the same entries to the same state, as far as it can tell.
func Fingerprint() string {
	var l journal.Log
	at := stamp.Milli(1_795_582_800_000)
	for i, body := range specimen() {
		at = at.Add(20 * stamp.Minute)
		e := entry.New(specimenID(i), stamp.Stamp{At: at, Device: "f"}, "bo", body)
		if _, err := l.Add(journal.Numbered{Record: entry.AppendRecord(nil, &e)}); err != nil {
			panic("core: the specimen of the fingerprint: " + err.Error())
		}
	}
	hash := l.Hash()
	return wire.Hex(hash[:8])
}

func specimenID(i int) entry.ID { return entry.NewID(1, [10]byte{9: byte(i)}) }

// specimen is the small journal. An entry's id is specimenID of its index.
func specimen() []entry.Body {
	tub, tray, tray2, timer := specimenID(7), entry.ID{1}, entry.ID{2}, specimenID(17)
	spot := entry.Spot{Batch: tub, Stage: "a"}
	return []entry.Body{
		&entry.NamedKitchen{Name: "F", Zone: "Europe/Berlin", Country: "DE"},
		&entry.Offsets{Zone: "Europe/Berlin", List: []entry.Offset{{Minutes: 60, Name: "CET"}}},
		&entry.Member{Crew: "bo", Name: "Bo", Lang: "es", Role: entry.Lead},
		&entry.Pairing{Device: "f", Name: "F"},
		&entry.Pairing{Device: "g", Name: "G", Wall: true},
		&entry.Revocation{Device: "g", Reason: "lost"},
		&entry.Document{What: "procedure", Name: "f", Version: 1, Text: small},
		&entry.Start{Batch: tub, Code: "AAAA", Procedure: "f", Version: 1, Stage: "a", Vessel: "tub", Number: 1, Grams: 9000, Pieces: 90},
		&entry.Step{Batch: tub, Stage: "a", Step: "t", Value: 7000, Unit: "mC"},
		&entry.Move{Batch: tub, From: "a", To: "b", Place: "cold"},
		&entry.Portioning{Out: []entry.Share{{Batch: tub, Stage: "b", All: true}}, In: []entry.Portion{
			{Batch: tray, Code: "BBBB", Stage: "c", Vessel: "tray", Number: 1, Grams: 4000, Pieces: 40},
			{Batch: tray2, Code: "CCCC", Stage: "c", Vessel: "tray", Number: 2, Grams: 4000, Pieces: 40}},
			Lost: []entry.Loss{{Why: "drip", Grams: 200}}},
		&entry.Count{Batch: tray, Sold: 30, Wasted: 2},
		&entry.Count{Batch: tray, Sold: 3},
		&entry.Withdrawal{Entry: specimenID(12)},
		&entry.Correction{Entry: specimenID(11), To: entry.HoldCounted, Ver: 1, Reason: "misread",
			Body: wire.Append(nil, &entry.Count{Batch: tray, Sold: 28, Wasted: 2})},
		&entry.Discard{Batch: tray2, Reason: "past"},
		&entry.Move{Batch: tray2, From: "c", To: "c"},
		&entry.Timer{Timer: timer, Name: "rice", Span: 9 * stamp.Minute},
		&entry.GotIt{Bell: "timer/" + timer.String() + "/0"},
		&entry.TimerEnd{Timer: timer},
		&entry.Reading{Place: "cold", MilliC: 9000},
		&entry.Equipment{Place: "cold", Out: true, Reason: "warm"},
		&entry.Deviation{Deviation: specimenID(22), Place: "cold", Text: "door"},
		&entry.Answer{Deviation: specimenID(22).String() + "/1", Action: "shut", Closes: true},
		&entry.Note{Batch: tray, Text: "n"},
		&entry.ClockDoubt{Device: "f", Off: stamp.Day},
		&entry.Step{List: "l", Day: 20_782, Step: "s", Answer: "no"},
		&entry.ListClose{List: "l", Day: 20_782},
		&entry.Post{Device: "f", Place: "cold"},
		&entry.SensorPairing{Sensor: "s", Name: "S", Every: stamp.Minute, Places: []string{"cold"}},
		&entry.Sensing{Place: "cold", Source: "s", Probe: "air", From: 1_795_582_800_000, List: []entry.Sensed{{MilliC: 3000}, {After: stamp.Minute, MilliC: 9000}}},
		&entry.FileRead{File: "f.csv", Place: "cold", Source: "l", Rows: 2, Kept: 1, Bad: 1},
		&entry.SensorRevocation{Sensor: "s", Reason: "wet"},
		&entry.Step{Batch: tub, Stage: "a", Step: "t", Value: 6000, Unit: "mC", Probe: "p"},
		&entry.ProbeCheck{Probe: "p", Method: entry.IcePoint, Read: 1200, Within: 1000},
		&entry.Part{Deviation: specimenID(8).String() + "/4", Part: entry.PartHeld, Text: "cold", Grams: 90},
		&entry.Setting{Name: entry.SetKeepFrozen, Number: 800},
		&entry.Delivery{Delivery: specimenID(37), Lot: "x", Procedure: "f", Measured: true, MilliC: 9000, Weights: []int64{400}},
		&entry.Oil{Place: "cold", Deed: entry.OilMeasured, Polar: 21_000},
		&entry.QuizAnswer{Key: "f/next", Print: 7, Right: true},
		&entry.DayClose{Day: 20_782, Entries: 30},
		&entry.Frost{Batch: tray},
		&entry.Frost{Batch: tray, Way: entry.ThawWater, Place: "cold"},
		&entry.LogReading{Log: specimenID(41), Batch: tray, MilliC: 9000, Probe: "p"},
		&entry.Log{Log: specimenID(43), What: entry.LogCool, Rule: "food-code", Name: "rice", Measured: true, MilliC: 60_000},
		&entry.LogEnd{Log: specimenID(43), Outcome: entry.LogDone},
		&entry.CookLog{Batch: tub, Count: 1, RowAt: 136, Hottest: 50_000, Probe: "p"},
		&entry.Member{Crew: "cy", Name: "Cy", Role: entry.Trainee, Born: 14_000, Trainer: true},
		&entry.Pin{Crew: "bo", Salt: []byte{1}, Rounds: 1, Digest: []byte{2}},
		&entry.Guide{Guide: specimenID(49), Spot: spot, Crew: "cy", Trainer: "bo"},
		&entry.GuideAsk{Ask: specimenID(50), Guide: specimenID(49), Spot: spot, Step: "t"},
		&entry.GuideAnswer{Ask: specimenID(50), Yes: true, Trainer: "bo", Pin: true, Seen: "4"},
		&entry.GuideCheck{Ask: specimenID(50)},
		&entry.TrainerNote{Crew: "cy", Spot: spot, Step: "t", Tone: entry.ToneSlow, Text: "n"},
		&entry.SignOff{Crew: "bo", What: "procedure", Document: "f", Competence: "k", Version: 1, By: "bo", Grounds: entry.GroundsExperience},
		&entry.Rung{Procedure: "f", Rung: 2, Seed: 7, Troubles: 3, Right: 2, Passed: true},
		&entry.PlanAccepted{Day: 20_782, Version: 1, To: 900, Items: []entry.PlanItem{{Item: "f", Demand: 9}}, Rows: []entry.PlanRow{{Start: 5, Units: 2}}},
		&entry.Demand{Item: "f", Day: 20_782, From: 600, To: 660, Pieces: 9, Sort: entry.DemandTyped},
		&entry.Away{Item: "f", Pieces: 1}, &entry.Shift{Station: "f", Day: 20_782, From: 300, To: 900},
		&entry.Sales{Item: "f", Day: 20_781, From: 600, Each: 60, Pieces: []int64{4, 0, 9}},
	}
}
