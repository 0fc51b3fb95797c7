package quality

import (
	"bytes"
	"encoding/csv"
	"errors"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// records hands out records one by one, as a reader of files would.
func records(all ...map[string]string) func() (Record, bool, error) {
	i := 0
	return func() (Record, bool, error) {
		if i == len(all) {
			return nil, false, nil
		}
		i++
		return FromMap(all[i-1]), true, nil
	}
}

func written(t *testing.T, only []string, all ...map[string]string) [][]string {
	t.Helper()
	var b bytes.Buffer
	if err := Responses(csv.NewWriter(&b), records(all...), only, Params{Today: dataDay}); err != nil {
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
			test := Tests()[i]
			alone := test.Run(r, p)
			if alone.Status != answer.Status || alone.Result != answer.Result || alone.Comment != answer.Comment {
				t.Errorf("%s: %v with the others, %v alone", test.Label, answer, alone)
			}
		}
	}
	lines := written(t, nil, capture)
	if len(lines) != len(Tests())+1 {
		t.Errorf("%d lines for %d tests", len(lines), len(Tests()))
	}
}

func TestCounts(t *testing.T) {
	got := map[string]int{}
	for i, answer := range All(FromMap(capture), Params{Today: dataDay}) {
		test := Tests()[i]
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

func TestResponsesErrors(t *testing.T) {
	w := csv.NewWriter(&bytes.Buffer{})
	if err := Responses(w, records(), []string{"VALIDATION_NOTHING"}, Params{}); err == nil || !strings.Contains(err.Error(), "VALIDATION_NOTHING") {
		t.Errorf("unknown label: %v", err)
	}
	if err := Responses(w, records(), []string{"VALIDATION_GENUS_FOUND"}, Params{}); err == nil || !strings.Contains(err.Error(), "backbone") {
		t.Errorf("label left out: %v", err)
	}
	broken := errors.New("line 7: quote")
	next := func() (Record, bool, error) { return nil, false, broken }
	if err := Responses(w, next, nil, Params{}); !errors.Is(err, broken) {
		t.Errorf("error of the reader: %v", err)
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
