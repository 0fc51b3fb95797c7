package quality

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"

	"spadefoot/pipeline/record/sorting"
	"spadefoot/schemas"
)

// Types of test.
const (
	Validation = "Validation"
	Issue      = "Issue"
	Measure    = "Measure"
	Amendment  = "Amendment"
)

// Test is one published test. Terms and parameter names are as published, with
// their prefixes for terms ("dwc:day") and without for parameters
// ("earliestValidDate"). Run never panics and keeps no state.
type Test struct {
	Label      string
	GUID       string
	Type       string
	ActedUpon  []string
	Consulted  []string
	Parameters map[string]string // defaults
	UseCases   []string          // that the test belongs to, as published
	Source     string            // what answers in place of the default authority; "" where that one does
	Formerly   []string          // labels that earlier publications used
	Run        func(Record, Params) Response
}

// answer is what the function of one test looks like.
type answer func(Record, Params) Response

// testRow is one line of schemas/quality_tests.csv.
type testRow struct {
	Label      string `csv:"label"`
	GUID       string `csv:"guid"`
	Type       string `csv:"type"`
	Acted      string `csv:"acted"`
	Consulted  string `csv:"consulted"`
	Parameters string `csv:"parameters"`
	Authority  string `csv:"authority"`
	Formerly   string `csv:"formerly"`
	UseCases   string `csv:"use cases"`
	Source     string `csv:"source"`
}

// answers joins the functions of every subject. The tests that count the
// others are added by the table itself.
func answers() map[string]answer {
	all := map[string]answer{}
	for _, part := range []map[string]answer{
		presenceTests(), vocabularyTests, numberTests, dateTests, dateFillTests,
		countryTests, coordinateTests, datumTests, nameTests, licenceTests, verbatimTests,
		taxonTests, marineTests, divisionTests, centroidTests, annotationTests,
	} {
		maps.Copy(all, part)
	}
	return all
}

var table = sync.OnceValue(func() []Test {
	runs := answers()
	var tests []Test
	for label, pick := range tallies {
		runs[label] = tallied(&tests, pick)
	}
	for _, row := range schemas.Must(schemas.Table[testRow]("quality_tests.csv")) {
		if run, ok := runs[row.Label]; ok {
			tests = append(tests, newTest(row, run))
		}
	}
	sorting.Func(tests, func(a, b Test) int { return cmp.Compare(a.Label, b.Label) })
	return tests
})

func newTest(row testRow, run answer) Test {
	t := Test{
		Label: row.Label, GUID: row.GUID, Type: row.Type,
		ActedUpon: strings.Fields(row.Acted), Consulted: strings.Fields(row.Consulted),
		Parameters: map[string]string{}, Formerly: strings.Fields(row.Formerly), UseCases: strings.Fields(row.UseCases), Source: row.Source,
	}
	for _, pair := range strings.Split(row.Parameters, "|") {
		if name, value, ok := strings.Cut(pair, "="); ok {
			t.Parameters[name] = value
		}
	}
	defaults, also := t.Parameters, strings.Fields(row.Authority)
	_, asks := defaults["sourceAuthority"]
	asks = asks && t.needs() != taxaList && t.Label != transposed // which see to it themselves
	t.Run = func(r Record, p Params) Response {
		p.defaults, p.authorities = defaults, also
		if asks && !p.authority() {
			return p.noAuthority()
		}
		answer := run(r, p)
		if answer.Status != Internal && answer.Status != External {
			answer.Source = row.Source
		}
		return answer
	}
	return t
}

// Find returns the test with a label, as published now or earlier, in any case.
func Find(label string) (Test, bool) {
	i, ok := byLabel()[strings.ToUpper(strings.TrimSpace(label))]
	if !ok {
		return Test{}, false
	}
	return table()[i], true
}

// byLabel returns the places in the table by label, those of now before others.
var byLabel = sync.OnceValue(func() map[string]int {
	places := map[string]int{}
	for i := len(table()) - 1; i >= 0; i-- {
		for _, old := range table()[i].Formerly {
			places[old] = i
		}
	}
	for i, t := range table() {
		places[t.Label] = i
	}
	return places
})

// needs returns the list that a user has to supply for a test.
func (t *Test) needs() listOf { return needed[t.Label] }

// choose returns the tests that are asked for by label or by use case, or all of
// them.
func choose(only []string) ([]Test, error) {
	if len(only) == 0 {
		return table(), nil
	}
	var chosen []Test
	for _, name := range only {
		found := ofUseCase(name)
		if t, ok := Find(name); ok {
			found = []Test{t}
		}
		if len(found) == 0 {
			return nil, fmt.Errorf("no quality test and no use case is labelled %s", strings.TrimSpace(name))
		}
		for _, t := range found {
			if !slices.ContainsFunc(chosen, func(c Test) bool { return c.Label == t.Label }) {
				chosen = append(chosen, t)
			}
		}
	}
	sorting.Func(chosen, func(a, b Test) int { return cmp.Compare(a.Label, b.Label) })
	return chosen, nil
}

// ofUseCase returns the tests of a published use case ("Alien-Species", with or
// without its prefix).
func ofUseCase(name string) []Test {
	name = strings.TrimPrefix(strings.TrimSpace(name), "bdquc:")
	var out []Test
	for _, t := range table() {
		if slices.ContainsFunc(t.UseCases, func(u string) bool { return strings.EqualFold(u, name) }) {
			out = append(out, t)
		}
	}
	return out
}
