package entry

import (
	"strconv"

	"brinebell/internal/core/wire"
)

// Kind says what an entry tells. The numbers are for ever: they stand in every journal.
type Kind uint16

// Kinds of entries.
const (
	KitchenNamed      Kind = 1
	OffsetsSet        Kind = 2
	CrewListed        Kind = 3
	DevicePaired      Kind = 4
	DeviceRevoked     Kind = 5
	DocumentPublished Kind = 6
	BatchStarted      Kind = 7
	BatchMoved        Kind = 8
	BatchPortioned    Kind = 9
	BatchDiscarded    Kind = 10
	HoldCounted       Kind = 11
	StepDone          Kind = 12
	ReadingTaken      Kind = 13
	DeviationOpened   Kind = 14
	DeviationAnswered Kind = 15
	BellAnswered      Kind = 16
	EntryWithdrawn    Kind = 17
	EntryCorrected    Kind = 18
	TimerSet          Kind = 19
	TimerEnded        Kind = 20
	EquipmentSet      Kind = 21
	NoteMade          Kind = 22
	ClockDoubted      Kind = 23
	ListClosed        Kind = 24
	DevicePosted      Kind = 25

	SensorRead    Kind = 40
	SensorPaired  Kind = 41
	SensorRevoked Kind = 42
	LoggerRead    Kind = 43
	QuizAnswered  Kind = 44
	ProbeChecked  Kind = 26
	DeviationPart Kind = 27
	DayClosed     Kind = 28
	SettingMade   Kind = 29
	DeliveryTaken Kind = 30
	OilTended     Kind = 31
	BatchFrozen   Kind = 32
	LogBegun      Kind = 33
	LogRead       Kind = 34
	LogEnded      Kind = 35
	CookAssessed  Kind = 36

	PinSet        Kind = 45
	GuideBegun    Kind = 46
	GuideAsked    Kind = 47
	GuideAnswered Kind = 48
	GuideChecked  Kind = 49
	TrainerNoted  Kind = 50
	SignedOff     Kind = 51
	RungDone      Kind = 52

	DemandTold   Kind = 53
	TurnedAway   Kind = 54
	SalesBrought Kind = 55
	PlanTaken    Kind = 56
	ShiftTold    Kind = 57
)

// Body is what an entry of one kind carries.
type Body interface {
	wire.Fielder
	Kind() Kind
}

type kindInfo struct {
	name    string
	version uint32
	make    func() Body
}

