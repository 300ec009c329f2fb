// Package questions makes questions out of what a kitchen has written down: its numbers, its order, its reasons, what can hurt,
// and where a batch stands after some time. Nothing is asked from a fixed list, so that a number that changes changes the
// question, its right answer and its wrong ones.
package questions

import (
	"strconv"

	"brinebell/internal/core/order"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/wire"
	"brinebell/internal/core/words"
)

// Question is one thing asked, with one right answer among its answers.
type Question struct {
	Key         string // what it asks for, the same in every version and language: "bone-in/marinate/ceiling"
	Print       uint32 // of the right answer, the same in every language: another one means that the kitchen has changed it
	Stage, Step string // names of what it is about; empty where it is about neither
	Text        string
	Answers     []string
	Right       int    // index into Answers
	Why         string // what the right answer rests on
}

// Answers are this many at most, and this many at least: a question with fewer wrong ones is not asked.
const (
	answersMost  = 4
	answersLeast = 3
)

// Of makes the questions of a procedure in a language. A turn gives other wrong answers, in another order; the same turn gives
// the same ones everywhere.
func Of(p *procedure.Procedure, l words.Lang, turn uint32) []Question {
	m := begin(l, p.Name, p.Item, turn)
	for i := range p.Stages {
		m.windows(p, i)
		m.steps(p, i)
		m.comesNext(p, i)
	}
	m.mix(p)
	return m.apart()
}

// OfEquipment makes the questions of what stands in the kitchen.
func OfEquipment(e *procedure.Equipment, l words.Lang, turn uint32) []Question {
	m := begin(l, e.Name, procedure.Text{}, turn)
	for i := range e.Devices {
		m.device(e, &e.Devices[i])
	}
	return m.apart()
}

// maker puts questions together.
type maker struct {
	l     words.Lang
	of    string         // the document's name
	item  procedure.Text // what the procedure makes
	turn  uint32
	list  []Question
	stage *procedure.Stage // that it is at

	rights  map[string]string // by question
	unclear map[string]bool
}

func begin(l words.Lang, of string, item procedure.Text, turn uint32) *maker {
	return &maker{l: l, of: of, item: item, turn: turn, rights: map[string]string{}, unclear: map[string]bool{}}
}

// ask is a question before its answers are chosen and put into an order.
type ask struct {
	key, step string
	text      string
	right     string
	value     string   // of the right answer, in no language
	wrong     []string // the most plausible first; others may stand among them twice, or be the right one
	why       string
}

func (m *maker) t(id string, pairs ...string) string { return m.l.T(id, pairs...) }
func (m *maker) text(t procedure.Text) string        { return m.l.Text(t) }
func (m *maker) about(id string, pairs ...string) string {
	return m.t(id, append(pairs, "item", words.Upper(m.text(m.item)), "stage", m.text(m.stage.Title))...)
}

// add chooses among the wrong answers, and where the right one stands.
func (m *maker) add(a ask) {
	if a.right == "" {
		return
	}
	if old, ok := m.rights[a.text]; ok && old != a.right {
		m.unclear[a.text] = true // asked or not: two things go by one name, and each is right
	}
	m.rights[a.text] = a.right
	wrong := others(a.right, a.wrong)
	if len(wrong) < answersLeast-1 {
		return
	}
	q := Question{Key: m.of + "/" + a.key, Print: wire.Sum(a.value), Step: a.step, Text: a.text, Why: a.why}
	if m.stage != nil {
		q.Key, q.Stage = m.of+"/"+m.stage.Name+"/"+a.key, m.stage.Name
	}
	dice := wire.Sum(q.Key + strconv.FormatUint(uint64(m.turn), 10))
	wrong = wrong[:min(len(wrong), 2*answersMost)]
	for n := 0; n < answersMost-1 && len(wrong) > 0; n++ {
		dice = dice*1664525 + 1013904223 // Numerical Recipes' generator: any would do
		i := int(dice>>8) % len(wrong)
		q.Answers = append(q.Answers, wrong[i])
		wrong = append(wrong[:i:i], wrong[i+1:]...)
	}
	q.Right = int(dice>>16) % (len(q.Answers) + 1)
	q.Answers = order.Insert(q.Answers, q.Right, a.right)
	m.list = append(m.list, q)
}

// others returns each wrong answer once, and none that reads like the right one.
func others(right string, list []string) []string {
	var out []string
	seen := map[string]bool{right: true, "": true}
	for _, s := range list {
		if !seen[s] {
			seen[s] = true
			out = append(out, s)
		}
	}
	return out
}

// apart leaves out questions that read alike: with other answers none of them, since a kitchen may call two things the same, and
// with the same answer all but the first.
func (m *maker) apart() []Question {
	var out []Question
	for i := range m.list {
		if q := &m.list[i]; !m.unclear[q.Text] {
			m.unclear[q.Text] = true
			out = append(out, *q)
		}
	}
	return out
}
