package alarms

import (
	"cmp"
	"context"
	"encoding/csv"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
)

// reckoning counts what is made of planted slips, and of clean surveys.
type reckoning struct {
	kinds        map[string]*slipTally
	alarms, true int // at warning or above, in surveys with slips
	suggested    int
	wrong        int
	clean        int // captures of clean surveys
	false        map[string]int
	errors       int // of them
	surveys      int
}

type slipTally struct{ planted, found, right int }

func newReckoning() *reckoning {
	return &reckoning{kinds: map[string]*slipTally{}, false: map[string]int{}}
}

// examine checks the sheet and returns what is at warning or above.
func examine(t testing.TB, rows [][]string) []record.Finding {
	t.Helper()
	dir := t.TempDir()
	f, err := os.Create(filepath.Join(dir, "sheet.csv"))
	if err != nil {
		t.Fatal(err)
	}
	w := csv.NewWriter(f)
	if err := w.WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "survey.yaml"), []byte(fieldSurvey), 0o644); err != nil {
		t.Fatal(err)
	}
	fs, _ := check(t, dir)
	return slices.DeleteFunc(fs, func(f record.Finding) bool { return f.Level < record.Warning })
}

// check returns all findings on a survey, of however many parts, and the number of
// its captures.
func check(t testing.TB, dir string) (fs []record.Finding, captures int) {
	t.Helper()
	r, err := pipeline.Check(context.Background(), dir, pipeline.Options{Told: func(r *pipeline.Result) error {
		for f, err := range r.Each() {
			if err != nil {
				return err
			}
			fs = append(fs, f)
		}
		return nil
	}})
	if err != nil {
		t.Fatal(err)
	}
	return fs, r.Counts.Captures
}

// survey makes one survey twice, clean and with slips, and counts.
func (o *reckoning) survey(t testing.TB, n int, heaped bool, seed uint64) {
	t.Helper()
	w := o.cleanSurvey(t, n, len(frogs), heaped, seed)
	slips := plantSlips(w.rows, 25, seed)
	o.count(t, slips, examine(t, w.sheet()), w.rows)
}

func show(t testing.TB, what string, f record.Finding, rows [][]string) {
	if os.Getenv("SPADEFOOT_SHOW") != "" {
		t.Logf("%s: %s %s %s -> %s: %s\n\t%s", what, f.Level, f.Rule, f.At, f.Suggestion, f.Reason, strings.Join(rows[max(f.At.Row-2, 0)], "|"))
	}
}

// count holds findings against the slips that were planted.
func (o *reckoning) count(t testing.TB, slips []slip, found []record.Finding, rows [][]string) {
	hits := make([]bool, len(found))
	for _, s := range slips {
		k := o.kinds[s.kind]
		if k == nil {
			k = &slipTally{}
			o.kinds[s.kind] = k
		}
		k.planted++
		seen, right := false, false
		for i, f := range found {
			if slices.ContainsFunc(append([]record.Address{f.At}, f.Also...), func(a record.Address) bool { return s.at(a.Row, a.Column) }) {
				hits[i], seen = true, true
				right = right || s.at(f.At.Row, f.At.Column) && s.right(f.Suggestion)
			}
		}
		if seen {
			k.found++
		} else if os.Getenv("SPADEFOOT_SHOW") != "" {
			t.Logf("missed: %+v %s", s, strings.Join(rows[s.row-2], "|"))
		}
		if right {
			k.right++
		}
	}
	for i, f := range found {
		o.alarms++
		if hits[i] {
			o.true++
		} else {
			show(t, "false", f, rows)
		}
		if f.Suggestion == "" {
			continue
		}
		o.suggested++
		if !slices.ContainsFunc(slips, func(s slip) bool { return s.at(f.At.Row, f.At.Column) && s.right(f.Suggestion) }) {
			o.wrong++
			show(t, "wrong suggestion", f, rows)
		}
	}
}

func (o *reckoning) precision() float64 { return float64(o.true) / float64(max(1, o.alarms)) }

// perThousand is the number of false alarms on a thousand clean captures.
func (o *reckoning) perThousand() float64 {
	n := 0
	for _, k := range o.false {
		n += k
	}
	return 1000 * float64(n) / float64(max(1, o.clean))
}

func (o *reckoning) String() string {
	var b strings.Builder
	for _, kind := range slipKinds {
		if k := o.kinds[kind.name]; k != nil {
			fmt.Fprintf(&b, "| %s | %d | %.3f | %.3f |\n", kind.name, k.planted, float64(k.found)/float64(k.planted), float64(k.right)/float64(k.planted))
		}
	}
	fmt.Fprintf(&b, "precision %.3f (%d of %d), wrong suggestions %d of %d (%.3f)\nclean: %.2f false per 1,000 of %d captures, %d errors in %d surveys\n",
		o.precision(), o.true, o.alarms, o.wrong, o.suggested, float64(o.wrong)/float64(max(1, o.suggested)), o.perThousand(), o.clean, o.errors, o.surveys)
	for _, rule := range slices.SortedFunc(maps.Keys(o.false), func(a, b string) int {
		return cmp.Or(cmp.Compare(o.false[b], o.false[a]), cmp.Compare(a, b))
	}) {
		fmt.Fprintf(&b, "  %s %d\n", rule, o.false[rule])
	}
	return b.String()
}

// Small surveys of both kinds, held against what the long test promises with
// room for chance.
func TestAlarmsAreMostlyTrue(t *testing.T) {
	for _, heaped := range []bool{false, true} {
		o := newReckoning()
		for seed := range uint64(3) {
			o.survey(t, 200, heaped, 40+seed)
		}
		if o.precision() < 0.8 || o.perThousand() > 8 || o.errors > 1 || o.wrong*6 > o.suggested {
			t.Errorf("heaped %v\n%s", heaped, o)
		}
	}
}

// The table of DEVELOPERS.md: SPADEFOOT_LONG=1, with the number of captures per
// size in SPADEFOOT_CAPTURES (10,000 if empty).
func TestAlarms(t *testing.T) {
	if os.Getenv("SPADEFOOT_LONG") != "1" {
		t.Skip("long; set SPADEFOOT_LONG=1")
	}
	total, err := strconv.Atoi(cmp.Or(os.Getenv("SPADEFOOT_CAPTURES"), "10000"))
	if err != nil {
		t.Fatal(err)
	}
	for _, heaped := range []bool{false, true} {
		for _, n := range []int{30, 100, 500, 2000} {
			t.Run(fmt.Sprintf("%d captures, heaped %v", n, heaped), func(t *testing.T) {
				o := newReckoning()
				for s := range uint64(max(1, total/n)) {
					o.survey(t, n, heaped, 100*uint64(n)+s)
				}
				fmt.Printf("n = %d, heaped %v, %d surveys\n%s\n", n, heaped, o.surveys, o)
			})
		}
	}
}
