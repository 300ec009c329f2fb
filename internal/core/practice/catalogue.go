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
	first   string // what is done as it opens
	hurts   bool   // when nobody answers somebody can be hurt
	answers []answer
}

// answer is one thing that may be done: what it is worth, and what it does (see act).
type answer struct {
	grade Grade
	acts  string
}

// troubles are all kinds.
var troubles = [...]kind{
	{"oilcold", oilCold, 1, fry, "", "oil", "", true, []answer{
		{Right, "wait:5"}, {Right, "deviate wait:8"}, {Harm, "off force +20:deviate"}, {Wrong, "discard"}}},
	{"oilhot", oilHot, 1, fry, "", "oil", "", true, []answer{
		{Right, "wait:5"}, {Harm, "off force +20:deviate"}, {Harm, "deviate out +40:in"}, {Wrong, "discard"}, {Right, "deviate wait:8"}}},
	{"warm", rawWarm, 1, raw, "", "raw", "", true, []answer{
		{Right, "off wait:5 then:ok answer"}, {Harm, "ok +60:deviate"}, {Wrong, "off +30:discard"}, {Wrong, "discard"}, {Right, "off deviate wait:5 then:ok answer"}}},
	{"core", coreLow, 1, fry, "", "oil", "", true, []answer{
		{Right, "off wait:1 then:ok answer"}, {Harm, "ok +30:deviate"}, {Harm, "off force +30:deviate"}, {Wrong, "off discard"}, {Right, "off deviate wait:1 then:ok answer"}}},
	{"gauge", gauge, 1, fry, "manual", "pressure", "", true, []answer{
		{Right, "off wait:2 then:ok"}, {Right, "off deviate wait:2 then:ok"}, {Harm, "force deviate out +40:in"}, {Harm, "ok deviate"}}},
	{"needle", gauge, 2, fry, "manual", "pressure", "", true, []answer{
		{Right, "off wait:2 then:ok"}, {Right, "off deviate wait:2 then:ok"}, {Harm, "ok deviate"}, {Harm, "ok deviate out +40:in"}}},
	{"vent", vent, 2, fry, "manual", "pressure", "", true, []answer{
		{Right, "deviate wait:2"}, {Harm, "deviate out +40:in"}, {Harm, "force deviate out +40:in"}, {Wrong, "lose:6 wait:2"}, {Right, "wait:2"}}},
	{"lid", lid, 1, fry, "manual", "pressure", "", true, []answer{
		{Right, "wait:1"}, {Right, "deviate wait:2"}, {Harm, "ok deviate out +40:in"}, {Harm, "ok deviate"}, {Wrong, "discard"}}},
	{"wet", wet, 1, fry, "water", "oil", "", true, []answer{
		{Right, "off wait:1 then:ok"}, {Harm, "ok deviate"}, {Wrong, "discard"}, {Right, "off wait:1 then:ok"}}},
	{"order", basket, 1, fry, "step", "", "", false, []answer{
		{Right, "wait:1"}, {Wrong, "ok lose:8"}, {Harm, "ok +20:deviate"}, {Right, "wait:1"}}},
	{"many", loads, 1, fry, "most", "oil", "", false, []answer{
		{Right, ""}, {Right, "wait:1"}, {Harm, "force deviate"}, {Wrong, "tempt lose:2"}}},
	{"tacky", tacky, 2, raw, "common", "raw", "", false, []answer{
		{Right, "wait:10"}, {Wrong, "lose:15"}, {Harm, "deviate"}, {Wrong, "discard"}, {Right, "wait:10"}}},
	{"bell", goesOn, 1, raw | people, "window", "", "got", false, []answer{
		{Right, ""}, {Right, "wait:1"}, {Wrong, "lose:5 wait:30"}, {Wrong, "got lose:5 wait:30"}}},
	{"two", done, 2, fry | hot, "window", "oil", "", true, []answer{
		{Right, ""}, {Right, ""}, {Wrong, "lose:1 wait:2"}, {Harm, "wait:3 deviate"}}},
	{"tray", served, 1, hot, "apart", "doubt", "", true, []answer{
		{Right, "wait:1"}, {Harm, "deviate"}, {Harm, "deviate"}, {Right, "wait:1"}}},
	{"golden", golden, 1, hot, "step", "raw", "", true, []answer{
		{Right, "off wait:1 then:ok answer"}, {Harm, "ok +15:deviate"}, {Wrong, "discard"}, {Right, "off deviate wait:1 then:ok answer"}}},
	{"look", look, 1, raw, "step", "raw", "", false, []answer{
		{Right, "off wait:3 then:ok answer"}, {Wrong, "ok lose:12"}, {Wrong, "discard"}, {Right, "off deviate wait:3 then:ok answer"}}},
	{"cold", coldRoom, 1, raw, "", "doubt", "", true, []answer{
		{Right, "readoff lose:5 +20:readok"}, {Harm, "readok +60:deviate"}, {Wrong, "lose:30 readoff +20:readok"}, {Right, "readoff deviate lose:10 +20:readok"}}},
	{"hot", cabinet, 1, hot, "", "doubt", "", true, []answer{
		{Right, "readoff lose:5 +15:readok"}, {Harm, "readok +30:deviate"}, {Harm, "+30:readoff +45:readok"}, {Right, "readoff deviate lose:5 +15:readok"}}},
	{"probe", probe, 2, fry | raw, "probe", "doubt", "", true, []answer{
		{Right, "checkoff lose:5"}, {Harm, "checkok +60:deviate"}, {Harm, "checkoff deviate"}, {Right, "checkoff lose:3"}}},
	{"delivery", delivery, 1, raw, "", "raw", "", true, []answer{
		{Right, "back"}, {Harm, "take +60:deviate"}, {Wrong, "takeoff lose:20"}, {Right, "back deviate"}}},
	{"soon", soon, 1, raw, "window", "raw", "", false, []answer{
		{Right, ""}, {Wrong, "force"}, {Wrong, "lead lose:2"}, {Right, "lose:1"}}},
	{"bus", soon, 2, raw | hot, "window", "raw", "", false, []answer{
		{Right, "lose:1"}, {Wrong, "force"}, {Harm, "deviate"}, {Right, "lose:2"}}},
	{"tub", pastTub, 2, raw, "over", "raw", "", true, []answer{
		{Right, "discard"}, {Right, "deviate lose:3 discard"}, {Harm, "force +20:discard"}, {Wrong, "lose:30 +30:discard"}}},
	{"late", pastTray, 1, hot, "over", "doubt", "", false, []answer{
		{Right, "waste"}, {Harm, "sell"}, {Wrong, "trysell lose:3 waste"}, {Right, "waste"}}},
	{"mark", marked, 2, raw, "mark", "raw", "", false, []answer{
		{Right, "note"}, {Harm, "note +60:deviate"}, {Wrong, "discard"}, {Wrong, "lose:10"}, {Right, "note lose:1"}}},
	{"peanut", allergens, 1, people, "allergen", "allergen", "", true, []answer{
		{Right, "lose:8 deviate"}, {Harm, "+30:deviate"}, {Harm, "+30:deviate"}, {Right, "lose:10 deviate"}}},
	{"guest", allergens, 2, people, "allergen", "allergen", "", true, []answer{
		{Right, "lose:2"}, {Harm, "+30:deviate"}, {Harm, "+30:deviate"}, {Right, "lose:2"}}},
	{"burn", fryer, 1, people, "burn", "burn", "", true, []answer{
		{Right, "lose:20 deviate"}, {Harm, "deviate"}, {Harm, "deviate"}, {Harm, "lose:5 deviate"}, {Right, "lose:20 deviate"}}},
	{"power", fryer, 2, people, "common", "oil", "", true, []answer{
		{Right, "lose:6 deviate"}, {Harm, "deviate out +40:in"}, {Wrong, "lose:10 +60:deviate"}, {Right, "lose:6 deviate"}}},
	{"wifi", anything, 1, people, "common", "", "", false, []answer{
		{Right, ""}, {Wrong, "lose:10"}, {Wrong, "lose:20"}, {Right, ""}}},
	{"spent", idle, 2, fry, "oil", "oil", "", false, []answer{
		{Right, "polar deviate oilchange lose:25"}, {Wrong, "polar oiltop lose:20"}, {Harm, "polar deviate out +40:in"}, {Right, "polar deviate out lose:5 +60:in"}}},
	{"foam", lowers, 2, fry, "common", "oil", "", true, []answer{
		{Right, "deviate wait:2"}, {Harm, "deviate out +40:in"}, {Harm, "deviate out +40:in"}, {Right, "deviate wait:2"}}},
	{"broken", fryer, 2, fry, "common", "oil", "", false, []answer{
		{Right, "out lose:2 +40:in"}, {Wrong, "lose:15"}, {Harm, "deviate out +60:in"}, {Right, "out lose:3 +60:in"}}},
	{"wash", rawBatch, 1, people | raw, "apart", "raw", "", true, []answer{
		{Right, "lose:10 deviate"}, {Harm, "+20:deviate"}, {Harm, "+20:deviate"}, {Right, "lose:10 deviate"}}},
	{"hands", tray, 1, people | hot, "hands", "raw", "", true, []answer{
		{Right, "lose:1"}, {Harm, "+20:deviate"}, {Harm, "+20:deviate"}, {Right, "lose:1"}}},
	{"list", openList, 1, raw | hot | people | fry, "list", "", "", false, []answer{
		{Right, "list lose:10"}, {Wrong, "list lose:1 +45:deviate"}, {Wrong, "lose:5 +60:list"}, {Wrong, "shut"}, {Right, "list lose:6"}}},
	{"ill", anything, 2, people, "ill", "", "", true, []answer{
		{Right, "lose:15 deviate"}, {Harm, "+90:deviate"}, {Harm, "+90:deviate"}, {Right, "lose:10 deviate"}}},
	{"fire", fryer, 3, people | fry, "fire", "fire", "", true, []answer{
		{Right, "out deviate lose:60 +90:in"}, {Harm, "out deviate lose:90 +120:in"}, {Harm, "out deviate lose:90 +120:in"}, {Right, "out deviate lose:90 +90:in"}}},
	{"slip", fryer, 2, people, "slip", "oil", "", true, []answer{
		{Right, "lose:4"}, {Harm, "deviate"}, {Harm, "deviate"}, {Right, "lose:3"}}},
}
