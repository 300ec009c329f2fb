package practice

// kind is a kind of trouble. Its texts are "pr.KEY" (what it is called), ".say" (what is seen), ".why" (the rule), ".1" and on
// (the answers, in the order below) and ".1.then" (what comes of it).
type kind struct {
	key     string
	need    need
	level   uint8 // the lowest level of a rung that has it
	about   topic
	source  string // id of where its rule comes from; "" where the limit says that itself
	caution string // id of the caution before it
	silent  string // what is done when nobody answers
	hurts   bool   // silence can hurt somebody
	answers []answer
}

// answer is one thing that may be done: what it is worth, and what it does (see act).
type answer struct {
	grade Grade
	acts  string
}

var troubles = [...]kind{
	{key: "oilcold", need: oilCold, level: 1, about: fry, silent: "wait:5", answers: []answer{
		{Right, "wait:5"},
		{Right, "deviate wait:8"},
		{Harm, "off force"},
		{Wrong, "discard"},
	}},
	{key: "cold", need: coldRoom, level: 1, about: raw, silent: "readoff", hurts: true, answers: []answer{
		{Right, "readoff lose:5 +20:readok"},
		{Harm, "readok lose:1"},
		{Wrong, "lose:30 readoff"},
	}},
	{key: "soon", need: soon, level: 1, about: raw, answers: []answer{
		{Right, ""},
		{Wrong, "force"},
		{Wrong, "lead"},
	}},
}
