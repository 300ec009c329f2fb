package screen

import (
	"cmp"
	"strconv"
	"strings"

	est "brinebell/internal/core/fixed"
	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/order"
	"brinebell/internal/core/questions"
	"brinebell/internal/core/stamp"
)

// quizNewMost is how many questions are new to somebody within a day: what is learned at once is not kept.
const quizNewMost = 10

// quizQuiet is how long nothing may be about to ring for a question to be offered.
const quizQuiet = 5 * stamp.Minute

// asked is a question with what whoever holds this device is known to know of it.
type asked struct {
	questions.Question
	known *kitchen.Learned // nil: never asked
}

// changed tells whether the kitchen changed what is right since it was last asked.
func (a *asked) changed() bool { return a.known != nil && a.known.Print != a.Print }

// quizScreen asks whoever holds this device one question after the other.
func (p *page) quizScreen() {
	p.open("quiz", p.t("quiz"), "")
	p.back("/more", p.t("more"))
	if p.State.Member(p.Crew) == nil {
		p.crewNote()
		return
	}
	if p.path.at(1) == "told" {
		p.quizTold()
		return
	}
	for i := range p.bells {
		if p.bells[i].Ringing {
			p.says(p.t("quiz.rings"), "plain")
			return
		}
	}
	list := p.quizNow()
	if len(list) == 0 {
		p.add(&empty{title: p.t("quiz.none"), line: p.line("quiz.none.line")}, &choice{rows: []choiceRow{p.practiceRow()}})
		return
	}
	q := p.again(list[0])
	if q.changed() {
		p.says(p.t("quiz.changed"), "plain")
	}
	c := &choice{title: q.Text}
	for i, text := range q.Answers {
		answer := "wrong"
		if i == q.Right {
			answer = "right"
		}
		c.rows = append(c.rows, choiceRow{label: text, to: "/quiz/told?q=" + escape(q.Key) + "&turn=" + p.num(int(q.turn())) + "&said=" + p.num(i),
			do: &kitchen.Command{Do: kitchen.DoQuiz, Name: q.Key, Number: int64(q.Print), Answer: answer}})
	}
	p.add(c)
	p.says(p.n("quiz.left", int64(len(list))), "quiet")
	p.add(&choice{rows: []choiceRow{p.practiceRow()}})
}

// turn is the how-manieth time it is asked, so that its answers stand in another order.
func (a *asked) turn() uint32 {
	if a.known == nil {
		return 0
	}
	return a.known.Asked
}

// questions makes all that the kitchen's newest documents ask; given a question's key, only its own document's.
func (p *page) questions(turn uint32, key string) []questions.Question {
	name, _, _ := strings.Cut(key, "/")
	var list []questions.Question
	if eq := p.State.Equipment(); name == "" || name == eq.Name {
		list = questions.OfEquipment(eq, p.l, turn)
	}
	for _, proc := range p.State.Procedures() {
		if name == "" || name == proc.Name {
			list = append(list, questions.Of(proc, p.l, turn)...)
		}
	}
	return list
}

// question makes one question in one turn, or returns false when the kitchen asks it no longer.
func (p *page) question(key string, turn uint32) (asked, bool) {
	for _, q := range p.questions(turn, key) {
		if q.Key == key {
			return asked{q, p.State.LearnedOf(p.Crew, key)}, true
		}
	}
	return asked{}, false
}

// again makes a question anew in its own turn.
func (p *page) again(a asked) asked {
	if q, ok := p.question(a.Key, a.turn()); ok {
		return q
	}
	return a
}

// quizNow lists what is to be asked now: what the kitchen changed, then what is likeliest forgotten, then a few new ones.
func (p *page) quizNow() []asked {
	var now, fresh []asked
	left := quizNewMost
	for i := range p.State.Learned {
		if x := &p.State.Learned[i]; x.Crew == p.Crew && x.Asked == 1 && p.State.WallDay(x.At) == p.State.WallDay(p.Now) {
			left--
		}
	}
	for _, q := range p.questions(0, "") {
		a := asked{q, p.State.LearnedOf(p.Crew, q.Key)}
		switch {
		case a.known == nil:
			fresh = append(fresh, a)
		case a.changed() || a.known.DueAt() <= p.Now:
			now = append(now, a)
		}
	}
	order.Stable(fresh, func(a, b asked) int { return cmp.Compare(p.learning(&b), p.learning(&a)) })
	order.Stable(now, func(a, b asked) int { return cmp.Compare(p.memory(&a), p.memory(&b)) })
	return append(now, fresh[:min(max(left, 0), len(fresh))]...)
}

// learning is 1 for a question about work that whoever holds this device is guided in now: it is asked before what is only new.
func (p *page) learning(a *asked) int {
	for i := range p.State.Guides {
		g := &p.State.Guides[i]
		b := p.State.Batch(g.Batch)
		if g.Crew != p.Crew || b == nil || a.Stage == "" || !strings.HasPrefix(a.Key, b.Procedure+"/") {
			continue
		}
		pr := p.State.Procedure(b.Procedure, 0)
		if pr == nil {
			continue
		}
		if c := pr.Competence(g.Stage); g.Stage == a.Stage || c != nil && c.Covers(a.Stage) {
			return 1
		}
	}
	return 0
}

// memory orders questions by how likely they are still known; what was changed nobody can know.
func (p *page) memory(a *asked) est.Num {
	if a.changed() {
		return 0
	}
	return a.known.Memory.Recall(int64(p.Now.Since(a.known.At) / stamp.Day))
}

// quizTold says whether the answer was right, and what that rests on.
func (p *page) quizTold() {
	turn, _ := strconv.ParseUint(p.path.get("turn"), 10, 32)
	said, err := strconv.Atoi(p.path.get("said"))
	q, ok := p.question(p.path.get("q"), uint32(turn))
	if !ok || err != nil || said < 0 || said >= len(q.Answers) {
		p.missing("missing.page")
		return
	}
	p.add(&note{line: plain(q.Text), tone: "quiet"})
	told := &empty{title: p.t("quiz.right", "answer", q.Answers[q.Right]), line: plain(q.Why)} // a state's colour is for food alone
	if said != q.Right {
		told.title = p.t("quiz.right.is", "answer", q.Answers[q.Right])
		told.line = plain(p.t("quiz.wrong", "said", q.Answers[said]) + ". " + q.Why)
	}
	p.add(told)
	p.add(&buttons{actions: []button{{label: p.t("quiz.more"), style: act, to: "/quiz"}, {label: p.t("line"), style: quiet, to: "/"}}})
}

// quizOffer offers questions on the line in a quiet minute: never while something rings or is about to, or needs a hand.
func (p *page) quizOffer(hands int) {
	if hands > 0 || p.State.Member(p.Crew) == nil {
		return
	}
	for i := range p.bells {
		if p.bells[i].At < p.Now.Add(quizQuiet) {
			return
		}
	}
	if due, _ := p.State.QuizDue(p.Crew, p.Now); due > 0 {
		p.add(&choice{rows: []choiceRow{{label: p.n("quiz.due", int64(due)), detail: p.t("quiz.offer"), to: "/quiz"}}})
	}
}
