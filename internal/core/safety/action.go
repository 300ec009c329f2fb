package safety

import (
	"brinebell/internal/core/quantity"
	"brinebell/internal/core/stamp"
)

// Action is the id of a corrective action: its words stand in package words, and records keep the id.
type Action string

// Corrective actions. Which of them a kitchen takes is for its lead and the local code to say.
const (
	Discard   Action = "discard"   // throw it away and count it as waste
	Reheat    Action = "reheat"    // to the reheating limit at once, then cool it again, once
	Faster    Action = "faster"    // cool it faster: smaller portions, shallow pans, an ice bath
	Chill     Action = "chill"     // bring it to the cold limit at once
	HotAgain  Action = "hotagain"  // bring it back above the hot limit at once
	Elsewhere Action = "elsewhere" // into equipment that holds its limit
	Repair    Action = "repair"    // take the equipment out of use and have it looked at
	ReadAgain Action = "readagain" // with a second, checked probe
	UseFirst  Action = "usefirst"  // what has used up most goes first
	WriteMark Action = "writemark" // write the mark that the rule asks for
	CallLead  Action = "calllead"  // let the lead decide
)

// Used is how much of an allowance is used up.
type Used struct {
	Spent stamp.Span
	Most  stamp.Span
	Until stamp.Milli // the last instant that is allowed; 0 while nothing runs
}

// Left returns what is left of the allowance, negative when it was overspent.
func (u Used) Left() stamp.Span { return u.Most - u.Spent }

// Met tells whether the allowance was kept: all of it may be used, and not a millisecond more.
func (u Used) Met() bool { return u.Spent <= u.Most }

// Share returns the part that is used up, in thousandths, rounded up, so that less than all never looks like nothing
// and more than all never like all.
func (u Used) Share() int64 {
	if u.Most <= 0 || u.Spent <= 0 {
		return 0
	}
	whole, rest := u.Spent/u.Most, u.Spent%u.Most
	return int64(whole)*1000 + int64((rest*1000+u.Most-1)/u.Most)
}

// finding holds the allowance against its limit.
func (u Used) finding(rule, source string) Finding {
	return Finding{
		Rule: rule, Source: source, Formula: "spent <= most", Verdict: Judge(u.Met()), By: int64(max(u.Left(), -u.Left())),
		Got: Amount{"spent", int64(u.Spent), quantity.Milli}, Limit: Amount{"most", int64(u.Most), quantity.Milli},
	}
}
