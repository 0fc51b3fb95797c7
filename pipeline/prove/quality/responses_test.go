package quality

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strconv"
	"strings"
	"testing"
)

func written(t *testing.T, only []string, all ...map[string]string) [][]string {
	t.Helper()
	var b bytes.Buffer
	q, err := NewInquiry(only, Params{Today: dataDay})
	if err != nil {
		t.Fatal(err)
	}
	w, err := NewResponseWriter(csv.NewWriter(&b))
	if err != nil {
		t.Fatal(err)
	}
	for _, values := range all {
		answers := q.Ask(FromMap(values))
		if err := w.Write(&answers); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	lines, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return lines
}

func TestResponses(t *testing.T) {
	got := written(t, []string{"VALIDATION_EVENTDATE_INRANGE", "amendment_day_standardized"},
		m{"occurrenceID": "MC-1", "dwc:day": "3rd", "eventDate": "1990-05-03"},
		m{"id": "2", "occurrenceID": "MC-2", "eventDate": "1990", "bdqval:latestValidDate": "1989"})
	want := [][]string{
		ResponseColumns,
		{"1", "MC-1", "AMENDMENT_DAY_STANDARDIZED", "b129fa4d-b25b-43f7-9645-5ed4d44b357b", "AMENDED", `{"dwc:day":"3"}`},
		{"1", "MC-1", "VALIDATION_EVENTDATE_INRANGE", "3cff4dc4-72e9-4abe-9bf3-8a30f1618432", "RUN_HAS_RESULT", "COMPLIANT"},
		{"2", "2", "AMENDMENT_DAY_STANDARDIZED", "b129fa4d-b25b-43f7-9645-5ed4d44b357b", "INTERNAL_PREREQUISITES_NOT_MET", ""},
		{"2", "2", "VALIDATION_EVENTDATE_INRANGE", "3cff4dc4-72e9-4abe-9bf3-8a30f1618432", "RUN_HAS_RESULT", "NOT_COMPLIANT"},
	}
	if len(got) != len(want) {
		t.Fatalf("%d lines, want %d: %v", len(got), len(want), got)
	}
	for i := range want {
		if !slices.Equal(got[i][:len(want[i])], want[i]) {
			t.Errorf("line %d: %q, want %q", i+1, got[i], want[i])
		}
	}
}

// All tests together give what each gives alone, the counts included.
func TestAllEqualsEach(t *testing.T) {
	for _, values := range []map[string]string{capture, {}, {"decimalLatitude": "x", "eventDate": "2021-13"}} {
		r, p := FromMap(values), Params{Today: dataDay}
		for i, answer := range All(r, p) {
			test := table()[i]
			alone := test.Run(r, p)
			if alone.Status != answer.Status || alone.Result != answer.Result || alone.Comment != answer.Comment {
				t.Errorf("%s: %v with the others, %v alone", test.Label, answer, alone)
			}
		}
	}
	lines := written(t, nil, capture)
	if len(lines) != len(table())+1 {
		t.Errorf("%d lines for %d tests", len(lines), len(table()))
	}
}

func TestCounts(t *testing.T) {
	got := map[string]int{}
	for i, answer := range All(FromMap(capture), Params{Today: dataDay}) {
		test := table()[i]
		if tallies[test.Label] != nil {
			n, err := strconv.Atoi(answer.Result)
			if err != nil {
				t.Fatalf("%s: %v", test.Label, answer)
			}
			got[test.Label] = n
			continue
		}
		switch {
		case test.Type == Validation && answer.Status != HasResult:
			got["unmet"]++
		case test.Type == Validation:
			got[answer.Result]++
		case test.Type == Amendment && answer.Amended != nil:
			got["proposed"]++
		}
	}
	if got["MEASURE_VALIDATIONTESTS_COMPLIANT"] != got[Compliant] ||
		got["MEASURE_VALIDATIONTESTS_NOTCOMPLIANT"] != got[NotCompliant] ||
		got["MEASURE_VALIDATIONTESTS_PREREQUISITESNOTMET"] != got["unmet"] ||
		got["MEASURE_AMENDMENTS_PROPOSED"] != got["proposed"] || got[Compliant] == 0 {
		t.Errorf("counts differ: %v", got)
	}
}

func TestInquiryRefusesUnknownLabels(t *testing.T) {
	if _, err := NewInquiry([]string{"VALIDATION_NOTHING"}, Params{}); err == nil || !strings.Contains(err.Error(), "VALIDATION_NOTHING") {
		t.Errorf("unknown label: %v", err)
	}
}

// Arguments are shown where they are not the defaults, and the source that
// answered where it is not the default either.
func TestResponsesShowArguments(t *testing.T) {
	got := written(t, []string{"VALIDATION_YEAR_INRANGE", "VALIDATION_COUNTRY_FOUND"},
		m{"year": "1500", "country": "Canada"}, m{"year": "1500", "bdqval:earliestValidDate": "1400"}, m{"year": "1500", "bdqval:earliestValidDate": "1582"})
	for i, want := range map[int]string{1: "", 2: "", 3: "", 4: "bdqval:earliestValidDate=1400", 6: ""} {
		if got[i][7] != want {
			t.Errorf("line %d: arguments %q, want %q", i, got[i][7], want)
		}
	}
	if !strings.Contains(got[1][6], "CLDR") || strings.Contains(got[3][6], "CLDR") {
		t.Errorf("comments %q, %q", got[1][6], got[3][6])
	}
}

// Each of the four published use cases is answered completely.
func TestUseCases(t *testing.T) {
	for name, want := range map[string]int{"Spatial-Temporal_Patterns": 80, "bdquc:Alien-Species": 44, "taxon-management": 27, "SDM-Trees": 23} {
		if q, err := NewInquiry([]string{name}, Params{}); err != nil || len(q.tests) != want {
			t.Errorf("%s: %d tests, %v, want %d", name, len(q.tests), err, want)
		}
	}
}

func TestMeasures(t *testing.T) {
	q, err := NewInquiry(nil, Params{Today: dataDay})
	if err != nil {
		t.Fatal(err)
	}
	var sums Measures
	for _, values := range []map[string]string{{"day": "3", "year": "2020"}, {"day": "42"}, {"year": "2021"}} {
		answers := q.Ask(FromMap(values))
		sums.Add(&answers)
	}
	var b bytes.Buffer
	if err := sums.Write(csv.NewWriter(&b)); err != nil {
		t.Fatal(err)
	}
	lines, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(lines) != 144+1 {
		t.Errorf("%d measures, want 144", len(lines)-1)
	}
	got := map[string]string{}
	for _, line := range lines {
		got[line[0]+" "+line[1]] = line[4]
	}
	for measure, want := range map[string]string{
		"COUNT_COMPLIANT VALIDATION_DAY_STANDARD": "1", "QUALITY_ASSURANCE VALIDATION_DAY_STANDARD": "NOT_COMPLETE",
		"COUNT_COMPLIANT VALIDATION_YEAR_INRANGE": "2", "QUALITY_ASSURANCE VALIDATION_YEAR_INRANGE": "COMPLETE",
		"COUNT_COMPLIANT VALIDATION_YEAR_NOTEMPTY": "2", "QUALITY_ASSURANCE VALIDATION_YEAR_NOTEMPTY": "NOT_COMPLETE",
	} {
		if got[measure] != want {
			t.Errorf("%s: %q, want %q", measure, got[measure], want)
		}
	}
}

func TestFindByEarlierLabel(t *testing.T) {
	test, ok := Find("MEASURE_EVENTDATE_PRECISIONINSECONDS")
	if !ok || test.Label != "MEASURE_EVENTDATE_DURATIONINSECONDS" {
		t.Errorf("%v %v", test.Label, ok)
	}
	if _, ok := Find(""); ok {
		t.Error("an empty label was found")
	}
}
