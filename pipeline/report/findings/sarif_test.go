package findings

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/xeipuuv/gojsonschema"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// someResults has one finding of each kind of place, with one of them known.
func someResults(known bool) Results {
	fs := someFindings()
	r := Results{Title: "Frogs & <toads> of Marrow Creek", Version: "1.2.3", Folder: "surveys/frogs", Captures: 9,
		Findings: toldOf(fs), Failing: record.Error,
		Sheets: []record.Address{cellAt("frogs.csv", "", 0, 0), cellAt("frogs.xlsx", "Spring", 0, 0), cellAt("quiet.csv", "", 0, 0)},
		Spans: func([]record.Address) func(record.Address) (Span, bool) {
			return func(a record.Address) (Span, bool) {
				return Span{a.Row, 14, a.Row, 18}, a == cellAt("frogs.csv", "", 7, 4)
			}
		}}
	if known {
		var t testing.T
		markKnown(&t, &r, knownOf(&t, fs[1:2], nil))
	}
	return r
}

func sarifOf(t testing.TB, r Results) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := SARIF(&b, r); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The schema is that of the standard; an npm package carries it.
func TestSARIFAgainstThePublishedSchema(t *testing.T) {
	schema, err := os.ReadFile(need.Named(t, "SPADEFOOT_SARIF_SCHEMA"))
	if err != nil {
		t.Fatal(err)
	}
	for name, r := range map[string]Results{"plain": someResults(false), "with known": someResults(true), "nothing found": {Title: "None", Findings: toldOf(nil)}} {
		res, err := gojsonschema.Validate(gojsonschema.NewBytesLoader(schema), gojsonschema.NewBytesLoader(sarifOf(t, r)))
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range res.Errors() {
			t.Errorf("%s: %s", name, e)
		}
	}
}

func readSARIF(t testing.TB, b []byte) sarifRun {
	t.Helper()
	var log sarifLog
	if err := json.Unmarshal(b, &log); err != nil {
		t.Fatal(err)
	}
	if log.Version != "2.1.0" || len(log.Runs) != 1 {
		t.Fatalf("version %s, %d runs", log.Version, len(log.Runs))
	}
	return log.Runs[0]
}

func TestSARIFLocations(t *testing.T) {
	run := readSARIF(t, sarifOf(t, someResults(false)))
	if len(run.Results) != len(someFindings()) {
		t.Fatalf("%d results", len(run.Results))
	}
	for i, c := range []struct {
		uri     string
		region  *sarifRegion
		logical string
		kind    string
		related int
	}{
		{"surveys/frogs/frogs.csv", &sarifRegion{7, 14, 7, 18}, "D7", "cell", 1},
		{"surveys/frogs/frogs.xlsx", nil, "A3", "cell", 0},
		{"surveys/frogs/frogs.xlsx", nil, "A8", "cell", 0},
		{"surveys/frogs/a%20pond.csv", &sarifRegion{StartLine: 2}, "B2", "cell", 0},
		{"surveys/frogs/frogs.csv", nil, "", "", 0},
	} {
		got := run.Results[i]
		p := got.Locations[0].Physical
		if p.Artifact.URI != c.uri {
			t.Errorf("%d: %s, want %s", i, p.Artifact.URI, c.uri)
		}
		if (p.Region == nil) != (c.region == nil) || p.Region != nil && *p.Region != *c.region {
			t.Errorf("%d: region %+v, want %+v", i, p.Region, c.region)
		}
		if l := got.Locations[0].Logical; c.logical == "" && len(l) > 0 || c.logical != "" && (l[0].Name != c.logical || l[0].Kind != c.kind) {
			t.Errorf("%d: %+v, want %s %s", i, l, c.kind, c.logical)
		}
		if len(got.Related) != c.related {
			t.Errorf("%d: %d related locations, want %d", i, len(got.Related), c.related)
		}
		if rule := run.Tool.Driver.Rules[got.RuleIndex]; rule.ID != got.RuleID || rule.Help == nil || rule.Help.Text == "" || rule.Short.Text == "" {
			t.Errorf("%d: rule %+v of %s", i, rule, got.RuleID)
		}
		if len(got.Fingerprints["spadefootFinding/v1"]) != 32 || got.BaselineState != "" || got.Suppressions != nil {
			t.Errorf("%d: %+v", i, got)
		}
	}
	if m := run.Results[3].Message.Text; m != `no word {{0}} for \[sex\](1).` {
		t.Errorf("the message reads %q", m)
	}
	if m := run.Results[0].Message.Text; m != "too large. Perhaps 37.9 was meant." {
		t.Errorf("the message reads %q", m)
	}
}

func TestSARIFSaysWhatIsKnown(t *testing.T) {
	run := readSARIF(t, sarifOf(t, someResults(true)))
	for i, r := range run.Results {
		want, suppressed := "new", 0
		if i == 1 {
			want, suppressed = "unchanged", 1
		}
		if r.BaselineState != want || r.Suppressions == nil || len(*r.Suppressions) != suppressed {
			t.Errorf("%d: %s, %v", i, r.BaselineState, r.Suppressions)
		}
	}
}

func TestSARIFNamesAHundredCells(t *testing.T) {
	f := record.Finding{Rule: "rows-shifted", Level: record.Warning, At: cellAt("frogs.csv", "", 2, 4), Reason: "shifted"}
	for row := 3; row < 500; row++ {
		f.Also = append(f.Also, cellAt("frogs.csv", "", row, 4))
	}
	fs := []record.Finding{f}
	got := readSARIF(t, sarifOf(t, Results{Findings: toldOf(fs)})).Results[0]
	if len(got.Related) != maxRelated || got.Properties.Cells != 498 {
		t.Errorf("%d related, %d cells", len(got.Related), got.Properties.Cells)
	}
}

func TestSARIFPaths(t *testing.T) {
	for _, c := range []struct{ folder, want string }{
		{"survey", "survey/frogs.csv"}, {"./survey/", "survey/frogs.csv"}, {".", "frogs.csv"}, {"", "frogs.csv"},
		{"/data/survey", "frogs.csv"}, {"../survey", "frogs.csv"}, {"a b/c#d", "a%20b/c%23d/frogs.csv"},
	} {
		r := Results{Folder: c.folder}
		if got := r.uri("frogs.csv"); got != c.want {
			t.Errorf("%q: %s, want %s", c.folder, got, c.want)
		}
	}
}

func TestTheSameResultsGiveTheSameBytes(t *testing.T) {
	for range 5 {
		a, b := someResults(true), someResults(true)
		if !bytes.Equal(sarifOf(t, a), sarifOf(t, b)) || !bytes.Equal(junitOf(t, a), junitOf(t, b)) || markdownOf(t, a) != markdownOf(t, b) {
			t.Fatal("two writings differ")
		}
	}
	for _, clock := range []string{"timestamp", "hostname", "Utc"} {
		if strings.Contains(string(sarifOf(t, someResults(true))), clock) {
			t.Errorf("there is a %s", clock)
		}
	}
	r := someResults(true)
	r.Day = "2024-09-01"
	if text := string(junitOf(t, r)); !strings.Contains(text, `timestamp="2024-09-01T00:00:00" hostname="localhost"`) {
		t.Errorf("the suites do not have the day of the data: %.300s", text)
	}
}
