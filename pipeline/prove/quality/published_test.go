package quality

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"
)

// example is one of the examples of a published test: the terms, the status
// and the result.
var (
	exampleForm = regexp.MustCompile(`(?s)\[(.*?)Response\.status=([A-Z_]+)(?:,\s*Response\.result=(.*?))?(?:,\s*Response\.comment=.*?)?\]`)
	termForm    = regexp.MustCompile(`([a-z]+:\w+)="([^"]*)"`)
)

// contrary are the examples that contradict the description of their test, or
// rest on another authority than they name.
var contrary = map[string]string{
	"AMENDMENT_SCIENTIFICNAMEID_FROM_TAXON FILLED_IN":       "the identifier is of another register than the default of the test",
	"VALIDATION_TAXON_UNAMBIGUOUS RUN_HAS_RESULT":           "the name is one of another register than the default, and the published row without that register is NOT_COMPLIANT",
	"AMENDMENT_OCCURRENCESTATUS_ASSUMEDDEFAULT NOT_AMENDED": "the description asks for INTERNAL_PREREQUISITES_NOT_MET wherever occurrenceStatus holds a value",
	"AMENDMENT_PATHWAY_STANDARDIZED AMENDED":                "transportStowaway is a value of the vocabulary",
}

// TestPublishedExamples answers the examples that the published table of tests
// has for each test.
func TestPublishedExamples(t *testing.T) {
	sources, tests, n := supplied(t), byGUID(), 0
	for _, row := range readRows(t, publishedTests(t)) {
		test := tests[row["term_localName"]]
		for _, e := range exampleForm.FindAllStringSubmatch(row["Examples"], -1) {
			values := map[string]string{}
			for _, pair := range termForm.FindAllStringSubmatch(e[1], -1) {
				values[pair[1]] = strings.Replace(pair[2], "[null]", "", 1)
			}
			if tallies[test.Label] != nil {
				continue
			}
			n++
			r := FromMap(values)
			got := test.Run(r, ParamsOf(r, Params{Today: dataDay, Sources: sources}))
			want := strings.Trim(e[3], `" `)
			if got.Amended != nil {
				changes := map[string]string{}
				for _, pair := range termForm.FindAllStringSubmatch(e[3], -1) {
					changes[pair[1]] = pair[2]
				}
				b, _ := json.Marshal(changes)
				want = string(b)
			}
			agrees := got.Status == e[2] && (sameResult(got.Result, want) || got.Amended == nil && got.Status != HasResult)
			if !agrees && contrary[test.Label+" "+e[2]] == "" {
				t.Errorf("%s %v: got %s %s (%s), want %s %s", test.Label, values, got.Status, got.Result, got.Comment, e[2], want)
			}
		}
	}
	t.Logf("%d examples", n)
}
