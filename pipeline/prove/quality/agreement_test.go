package quality

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"sort"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record/need"
	"spadefoot/schemas"
)

// dataDay stands for the current day: that on which the data were published.
var dataDay = time.Date(2026, 7, 29, 0, 0, 0, 0, time.UTC)

type dataRow map[string]string

// validationData reads the published rows.
func validationData(t testing.TB) []dataRow {
	t.Helper()
	return readRows(t, need.Shared(t, "standards/bdq/test_validation_data.csv"))
}

func readRows(t testing.TB, path string) []dataRow {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []dataRow
	for _, line := range lines[1:] {
		row := dataRow{}
		for i, cell := range line {
			row[lines[0][i]] = cell
		}
		rows = append(rows, row)
	}
	return rows
}

func byGUID() map[string]Test {
	tests := map[string]Test{}
	for _, test := range table() {
		tests[test.GUID] = test
	}
	return tests
}

// sameResult compares results as text, and those of amendments as objects.
func sameResult(got, want string) bool {
	var a, b map[string]string
	if json.Unmarshal([]byte(got), &a) == nil && json.Unmarshal([]byte(want), &b) == nil {
		return cmp.Equal(a, b)
	}
	return got == want
}

func TestAgreement(t *testing.T) {
	rows := validationData(t)
	exceptions := map[string]dataRow{}
	for _, e := range readRows(t, "testdata/exceptions.csv") {
		exceptions[e["dataID"]] = e
	}
	tests, sources := byGUID(), supplied(t)
	type score struct{ rows, agree, excepted int }
	scores := map[string]*score{}
	total := score{}
	for _, row := range rows {
		test, ok := tests[row["GUID"]]
		if !ok {
			continue
		}
		s := scores[test.Label]
		if s == nil {
			s = &score{}
			scores[test.Label] = s
		}
		s.rows++
		total.rows++
		r := FromMap(row)
		got := test.Run(r, ParamsOf(r, Params{Today: dataDay, Sources: sources}))
		agrees := got.Status == row["Response.status"] && sameResult(got.Result, row["Response.result"])
		e, excepted := exceptions[row["dataID"]]
		delete(exceptions, row["dataID"])
		switch {
		case agrees && excepted:
			t.Errorf("row %s agrees, but is listed as an exception", row["dataID"])
		case agrees:
			s.agree++
			total.agree++
		case excepted:
			s.excepted++
			total.excepted++
			if e["label"] != test.Label || e["reason"] == "" || e["expected"] != answerText(row["Response.status"], row["Response.result"]) ||
				e["ours"] != answerText(got.Status, got.Result) {
				t.Errorf("exception %s does not fit: %s expected %s, ours %s", row["dataID"], test.Label,
					answerText(row["Response.status"], row["Response.result"]), answerText(got.Status, got.Result))
			}
		default:
			t.Errorf("row %s %s: got %s %s (%s), want %s %s (%s); %v", row["dataID"], test.Label, got.Status, got.Result,
				got.Comment, row["Response.status"], row["Response.result"], row["Response.comment"], terms(row))
		}
	}
	for id := range exceptions {
		t.Errorf("exception %s is not a row of a test that is answered", id)
	}
	if limit := total.rows * 2 / 100; total.excepted > limit {
		t.Errorf("%d exceptions, at most %d are allowed", total.excepted, limit)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "\n%-64s %5s %5s %5s\n", "test", "rows", "agree", "excepted")
	labels := make([]string, 0, len(scores))
	for label := range scores {
		labels = append(labels, label)
	}
	sort.Strings(labels)
	for _, label := range labels {
		fmt.Fprintf(&b, "%-64s %5d %5d %5d\n", label, scores[label].rows, scores[label].agree, scores[label].excepted)
	}
	fmt.Fprintf(&b, "%-64s %5d %5d %5d\n", "all", total.rows, total.agree, total.excepted)
	t.Log(b.String())
	if len(scores) != len(table())-len(tallies) {
		t.Errorf("%d tests have rows; every test but the %d that count should", len(scores), len(tallies))
	}
}

func answerText(status, result string) string {
	if status == HasResult {
		return result
	}
	return strings.TrimSpace(status + " " + result)
}

func terms(row dataRow) string {
	var given []string
	for term, value := range row {
		if strings.Contains(term, ":") && value != "" {
			given = append(given, term+"="+value)
		}
	}
	sort.Strings(given)
	return strings.Join(given, "; ")
}

// The table of tests must say what the published one says.
func TestTableMatchesPublication(t *testing.T) {
	published := map[string]dataRow{}
	for _, row := range readRows(t, publishedTests(t)) {
		published[row["Label"]] = row
	}
	fields := func(s string) []string {
		return strings.Fields(strings.ReplaceAll(s, ",", " "))
	}
	known := map[string]bool{}
	for _, test := range table() {
		known[test.Label] = true
		p, ok := published[test.Label]
		if !ok {
			t.Errorf("%s is not published", test.Label)
			continue
		}
		if test.GUID != p["term_localName"] || test.Type != p["Type"] {
			t.Errorf("%s: GUID or type differs", test.Label)
		}
		if d := cmp.Diff(fields(p["InformationElement:ActedUpon"]), append([]string{}, test.ActedUpon...)); d != "" && len(test.ActedUpon) > 0 {
			t.Errorf("%s: acted upon: %s", test.Label, d)
		}
		if d := cmp.Diff(fields(p["InformationElement:Consulted"]), append([]string{}, test.Consulted...)); d != "" && len(test.Consulted) > 0 {
			t.Errorf("%s: consulted: %s", test.Label, d)
		}
		for name, value := range test.Parameters {
			if !strings.Contains(p["AuthoritiesDefaults"], value) {
				t.Errorf("%s: default of %s is not published", test.Label, name)
			}
		}
		for _, name := range fields(strings.ReplaceAll(p["Parameters"], "bdqval:", "")) {
			if _, ok := test.Parameters[name]; !ok {
				t.Errorf("%s: parameter %s is missing", test.Label, name)
			}
		}
	}
	for label := range published {
		if !known[label] {
			t.Errorf("%s is not answered", label)
		}
	}
}

// Every function must have its line in the table, and every line be used.
func TestEveryAnswerHasItsRow(t *testing.T) {
	rows, err := schemas.Table[testRow]("quality_tests.csv")
	if err != nil {
		t.Fatal(err)
	}
	labels := map[string]bool{}
	for _, row := range rows {
		labels[row.Label] = true
	}
	for label := range answers() {
		if !labels[label] {
			t.Errorf("%s is not in the table", label)
		}
	}
	if len(table()) != len(rows) {
		t.Errorf("%d tests are answered of %d", len(table()), len(rows))
	}
}

func publishedTests(t testing.TB) string { return need.Shared(t, "standards/bdq/tests.csv") }
