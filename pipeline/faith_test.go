package pipeline_test

import (
	"context"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
)

const faithSurvey = `
dataset: {id: "https://example.org/faith", title: Faith, description: A sheet with remarks in odd places., licence: CC0-1.0,
  published: 2024-10-01, creators: [{given: Ines, family: Varga, email: ines@example.org}], contacts: [{given: Ines, family: Varga, email: ines@example.org}]}
sheets: [{file: frogs.csv}]
mapping:
  key: [recordNumber]
  headings:
    - {heading: No, term: recordNumber}
    - {heading: Date, term: eventDate}
    - {heading: Place, term: locality}
    - {heading: Mark, term: organismID}
    - {heading: Name, term: vernacularName}
    - {heading: Sex, term: sex}
    - {heading: SVL, measurement: snoutVentLength, unit: mm}
    - {heading: Gross, weighing: gross, unit: g}
    - {heading: Bag, weighing: tare, unit: g}
    - {heading: Notes, term: occurrenceRemarks}
`

const faithSheet = `All animals swabbed first
Place: Heron Pond

No,Date,Place,Mark,Name,Sex,SVL,Gross,Bag,Notes
1,2024-05-01,Tern Slough,H05,leopard frog,AF,60.5,29,4.5,calm
2,2024-05-02,Tern Slough,,leopard frog,AM,33 ok,20,4,recap of H05
3,2024-05-03,Tern Slough,,NONE,,57,,,
4,2024-05-04,Tern Slough,H06,leopard frog,JM,58.5,25.5,0,recap of H99
5,2024-05-04,Tern Slough,H07,leopard frog,M,58x,21,4.5,
`

func faith(t *testing.T, remedies string) (*pipeline.Result, string) {
	t.Helper()
	dir, out := t.TempDir(), t.TempDir()
	write(t, filepath.Join(dir, "survey.yaml"), faithSurvey)
	write(t, filepath.Join(dir, "frogs.csv"), faithSheet)
	if remedies != "" {
		write(t, filepath.Join(dir, "remedies.csv"), "file,row,column,found,action,replacement,rule,who,when,why\n"+remedies)
	}
	r, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r, out
}

// What is in odd places is kept, read for what it says and offered, and
// nothing is made of it that nobody wrote.
func TestOddPlaces(t *testing.T) {
	r, out := faith(t, "")
	byNo := map[string]*record.Capture{}
	for _, c := range r.Captures {
		byNo[c.Key] = c
	}
	for no, want := range map[string][2]string{"1": {"female", "adult"}, "2": {"male", "adult"}, "4": {"male", "juvenile"}} {
		if c := byNo[no]; c.Get("sex") != want[0] || c.Get("lifeStage") != want[1] {
			t.Errorf("%s: %q, %q, want %q", no, c.Get("sex"), c.Get("lifeStage"), want)
		}
	}
	if m := byNo["2"].Reading("snoutVentLength"); m == nil || m.Text != "33" || !strings.Contains(m.Remark(), "ok") {
		t.Errorf("a number with a remark: %+v", m)
	}
	occurrences := rows(t, filepath.Join(out, "darwin-core", "occurrence.csv"))
	for _, o := range occurrences {
		for _, text := range []string{"All animals swabbed first", "Heron Pond"} {
			if !strings.Contains(o["dynamicProperties"], text) {
				t.Errorf("%s: %q is not kept: %s", o["recordNumber"], text, o["dynamicProperties"])
			}
		}
	}
	absent := row(t, occurrences, "recordNumber", "3")
	if absent["occurrenceStatus"] == "present" || absent["vernacularName"] != "" {
		t.Errorf("no animal: %q", absent)
	}
	for _, m := range rows(t, filepath.Join(out, "darwin-core", "measurementorfact.csv")) {
		if m["occurrenceID"] == absent["occurrenceID"] {
			t.Errorf("measured where nothing was found: %q", m)
		}
	}
	said := map[string]string{}
	for _, f := range r.Findings {
		said[f.Rule+" "+f.Capture] = f.Reason
		if f.Rule == "absence-measured" && !slices.Contains(f.Also, record.Address{File: "frogs.csv", Row: 7, Column: 7}) {
			t.Errorf("the cell that was measured is not named: %v", f.Also)
		}
	}
	if s := said["recapture-said 2"]; !strings.Contains(s, "this animal is H05, which was caught before (2024-05-01, 1,") {
		t.Errorf("a link is not offered: %q", s)
	}
	if s := said["recapture-said 4"]; !strings.Contains(s, "H99, but no other capture") {
		t.Errorf("an animal that is not there: %q", s)
	}
	if byNo["2"].Get("organismID") != "" || byNo["2"].Get("associatedOccurrences") != "" {
		t.Error("the capture was linked by a remark")
	}
	if m := byNo["4"].Reading("bodyMass"); m != nil {
		t.Errorf("a bag of nothing was subtracted: %+v", m)
	}
	if !strings.Contains(said["heading-shared "], "Place") {
		t.Errorf("the label that no row took is not told of: %q", said)
	}
}

// What a person confirms is published: a bag that weighs nothing, a number that
// was in doubt.
func TestConfirmedIsPublished(t *testing.T) {
	published := func(out, no string) map[string]string {
		occurrence := row(t, rows(t, filepath.Join(out, "darwin-core", "occurrence.csv")), "recordNumber", no)
		values := map[string]string{}
		for _, m := range rows(t, filepath.Join(out, "darwin-core", "measurementorfact.csv")) {
			if m["occurrenceID"] == occurrence["occurrenceID"] {
				values[m["measurementType"]] = m["measurementValue"]
			}
		}
		return values
	}
	_, before := faith(t, "")
	r, after := faith(t, "frogs.csv,8,I,0,confirm,,tare-zero,I. Varga,2024-09-02,weighed without a bag\n"+
		"frogs.csv,7,E,NONE,confirm,,absence-measured,I. Varga,2024-09-02,the animal got away after it was measured\n")
	if v := published(after, "4"); v["body mass"] != "25.5" {
		t.Errorf("a bag of nothing, confirmed: %q", v)
	}
	if v := published(before, "3"); len(v) != 0 {
		t.Errorf("undecided: %q", v)
	}
	if v := published(after, "3"); v["snout-vent length"] != "57" {
		t.Errorf("confirmed: %q", v)
	}
	for _, f := range r.Findings {
		if f.Rule == "remedy-unmatched" || f.Rule == "tare-zero" || f.Rule == "absence-measured" {
			t.Errorf("%s: %s", f.Rule, f.Reason)
		}
	}
}
