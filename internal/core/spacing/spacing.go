// Package spacing works out when somebody should be asked again what they have learned, by the open algorithm FSRS-6 (free
// spaced repetition scheduler, with its published default weights).
//
// It keeps two numbers of each memory: its stability, the days after which nine in ten still know it, and its difficulty, from
// 1 to 10. All is computed in fixed point, so that every phone asks on the same day.
package spacing

import "brinebell/internal/core/fixed"

// Grade says how an answer went.
type Grade uint8

// Grades, by the names that the algorithm gives them.
const (
	Again Grade = 1 // wrong
	Hard  Grade = 2
	Good  Grade = 3
	Easy  Grade = 4
)

// Memory is what is known of how well one person knows one thing. The zero value is one that was never asked for.
type Memory struct {
	Stability  fixed.Num // days, from 0.001 to 36,500
	Difficulty fixed.Num // from 1 to 10
}

// Known tells whether there ever was an answer.
func (m Memory) Known() bool { return m.Stability > 0 }

// Retention is the share that is still to be known when it is asked again.
const Retention = 90 // percent

const daysMost = 36_500

// weights are the default parameters of FSRS-6, in ten-thousandths.
var weights = [21]int64{2120, 12931, 23065, 82956, 64133, 8334, 30194, 10, 18722, 1666, 7960, 14835, 614, 2629, 16483, 6014, 18729,
	5425, 912, 658, 1542}

func w(i int) fixed.Num { return fixed.FromRatio(weights[i], 10_000) }

func limit(x, least, most fixed.Num) fixed.Num { return max(least, min(x, most)) }

func stable(s fixed.Num) fixed.Num {
	return limit(s, fixed.FromRatio(1, 1000), fixed.FromInt(daysMost))
}

// factor scales the curve of forgetting so that it stands at nine in ten after the stability: 0.9^(-1/decay) - 1.
func factor() fixed.Num {
	return fixed.Pow(fixed.FromRatio(9, 10), -fixed.Div(fixed.One, w(20))) - fixed.One
}

// Recall returns the chance that it is still known after so many days.
func (m Memory) Recall(days int64) fixed.Num {
	if !m.Known() {
		return 0
	}
	past := fixed.Div(fixed.FromInt(max(days, 0)), m.Stability)
	return fixed.Pow(fixed.One+fixed.Mul(factor(), past), -w(20))
}

// Days returns after how many days, at least 1, it should be asked again.
func (m Memory) Days() int64 {
	if !m.Known() {
		return 0
	}
	far := fixed.Pow(fixed.FromRatio(Retention, 100), -fixed.Div(fixed.One, w(20))) - fixed.One
	days := fixed.Mul(m.Stability, fixed.Div(far, factor()))
	return max(1, min(int64((days+fixed.One/2)/fixed.One), daysMost))
}

// Answered returns the memory after an answer so many whole days after the last one.
func (m Memory) Answered(g Grade, days int64) Memory {
	g = max(Again, min(g, Easy))
	if !m.Known() {
		return Memory{Stability: w(int(g) - 1), Difficulty: difficulty(firstDifficulty(g))}
	}
	out := Memory{Difficulty: m.harder(g)}
	switch {
	case days <= 0:
		out.Stability = stable(m.sameDay(g))
	case g == Again:
		out.Stability = stable(m.forgot(m.Recall(days)))
	default:
		out.Stability = stable(m.recalled(g, m.Recall(days)))
	}
	return out
}

func difficulty(d fixed.Num) fixed.Num { return limit(d, fixed.One, 10*fixed.One) }

func firstDifficulty(g Grade) fixed.Num {
	return w(4) - fixed.Exp(fixed.Mul(w(5), fixed.FromInt(int64(g)-1))) + fixed.One
}

// harder moves the difficulty by the grade, less the nearer it is to its end, and a little towards that of an easy one.
func (m Memory) harder(g Grade) fixed.Num {
	by := fixed.Mul(-w(6), fixed.FromInt(int64(g)-int64(Good)))
	next := m.Difficulty + fixed.Div(fixed.Mul(by, 10*fixed.One-m.Difficulty), 9*fixed.One)
	return difficulty(fixed.Mul(w(7), firstDifficulty(Easy)) + fixed.Mul(fixed.One-w(7), next))
}

func (m Memory) recalled(g Grade, recall fixed.Num) fixed.Num {
	gain := fixed.Mul(fixed.Exp(w(8)), 11*fixed.One-m.Difficulty)
	gain = fixed.Mul(gain, fixed.Pow(m.Stability, -w(9)))
	gain = fixed.Mul(gain, fixed.Exp(fixed.Mul(w(10), fixed.One-recall))-fixed.One)
	switch g {
	case Hard:
		gain = fixed.Mul(gain, w(15))
	case Easy:
		gain = fixed.Mul(gain, w(16))
	}
	return fixed.Mul(m.Stability, fixed.One+gain)
}

func (m Memory) forgot(recall fixed.Num) fixed.Num {
	s := fixed.Mul(w(11), fixed.Pow(m.Difficulty, -w(12)))
	s = fixed.Mul(s, fixed.Pow(m.Stability+fixed.One, w(13))-fixed.One)
	s = fixed.Mul(s, fixed.Exp(fixed.Mul(w(14), fixed.One-recall)))
	return min(s, fixed.Div(m.Stability, fixed.Exp(fixed.Mul(w(17), w(18)))))
}

func (m Memory) sameDay(g Grade) fixed.Num {
	gain := fixed.Exp(fixed.Mul(w(17), fixed.FromInt(int64(g)-int64(Good))+w(18)))
	gain = fixed.Mul(gain, fixed.Pow(m.Stability, -w(19)))
	if g >= Hard { // whoever knew it, if barely, is asked no sooner
		gain = max(gain, fixed.One)
	}
	return fixed.Mul(m.Stability, gain)
}
