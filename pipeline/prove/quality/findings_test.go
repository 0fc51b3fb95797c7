package quality

import (
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/schemas"
)

func TestFindings(t *testing.T) {
	values := map[string]string{}
	for k, v := range capture {
		values[k] = v
	}
	values["decimalLongitude"] = "76.4966" // the sign is lost
	values["basisOfRecord"] = "human observation"
	values["sex"] = "Male"
	values["establishmentMeans"] = "native"
	at := record.Address{File: "frogs.csv", Row: 7}
	got := map[string]record.Finding{}
	for _, f := range Findings(FromMap(values), Params{Today: dataDay}, at, func(term string) bool { return term != "year" }) {
		got[f.Reference] = f
	}
	if len(got) != 3 {
		t.Errorf("%d findings, want 3: %v", len(got), got)
	}
	for label, want := range map[string]record.Finding{
		"VALIDATION_COORDINATESCOUNTRYCODE_CONSISTENT": {Rule: "quality-validation", Level: record.Warning, Field: "countryCode", Suggestion: "decimalLatitude 42.4401, decimalLongitude -76.4966"},
		"VALIDATION_BASISOFRECORD_STANDARD":            {Rule: "quality-validation", Level: record.Warning, Field: "basisOfRecord", Suggestion: "HumanObservation"},
		"ISSUE_ESTABLISHMENTMEANS_NOTEMPTY":            {Rule: "quality-issue", Level: record.Note, Field: "establishmentMeans"},
	} {
		f := got[label]
		if f.Rule != want.Rule || f.Level != want.Level || f.Field != want.Field || f.Suggestion != want.Suggestion || f.At != at || f.Reason == "" {
			t.Errorf("%s: %+v, want %+v", label, f, want)
		}
	}
}

// What was not written is not doubted.
func TestFindingsNothingWritten(t *testing.T) {
	bad := FromMap(m{"eventDate": "2021-13", "sex": "x", "countryCode": "XX"})
	if got := Findings(bad, Params{}, record.Address{}, func(string) bool { return false }); len(got) > 0 {
		t.Errorf("%v", got)
	}
	if got := Findings(FromMap(m{}), Params{}, record.Address{}, func(string) bool { return true }); len(got) > 0 {
		t.Errorf("%v", got)
	}
}

func TestRulesAreListed(t *testing.T) {
	rules, err := schemas.Rules()
	if err != nil {
		t.Fatal(err)
	}
	levels := map[string]string{}
	for _, r := range rules {
		levels[r.Code] = r.Level
	}
	if levels["quality-validation"] != "warning" || levels["quality-issue"] != "note" {
		t.Errorf("%v", levels)
	}
}
