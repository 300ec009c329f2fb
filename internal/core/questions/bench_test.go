package questions_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/procedure"
	"brinebell/internal/core/questions"
	"brinebell/internal/core/words"
	"brinebell/internal/demo"
)

// openAll reads the demo kitchen's procedures and equipment.
func openAll(t testing.TB) (list []procedure.Document) {
	docs, err := demo.Documents()
	require.NoError(t, err)
	for _, d := range docs {
		doc, faults := procedure.Parse([]byte(d.Text))
		require.Empty(t, faults)
		list = append(list, doc)
	}
	return list
}

// BenchmarkSet makes the question set of the longest procedure.
func BenchmarkSet(b *testing.B) {
	var longest *procedure.Procedure
	for _, d := range openAll(b) {
		if p := d.Procedure; p != nil && (longest == nil || len(questions.Of(p, words.EN, 0)) > len(questions.Of(longest, words.EN, 0))) {
			longest = p
		}
	}
	b.ResetTimer()
	for i := range b.N {
		if len(questions.Of(longest, words.ES, uint32(i))) < 40 {
			b.Fatal("the longest procedure asks less than it did")
		}
	}
}

// BenchmarkAll makes the sets of everything that the demo kitchen has written down, as the page of questions does.
func BenchmarkAll(b *testing.B) {
	docs := openAll(b)
	b.ResetTimer()
	for i := range b.N {
		n := 0
		for _, d := range docs {
			switch {
			case d.Procedure != nil:
				n += len(questions.Of(d.Procedure, words.ES, uint32(i)))
			case d.Equipment != nil:
				n += len(questions.OfEquipment(d.Equipment, words.ES, uint32(i)))
			}
		}
		if n < 150 {
			b.Fatalf("only %d questions are left", n)
		}
	}
}
