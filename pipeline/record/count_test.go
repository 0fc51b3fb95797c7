package record_test

import (
	"testing"

	"spadefoot/pipeline/record"
)

func TestCapital(t *testing.T) {
	for text, want := range map[string]string{
		"the mass is missing": "The mass is missing", "a bag of 9 g": "A bag of 9 g", "g is a unit of mass": "g is a unit of mass",
		"ä and ö": "ä and ö", "über": "Über", "": "", "error": "Error", "5 g is too little": "5 g is too little",
	} {
		if got := record.Capital(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
