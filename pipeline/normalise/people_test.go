package normalise

import (
	"testing"

	"spadefoot/mappings"
)

// Lists of people are parted by " | " (Darwin Core, comment on recordedBy).
func TestPeople(t *testing.T) {
	for text, want := range map[string]string{
		"I. Varga":                   "I. Varga",
		"I. Varga & T. Okafor":       "I. Varga | T. Okafor",
		"I. Varga and T. Okafor":     "I. Varga | T. Okafor",
		"Ines Varga, Tomasz Okafor":  "Ines Varga | Tomasz Okafor",
		"Varga, Ines":                "Varga, Ines",
		"Varga, I.; Okafor, T.":      "Varga, I. | Okafor, T.",
		"IV/TO":                      "IV | TO",
		"IV, TO, MR":                 "IV | TO | MR",
		"iv/to":                      "iv | to",
		"Varga + Okafor":             "Varga | Okafor",
		"J. van der Berg und K. Ott": "J. van der Berg | K. Ott",
		"Fish and Wildlife Service":  "Fish and Wildlife Service",
		"Varga and 3 volunteers":     "Varga and 3 volunteers",
		"I. Varga | T. Okafor":       "I. Varga | T. Okafor",
		"OB1":                        "OB1",
		"Varga; ":                    "Varga; ",
		"see notebook, page 4":       "see notebook, page 4",
	} {
		if got := people(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

func TestPeopleWordsAreRead(t *testing.T) {
	rows, err := mappings.Table[struct {
		Word string `csv:"word"`
		Kind string `csv:"kind"`
	}]("people_words.csv")
	if err != nil || len(rows) != len(peopleWords()) || len(rows) == 0 {
		t.Errorf("%d rows, %d words, %v", len(rows), len(peopleWords()), err)
	}
	for _, r := range rows {
		switch r.Kind {
		case "between", "particle", "body":
		default:
			t.Errorf("%s is %q", r.Word, r.Kind)
		}
	}
}
