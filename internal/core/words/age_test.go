package words

import (
	"encoding/csv"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/kitchen"
	"brinebell/internal/core/procedure"
	"brinebell/internal/core/young"
)

// A refusal for age says the age, from when the work is allowed, the rule with its source, what was read, and who is to decide.
func TestTooYoungSaysItsRule(t *testing.T) {
	s := kitchen.New()
	s.Country = "US"
	r := kitchen.Refusal{Code: kitchen.RefTooYoung, Name: "cook-1415-press", Number: 15, Limit: 16}
	off := EN.Refusal(s, &r, 0)
	all := off.Title + " " + strings.Join(off.Lines, " ")
	for _, want := range []string{"You are 15", "from 16 years", "no cooking under pressure", "29 CFR 570.33; 570.34(c)", "Fact Sheet #2A", "Local law may be stricter"} {
		require.Contains(t, all, want)
	}
	es := ES.Refusal(s, &r, 0)
	require.Contains(t, strings.Join(es.Lines, " "), "nada de cocinar a presión")
	dev := EN.Deviation(s, &kitchen.Deviation{Code: kitchen.DevTooYoung, Stage: "cook", By: "jun", Number: 15, Limit: 16, Unit: "1", Text: "cook-1415-press"}, 0)
	said := strings.Join(append(dev.Lines, dev.Title), " ")
	require.Contains(t, said, "no cooking under pressure")
	require.Contains(t, said, "15")
	require.NotContains(t, said, "{")
	require.Contains(t, EN.AgeRule(young.Find("US", nil, "cook-1415-pressfry")), "from memory")
	own := []procedure.AgeRule{{Under: 18, Text: procedure.Text{EN: "No fryers.", ES: "Sin freidoras."}, Source: procedure.Text{EN: "Our insurer", ES: "Nuestro seguro"}}}
	require.Equal(t, "Menores de 18: Sin freidoras. (norma propia de la cocina; Nuestro seguro)", ES.AgeRule(young.Find("ES", own, "own-1")))
}

// Every rule has its words, with its age and its figure; hours, which are only said, hold those of the published rows.
func TestAgeWordsAsPublished(t *testing.T) {
	f, err := os.Open("../../../testdata/published/youth-employment-us.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	for _, row := range rows[1:] {
		id, value := row[0], row[5]
		for _, l := range Langs() {
			switch {
			case young.Find("US", nil, id) != nil:
				text := l.AgeRule(young.Find("US", nil, id))
				require.Contains(t, text, value, id)
				require.Contains(t, text, row[7], id)
				if row[1] == "14-15" {
					require.Contains(t, text, " 16:", id)
				}
			case strings.HasPrefix(id, "hrs-") && value != "":
				require.Contains(t, l.T("age.hours"), strings.TrimPrefix(value, "0"), "%s: %s", l, id)
			}
		}
	}
}
