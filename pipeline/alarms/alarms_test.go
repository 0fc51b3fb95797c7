package alarms

import (
	"cmp"
	"context"
	"encoding/csv"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"regexp"
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
	said         [4]sureness // suggestions by how sure they are said to be
	clean        int         // captures of clean surveys
	false        map[string]int
	errors       int // of them
	surveys      int
}

// sureness is how many suggestions there are that are as sure as so many per
// cent, and how many of them are right.
type sureness struct{ said, right int }

// surenessFrom are the percentages from which suggestions are counted together.
var surenessFrom = [...]int{80, 90, 95, 99}

var saidSure = regexp.MustCompile(`\(probability (?:over )?(\d+) %\)`)

// sure counts a suggestion by the probability that its reason gives it.
func (o *reckoning) sure(f record.Finding, right bool) {
	m := saidSure.FindStringSubmatch(f.Reason)
	if m == nil {
		return
	}
	p, _ := strconv.Atoi(m[1])
	for i := len(surenessFrom) - 1; i >= 0; i-- {
		if p >= surenessFrom[i] {
			o.said[i].said++
			if right {
				o.said[i].right++
			}
			return
		}
	}
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
	r, err := pipeline.Check(context.Background(), dir, pipeline.Options{OnResult: func(r *pipeline.Result) error {
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
func (o *reckoning) survey(t testing.TB, kinds []slipKind, n int, heaped bool, seed uint64) {
	t.Helper()
	w := o.cleanSurvey(t, n, len(frogs), heaped, seed)
	slips := plantSlips(w.rows, kinds, 25, seed)
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
		right := slices.ContainsFunc(slips, func(s slip) bool { return s.at(f.At.Row, f.At.Column) && s.right(f.Suggestion) })
		o.sure(f, right)
		if !right {
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
	for _, kind := range append(slices.Clone(slipKinds), oddSlips...) {
		if k := o.kinds[kind.name]; k != nil {
			fmt.Fprintf(&b, "| %s | %d | %.3f | %.3f |\n", kind.name, k.planted, float64(k.found)/float64(k.planted), float64(k.right)/float64(k.planted))
		}
	}
	fmt.Fprintf(&b, "precision %.3f (%d of %d), wrong suggestions %d of %d (%.3f)\nclean: %.2f false per 1,000 of %d captures, %d errors in %d surveys\n",
		o.precision(), o.true, o.alarms, o.wrong, o.suggested, float64(o.wrong)/float64(max(1, o.suggested)), o.perThousand(), o.clean, o.errors, o.surveys)
	for i, s := range o.said {
		if s.said > 0 {
			fmt.Fprintf(&b, "said to be %d %% sure and more: %d of %d right (%.2f)\n", surenessFrom[i], s.right, s.said, float64(s.right)/float64(s.said))
		}
	}
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
		for seed := range uint64(10) {
			o.survey(t, slipKinds, 200, heaped, 40+seed)
		}
		if o.precision() < 0.85 || o.perThousand() > 6 || o.errors > 1 || o.wrong*8 > o.suggested {
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
	total := capturesOr(t, 10000)
	for _, heaped := range []bool{false, true} {
		for _, n := range []int{30, 100, 500, 2000} {
			reckon(t, slipKinds, n, total, heaped)
		}
	}
}

// Slips of kinds that are rarer or unknown: what is suggested of them.
func TestOddSlips(t *testing.T) {
	if os.Getenv("SPADEFOOT_LONG") != "1" {
		t.Skip("long; set SPADEFOOT_LONG=1")
	}
	total := capturesOr(t, 10000)
	for _, heaped := range []bool{false, true} {
		reckon(t, oddSlips, 500, total, heaped)
	}
}

// capturesOr is the number of captures in SPADEFOOT_CAPTURES.
func capturesOr(t *testing.T, usual int) int {
	t.Helper()
	n, err := strconv.Atoi(cmp.Or(os.Getenv("SPADEFOOT_CAPTURES"), strconv.Itoa(usual)))
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// reckon makes surveys of n captures, so many in all, and prints what is found.
func reckon(t *testing.T, kinds []slipKind, n, total int, heaped bool) {
	t.Run(fmt.Sprintf("%d captures, heaped %v", n, heaped), func(t *testing.T) {
		o := newReckoning()
		for s := range uint64(max(1, total/n)) {
			o.survey(t, kinds, n, heaped, 100*uint64(n)+s)
		}
		fmt.Printf("n = %d, heaped %v, %d surveys\n%s\n", n, heaped, o.surveys, o)
	})
}
