package kitchen

import (
	"slices"

	"brinebell/internal/core/entry"
)

// batchesOf lists the batches that a body is about, each once; those that an entry makes only exist when it holds.
func batchesOf(self entry.ID, body entry.Body) []entry.ID {
	switch b := body.(type) {
	case *entry.Start:
		return []entry.ID{self}
	case *entry.Move:
		return some(b.Batch)
	case *entry.Portioning:
		var ids []entry.ID
		for _, share := range b.Out {
			if !contains(ids, share.Batch) {
				ids = append(ids, share.Batch)
			}
		}
		return ids
	case *entry.Discard:
		return some(b.Batch)
	case *entry.Count:
		return some(b.Batch)
	case *entry.Step:
		return some(b.Batch)
	case *entry.Note:
		return some(b.Batch)
	case *entry.Deviation:
		return some(b.Batch)
	case *entry.Frost:
		return some(b.Batch)
	case *entry.Log:
		return some(b.Batch)
	case *entry.LogReading:
		return some(b.Batch)
	case *entry.LogEnd:
		return some(b.Batch)
	case *entry.CookLog:
		return some(b.Batch)
	}
	return nil
}

func some(id entry.ID) []entry.ID {
	if id.IsZero() {
		return nil
	}
	return []entry.ID{id}
}

func firstBatch(self entry.ID, body entry.Body) entry.ID {
	if ids := batchesOf(self, body); len(ids) > 0 {
		return ids[0]
	}
	return entry.ID{}
}

func contains(ids []entry.ID, id entry.ID) bool { return slices.Contains(ids, id) }

// describe fills what an event says, from the body of its entry, for the history of one batch.
func describe(v *Event, body entry.Body, batch entry.ID) {
	switch b := body.(type) {
	case *entry.Start:
		v.Stage, v.Place = b.Stage, b.Place
		v.Number, v.Unit = either(b.Grams, b.Pieces)
	case *entry.Move:
		v.Stage, v.Place, v.Text = b.To, b.Place, b.Override.Reason
	case *entry.Portioning:
		v.Text = b.Override.Reason
		for _, share := range b.Out {
			if share.Batch == batch {
				v.Stage = share.Stage
				v.Number, v.Unit = either(share.Grams, share.Pieces)
				return
			}
		}
	case *entry.Discard:
		v.Text = b.Reason
		v.Number, v.Unit = either(b.Grams, b.Pieces)
	case *entry.Count:
		v.Number, v.Unit, v.Text = amount(b.Sold)+amount(b.Wasted), "1", b.Reason
	case *entry.Step:
		v.Stage, v.Step = b.Stage, b.Step
		v.Number, v.Unit, v.Text = b.Value, b.Unit, b.Answer
		if b.Note != "" {
			v.Text = b.Note
		}
	case *entry.Note:
		v.Text = b.Text
	case *entry.Deviation:
		v.Text = b.Text
	default:
		describeLog(v, body)
	}
}

func describeLog(v *Event, body entry.Body) {
	switch b := body.(type) {
	case *entry.Frost:
		v.Place, v.Text = b.Place, b.Way
	case *entry.Log:
		if v.Text = b.What; b.Measured {
			v.Number, v.Unit = b.MilliC, "mC"
		}
	case *entry.LogReading:
		v.Number, v.Unit = b.MilliC, "mC"
		if b.Water {
			v.Text = "water"
		}
	case *entry.LogEnd:
		v.Text = b.Outcome
	case *entry.CookLog:
		v.Text, v.Number, v.Unit = b.Note, b.Held, "ms"
	}
}

// either returns the pieces if they are known, else the grams.
func either(grams, pieces int64) (n int64, unit string) {
	if pieces > 0 {
		return amount(pieces), "1"
	}
	return amount(grams), "g"
}

// amountMost bounds grams and pieces, so that no sum or product of two of them overflows: a thousand tonnes.
const amountMost = 1_000_000_000

// amount returns n as an amount: never negative, never more than anybody can mean.
func amount(n int64) int64 { return min(max(n, 0), amountMost) }

// portionOf returns part/whole of n, rounded to the nearest; n when there is no whole.
func portionOf(n, part, whole int64) int64 {
	if whole <= 0 || part >= whole {
		return n
	}
	return (n*part + whole/2) / whole
}

// About lists the batches that a body is about, each once. Self is the id of its entry.
func About(self entry.ID, body entry.Body) []entry.ID { return batchesOf(self, body) }
