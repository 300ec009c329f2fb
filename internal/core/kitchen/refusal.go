package kitchen

import (
	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
)

// RefusalCode says why a command is refused.
type RefusalCode uint8

// Why a command may be refused. The comment says what Number and Limit hold.
const (
	RefNone          RefusalCode = iota
	RefBadCommand                // the command cannot be read, or names no known deed: Name
	RefNoCrew                    // nobody has said who holds the device
	RefNotLead                   // only a lead may: Name is who tried
	RefNoProcedure               // no such procedure: Name
	RefNoBatch                   // no such batch
	RefNoPlace                   // no such equipment, or none named where one is needed: Name is the kind or the name
	RefNoList                    // no such list: Name
	RefNoStep                    // no such step in the stage or list: Name
	RefNoTimer                   // no such timer
	RefNoDeviation               // no such deviation
	RefNoEntry                   // nothing is known of the entry to be undone or corrected
	RefNoDevice                  // no such device: Name
	RefDiscarded                 // the batch was discarded
	RefEnded                     // nothing is left of the batch
	RefMovedOn                   // the batch is at another stage by now: Stage
	RefLastStage                 // there is no stage after this one: Stage
	RefNotNext                   // the stage asked for is not the next one: Stage is what was asked, Name the next
	RefNeedsPortion              // the next stage needs another kind of vessel: Name
	RefNeedsMove                 // the next stage keeps the vessel: the batch is moved, not portioned
	RefTooSoon                   // Number: how long it has lasted, Limit: the floor, ms; Until: when it may
	RefPastLimit                 // Number: how long it has lasted, Limit: the ceiling, ms
	RefStepMissing               // a required step of the stage is not done: Step, Name is its title's name; Number: how many
	RefStepFirst                 // a critical step before this one is not done: Step
	RefOffLimit                  // a hard limit of a step is not met: Step, Number, Limit, Unit
	RefPlaceOut                  // the equipment is out of use: Place, Name is why
	RefPlaceBusy                 // the equipment holds a load: Place, Batch
	RefPlaceResting              // the equipment needs time between loads: Number, Limit: ms; Until: when it may
	RefPlaceFull                 // more than the equipment holds: Number, Limit, Unit
	RefNoReading                 // the equipment was never read: Place, Limit and Unit of what is allowed
	RefReadingOff                // the last reading is off its limit: Place, Number, Limit: mC; Age
	RefReadingOld                // the last reading is too old: Place, Number: mC, Limit and Age: ms
	RefNeedAmount                // grams or pieces must be given
	RefNeedPieces                // pieces must be counted
	RefNeedGrams                 // it must be weighed
	RefNeedNumber                // the step asks for a number: Step, Unit
	RefNeedAnswer                // the step asks for yes or no: Step
	RefNeedSign                  // the step must be signed: Step, Name is the role
	RefNeedReason                // a reason must be given
	RefNeedText                  // words must be given
	RefMoreThanThere             // Number asked, Limit is what is there, Unit g or 1
	RefVesselFull                // Number into one vessel, Limit of it, Unit g or 1
	RefUnlikely                  // a number that nobody can mean: Number, Limit, Unit
	RefMixed                     // the batches are of different procedures, versions or stages
	RefNothingReady              // no batch is ready to be loaded
	RefDoubt                     // the batch is in doubt: the deviation (Name) must be closed first
	RefNotHold                   // only what is in the hold is counted: Stage
	RefUndoLate                  // Number: how long ago, Limit: how long it may be undone, ms
	RefNotYours                  // only who did it, or the same device, may undo it
	RefNotUndoable               // entries of this kind are not undone or corrected
	RefWithdrawn                 // it was taken back already
	RefSameVersion               // Number: the version, Limit: the newest there is; a higher one is needed
	RefDocument                  // the document cannot be read: Name says why
	RefClosed                    // the list or deviation is closed already
	RefUnderPressure             // it stands under pressure: Step is the first that lets it off, empty before the cook ends
	RefCrewKnown                 // the crew member cannot be listed like this: Name
	RefNoProbe                   // no such probe, or none named where one is needed: Name
	RefPartMissing               // a part of the deviation is not written down: Name is the first, Number how many
	RefNoPlan                    // the plan that is to be taken on is no longer there
	RefDayOpen                   // the day cannot be closed: Name is the first that is open, Number how many
	RefKeepLess                  // records must be kept longer: Number, Limit: days; Name is the source
	RefNotEquipment              // what is asked cannot be done with the equipment: Place
	RefNot                       // it is not so with the batch or the log: Name says what; Number, Limit: mC
	RefLogLong                   // a log has more readings than a record keeps: Number, Limit
	RefNotSigned                 // no sign-off for the work: Name is the competence; Step, Number the changed step and its version
	RefTooYoung                  // an age rule keeps the work from somebody of that age: Name is the rule, Number the age, Limit: years
	RefNotConfirmed              // guided: a critical step waits for the trainer's answer: Step
	RefPinWait                   // wrong PINs make one wait: Name; Until
	RefPin                       // it is not the member's PIN: Name; Number: wrong ones so far; Until: when the next may be tried
	RefBorn                      // no day on which somebody here can have been born: Name
	RefPinTwice                  // the new PIN was typed in two ways
	RefPinForm                   // a PIN has 4 to 8 digits and is no row of one or of counting digits
	RefNoPin                     // the member has set no PIN: Name
	RefNotTrainer                // only a trainer or lead may, and nobody for themselves: Name is who tried
	RefNotGuided                 // nobody guides whoever taps there
	RefWrongNumber               // the number that was tapped is not the one on the screen of Name
	RefOwnPhone                  // Name answers on a phone of their own, or with a PIN
	RefEvidence                  // what the competence needs is not there: Name; Number of Limit guided runs
)

// Refusal says why a command is not done: which number is out, which limit, by how much, and from when it may be.
type Refusal struct {
	Code     RefusalCode
	Batch    entry.ID
	Place    string // equipment id
	Stage    string
	Step     string
	Name     string
	Number   int64
	Limit    int64
	Unit     string // of Number and Limit: mC, g, mL, ms or 1
	Age      stamp.Span
	Until    stamp.Milli // from when it may be; 0: no such time
	Override bool        // a lead may override it with a reason
	Urgent   bool        // food, oil or pressure cannot wait: it may be done now, and the lead is told
	Lapse    Lapse       // of RefNotSigned: why the sign-off that there was holds no longer
	Document string      // of RefNotSigned and RefEvidence: what the competence (Name) stands in
}
