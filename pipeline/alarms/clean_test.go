package alarms

import (
	"fmt"
	"os"
	"testing"

	"spadefoot/pipeline/record"
)

// TestCleanSurveys is the second table of DEVELOPERS.md: clean surveys only, of
// twenty species or of three, with the number of captures per line in
// SPADEFOOT_CAPTURES (100,000 if empty).
func TestCleanSurveys(t *testing.T) {
	if os.Getenv("SPADEFOOT_LONG") != "1" {
		t.Skip("long; set SPADEFOOT_LONG=1")
	}
	total := capturesOr(t, 100000)
	for _, heaped := range []bool{false, true} {
		for _, species := range []int{len(frogs), 3} {
			for _, n := range []int{30, 100, 500, 2000} {
				o := newReckoning()
				for s := range uint64(max(1, total/n)) {
					o.cleanSurvey(t, n, species, heaped, 100*uint64(n)+1000+s)
				}
				fmt.Printf("n = %d, %d species, heaped %v: %d errors in %d surveys (%.3f each)\n%s\n", n, species, heaped,
					o.errors, o.surveys, float64(o.errors)/float64(o.surveys), o)
			}
		}
	}
}

// cleanSurvey counts what is said of a survey without slips, and returns it.
func (o *reckoning) cleanSurvey(t testing.TB, n, species int, heaped bool, seed uint64) *fieldwork {
	t.Helper()
	w := newFieldwork(seed, heaped)
	w.keepSpecies(species)
	o.written(t, w, n)
	return w
}

// written counts what is said of a survey of n captures without slips.
func (o *reckoning) written(t testing.TB, w *fieldwork, n int) {
	t.Helper()
	w.work(n)
	o.surveys++
	o.clean += n
	for _, f := range examine(t, w.sheet()) {
		o.false[f.Rule]++
		if f.Level == record.Error {
			o.errors++
		}
		show(t, "clean", f, w.rows)
	}
}
