package screen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/stamp"
)

// leadFixtures are the pages for whoever leads, and first aid.
func leadFixtures() []kept {
	return []kept{
		{"crewready", fixed("/crew/ready"), lacking},
		{"crewsteps", fixed("/crew/steps"), noticed},
		{"crewstep", fixed("/crew/steps/of/procedure/bone-in/release/gauge"), noticed},
		{"crewage", fixed("/crew/age"), learner},
		{"crewrecord", fixed("/crew/record/teo"), noticed},
		{"firstaid", fixed("/firstaid"), nil},
	}
}

// lacking takes sign-offs back until a station has nobody and another only one.
func lacking(w *world, ctx *Context) {
	learner(w, ctx)
	for _, c := range []struct{ crew, document string }{{"maren", "bone-in"}, {"ines", "bone-in"}, {"teo", "bone-in"}, {"ines", "wedges"}, {"teo", "wedges"}} {
		w.make("maren", &entry.SignOff{Crew: c.crew, What: kitchen.WhatProcedure, Document: c.document, Competence: "fryer", Version: 1, By: "maren", Gone: true, Reason: "lid"})
	}
}

// noticed has trainers' notes about some steps, and a call for help, on a phone that is out of touch.
func noticed(w *world, ctx *Context) {
	ctx.Saved = Saved{Joined: true, Entries: true, OutSince: w.now.Add(-21 * stamp.Minute)}
	spot := entry.Spot{Batch: w.open("load", w.load("fryer-1")).ID, Stage: "release"}
	guide := w.id()
	w.make("teo", &entry.Guide{Guide: guide, Spot: spot, Crew: "teo", Trainer: "maren"})
	w.make("teo", &entry.GuideAsk{Ask: w.id(), Guide: guide, Spot: spot, Step: "gauge", Help: true})
	for _, n := range []struct{ step, tone string }{{"gauge", entry.ToneSlow}, {"gauge", entry.ToneWrong}, {"core", entry.ToneWrong}, {"core", entry.ToneSlow}, {"vent", entry.ToneSlow}} {
		w.make("maren", &entry.TrainerNote{Crew: "teo", Spot: spot, Step: n.step, Tone: n.tone, Text: "looks at the gauge too late"})
	}
}
