package quantity

import (
	"testing"

	"spadefoot/pipeline/record"
)

// A number in words is never taken for a remark, and is written in figures where it is
// plain.
func TestNumbersInWords(t *testing.T) {
	for _, c := range []struct {
		text    string
		figures string
		remark  bool
	}{
		{"forty", "40", false}, {"Twenty three", "23", false}, {"twenty-three", "23", false}, {"about forty", "about 40", false},
		{"one hundred and five", "105", false}, {"a hundred", "100", false}, {"two thousand three hundred", "2300", false}, {"three hundred twelve g", "312 g", false},
		{"twenty three mm", "23 mm", false}, {"less than forty", "less than 40", false}, {"treinta y uno", "31", false}, {"ciento veintitrés", "123", false},
		{"trinta e dois", "32", false}, {"vingt et un", "21", false}, {"dix-sept", "17", false}, {"dwadzieścia trzy", "23", false}, {"dvacet tři", "23", false},
		{"twenty three point five", "", false}, {"two and a half", "", false}, {"one two", "", false}, {"quatre-vingt-dix", "", false}, {"dua puluh tiga", "", false}, {"eleven twenty", "", false},
		{"vierzig", "", false}, {"vierzig Gramm", "", false}, {"etwa vierzig", "", false}, {"tjugotre mm", "", false}, // words that are not known
		{"scale was wet", "", true}, {"two toes missing", "", true}, {"one eye", "", true}, {"tail broken", "", true}, {"over night", "", true},
	} {
		q := Parse(c.text, Options{Unit: "g"})
		if remark := q.State == record.Missing; remark != c.remark || len(q.Problems) != 1 || q.Problems[0].Suggestion != c.figures {
			t.Errorf("%q: %v %+v", c.text, q.State, q.Problems)
		}
		if c.figures != "" {
			if q := Parse(c.figures, Options{Unit: "g"}); q.State == record.Unread {
				t.Errorf("%q cannot be read", c.figures)
			}
		}
	}
}