// kinds lists every kind that this build folds. To add one: a number above, a body in bodies.go, a line here, and a
// case in kitchen.apply.
var kinds = map[Kind]kindInfo{
	KitchenNamed:      {"kitchen named", 1, func() Body { return new(NamedKitchen) }},
	OffsetsSet:        {"offsets set", 1, func() Body { return new(Offsets) }},
	CrewListed:        {"crew listed", 2, func() Body { return new(Member) }},
	DevicePaired:      {"device paired", 1, func() Body { return new(Pairing) }},
	DeviceRevoked:     {"device revoked", 1, func() Body { return new(Revocation) }},
	DocumentPublished: {"document published", 1, func() Body { return new(Document) }},
	BatchStarted:      {"batch started", 1, func() Body { return new(Start) }},
	BatchMoved:        {"batch moved", 1, func() Body { return new(Move) }},
	BatchPortioned:    {"batch portioned", 1, func() Body { return new(Portioning) }},
	BatchDiscarded:    {"batch discarded", 1, func() Body { return new(Discard) }},
	HoldCounted:       {"hold counted", 1, func() Body { return new(Count) }},
	StepDone:          {"step done", 2, func() Body { return new(Step) }},
	ReadingTaken:      {"reading taken", 1, func() Body { return new(Reading) }},
	DeviationOpened:   {"deviation opened", 1, func() Body { return new(Deviation) }},
	DeviationAnswered: {"deviation answered", 1, func() Body { return new(Answer) }},
	BellAnswered:      {"bell answered", 1, func() Body { return new(GotIt) }},
	EntryWithdrawn:    {"entry withdrawn", 1, func() Body { return new(Withdrawal) }},
	EntryCorrected:    {"entry corrected", 1, func() Body { return new(Correction) }},
	TimerSet:          {"timer set", 1, func() Body { return new(Timer) }},
	TimerEnded:        {"timer ended", 1, func() Body { return new(TimerEnd) }},
	EquipmentSet:      {"equipment set", 1, func() Body { return new(Equipment) }},
	NoteMade:          {"note made", 1, func() Body { return new(Note) }},
	ClockDoubted:      {"clock doubted", 1, func() Body { return new(ClockDoubt) }},
	ListClosed:        {"list closed", 1, func() Body { return new(ListClose) }},
	DevicePosted:      {"device posted", 1, func() Body { return new(Post) }},
	SensorRead:        {"sensor read", 1, func() Body { return new(Sensing) }},
	SensorPaired:      {"sensor paired", 1, func() Body { return new(SensorPairing) }},
	SensorRevoked:     {"sensor revoked", 1, func() Body { return new(SensorRevocation) }},
	LoggerRead:        {"logger read", 1, func() Body { return new(FileRead) }},
	QuizAnswered:      {"quiz answered", 1, func() Body { return new(QuizAnswer) }},
	ProbeChecked:      {"probe checked", 1, func() Body { return new(ProbeCheck) }},
	DeviationPart:     {"deviation part", 1, func() Body { return new(Part) }},
	DayClosed:         {"day closed", 1, func() Body { return new(DayClose) }},
	SettingMade:       {"setting made", 1, func() Body { return new(Setting) }},
	DeliveryTaken:     {"delivery taken", 1, func() Body { return new(Delivery) }},
	OilTended:         {"oil tended", 1, func() Body { return new(Oil) }},
	BatchFrozen:       {"batch frozen", 1, func() Body { return new(Frost) }},
	LogBegun:          {"log begun", 1, func() Body { return new(Log) }},
	LogRead:           {"log read", 1, func() Body { return new(LogReading) }},
	LogEnded:          {"log ended", 1, func() Body { return new(LogEnd) }},
	CookAssessed:      {"cook assessed", 1, func() Body { return new(CookLog) }},
	PinSet:            {"pin set", 1, func() Body { return new(Pin) }},
	GuideBegun:        {"guide begun", 1, func() Body { return new(Guide) }},
	GuideAsked:        {"guide asked", 1, func() Body { return new(GuideAsk) }},
	GuideAnswered:     {"guide answered", 1, func() Body { return new(GuideAnswer) }},
	GuideChecked:      {"guide checked", 1, func() Body { return new(GuideCheck) }},
	TrainerNoted:      {"trainer noted", 1, func() Body { return new(TrainerNote) }},
	SignedOff:         {"signed off", 1, func() Body { return new(SignOff) }},
	RungDone:          {"rung done", 1, func() Body { return new(Rung) }},
	DemandTold:        {"demand told", 1, func() Body { return new(Demand) }},
	TurnedAway:        {"turned away", 1, func() Body { return new(Away) }},
	SalesBrought:      {"sales brought", 1, func() Body { return new(Sales) }},
	PlanTaken:         {"plan accepted", 1, func() Body { return new(PlanAccepted) }},
	ShiftTold:         {"shift told", 1, func() Body { return new(Shift) }},
}

// Kinds returns the kinds that this build folds, in the order of their numbers.
func Kinds() []Kind {
	var list []Kind
	for k := range Kind(64) {
		if _, ok := kinds[k]; ok {
			list = append(list, k)
		}
	}
	return list
}

// Make returns an empty body of the kind, or nil if this build does not know it.
func (k Kind) Make() Body {
	if info, ok := kinds[k]; ok {
		return info.make()
	}
	return nil
}

// String returns the kind's name.
func (k Kind) String() string {
	if info, ok := kinds[k]; ok {
		return info.name
	}
	return "kind " + strconv.Itoa(int(k))
}

func versionOf(k Kind) uint32 { return kinds[k].version }
