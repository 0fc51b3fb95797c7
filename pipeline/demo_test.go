package pipeline_test

import (
	"context"
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// slip is one line of testdata/demo/planted.csv.
type slip struct {
	at                                        record.Address
	capture, written, kind, rules, suggestion string
}

func planted(t *testing.T) []slip {
	t.Helper()
	f, err := os.Open(filepath.Join(need.Root(t), "testdata", "demo", "planted.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []slip
	for _, l := range lines[1:] {
		row, _ := strconv.Atoi(l[2])
		column, _ := strconv.Atoi(l[3])
		out = append(out, slip{record.Address{File: l[0], Sheet: l[1], Row: row, Column: column}, l[4], l[7], l[8], l[9], l[10]})
	}
	return out
}

func demo(t *testing.T) *pipeline.Result {
	t.Helper()
	r, err := pipeline.Check(context.Background(), filepath.Join(need.Root(t), "testdata", "demo"), pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// finds reports whether a finding is about a slip: of one of its rules, at its
// cell or naming it among the cells with the same cause, with the suggestion, or
// as the likeliest of several that none is sure enough of. Where nothing was written the row is enough: the doubt is about the value
// that cannot be computed.
func finds(f record.Finding, s slip) bool {
	at := f.At
	if s.written == "" {
		at.Column = s.at.Column
	}
	offered := f.Suggestion
	if likeliest, _, several := strings.Cut(f.Reason, " brings it back"); offered == "" && several {
		offered = likeliest[strings.LastIndex(likeliest, "). ")+1:]
	}
	return slices.Contains(strings.Split(s.rules, "|"), f.Rule) && (at == s.at || slices.Contains(f.Also, s.at)) &&
		strings.Contains(strings.ReplaceAll(offered, ",", "."), strings.ReplaceAll(strings.TrimSuffix(s.suggestion, ".0"), ",", "."))
}

func TestEveryPlantedSlipIsFound(t *testing.T) {
	slips := planted(t)
	if len(slips) < 25 {
		t.Fatalf("the demo has %d planted slips, want at least 25", len(slips))
	}
	kinds := map[string]bool{}
	r := demo(t)
	for _, s := range slips {
		kinds[s.kind] = true
		if !slices.ContainsFunc(r.Findings, func(f record.Finding) bool { return finds(f, s) }) {
			t.Errorf("%s: %s (%q) was not found as %s with suggestion %q", s.at, s.kind, s.written, s.rules, s.suggestion)
			for _, f := range r.Findings {
				if f.At.File == s.at.File && f.At.Sheet == s.at.Sheet && f.At.Row == s.at.Row {
					t.Logf("    there is %s at %s: %s (%s)", f.Rule, f.At, f.Reason, f.Suggestion)
				}
			}
		}
	}
	if len(kinds) < 20 {
		t.Errorf("the slips are of %d kinds, want at least 20", len(kinds))
	}
}

// At most 2 % of the clean captures may get a finding at warning or above.
func TestCleanCapturesAreLeftAlone(t *testing.T) {
	r := demo(t)
	type row struct {
		file, sheet string
		row         int
	}
	wrong := map[row]bool{}
	for _, s := range planted(t) {
		wrong[row{s.at.File, s.at.Sheet, s.at.Row}] = true
	}
	flagged := map[row]bool{}
	for _, f := range r.Findings {
		k := row{f.At.File, f.At.Sheet, f.At.Row}
		// the capture whose number a planted slip repeats is not clean either
		if f.Level >= record.Warning && !wrong[k] {
			flagged[k] = true
			t.Logf("%s at %s: %s", f.Rule, f.At, f.Reason)
		}
	}
	clean := len(r.Captures) - len(wrong)
	if len(r.Captures) < 200 || clean < 180 {
		t.Fatalf("%d captures, %d clean", len(r.Captures), clean)
	}
	if share := float64(len(flagged)) / float64(clean); share > 0.02 {
		t.Errorf("%d of %d clean captures were flagged (%.1f %%), want at most 2 %%", len(flagged), clean, 100*share)
	}
}

// Every published value points at a cell of the demo that holds what it says
// was written there.
func TestEveryValueCanBeTraced(t *testing.T) {
	r := demo(t)
	cells := map[record.Address]string{}
	for _, tb := range r.Tables {
		for _, row := range tb.Rows {
			for _, c := range row.Cells {
				cells[tb.Address(c)] = c.Text
			}
		}
	}
	n := 0
	for _, c := range r.Captures {
		for _, v := range c.Values {
			if v.Verbatim == "" {
				continue
			}
			n++
			if got := cells[v.From()]; got != v.Verbatim {
				t.Errorf("%s of %s: %s holds %q, the value says %q", v.Term, c.Key, v.From(), got, v.Verbatim)
			}
		}
		for i := range c.Readings {
			rd := &c.Readings[i]
			if rd.Derived || rd.Verbatim == "" || rd.From().File == "survey.yaml" || rd.From().File == "bags.csv" {
				continue
			}
			n++
			if got := cells[rd.From()]; got != rd.Verbatim {
				t.Errorf("%s of %s: %s holds %q, the reading says %q", rd.Measurement, c.Key, rd.From(), got, rd.Verbatim)
			}
		}
	}
	if n < 2000 {
		t.Errorf("only %d values have an origin", n)
	}
}
