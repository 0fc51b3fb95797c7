package screen

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

// tally counts for one kind of slip.
type tally struct{ planted, found, right int }

// outcome is what screening made of planted slips.
type outcome struct {
	kinds    map[string]*tally
	findings int // at warning or above
	true     int
	errors   int
	readings int
}

func newOutcome() *outcome { return &outcome{kinds: map[string]*tally{}} }

func (o *outcome) precision() float64 { return float64(o.true) / float64(max(o.findings, 1)) }

func (t *tally) recall() float64 { return float64(t.found) / float64(max(t.planted, 1)) }

// try simulates, plants and screens once.
func (o *outcome) try(t testing.TB, n, each int, seed uint64) {
	t.Helper()
	captures := simulate(n, seed)
	slips := plant(captures, each, seed+1)
	fs := Screen(captures, nil, Defaults())
	fs = slices.DeleteFunc(fs, func(f record.Finding) bool { return f.Level < record.Warning })
	for _, c := range captures {
		o.readings += len(c.Readings)
	}
	hit := make([]bool, len(fs))
	for _, p := range slips {
		k := o.kinds[p.kind]
		if k == nil {
			k = &tally{}
			o.kinds[p.kind] = k
		}
		k.planted++
		found, right := false, false
		for i, f := range fs {
			if names(f, p.cells) {
				hit[i], found = true, true
				right = right || p.truth != "" && f.At == p.cells[0] && suggests(f.Suggestion, p.truth)
				right = right || f.Rule == "column-slip"
				right = right || p.truth == "" && f.Suggestion != "" && len(f.Also) > 0
			}
		}
		if found {
			k.found++
		} else if testing.Verbose() && k.planted < 5 {
			t.Logf("missed: %v", p)
		}
		if right {
			k.right++
		}
	}
	for i, f := range fs {
		o.findings++
		if hit[i] {
			o.true++
		} else if testing.Verbose() {
			t.Logf("false: %s %s %s %s -> %s: %s", f.Level, f.Rule, f.At, f.Value, f.Suggestion, f.Reason)
		}
		if f.Level == record.Error && !hit[i] {
			o.errors++
		}
	}
}

// suggests reports whether a suggestion is the true value to 2 %, which is
// what two decimals of an inch leave.
func suggests(suggestion, truth string) bool {
	number, _, _ := strings.Cut(suggestion, " ")
	got, err := strconv.ParseFloat(number, 64)
	want, err2 := strconv.ParseFloat(truth, 64)
	return err == nil && err2 == nil && math.Abs(got-want) <= 0.02*want
}

// names reports whether a finding is about one of the cells.
func names(f record.Finding, cells []record.Address) bool {
	return slices.Contains(cells, f.At) || slices.ContainsFunc(f.Also, func(a record.Address) bool { return slices.Contains(cells, a) })
}

func (o *outcome) table() string {
	var b strings.Builder
	fmt.Fprintf(&b, "| slip | planted | recall | suggestion right |\n| --- | ---: | ---: | ---: |\n")
	for _, p := range planters {
		k := o.kinds[p.kind]
		if k == nil {
			continue
		}
		fmt.Fprintf(&b, "| %s | %d | %.3f | %.3f |\n", p.kind, k.planted, k.recall(),
			float64(k.right)/float64(max(1, k.planted)))
	}
	fmt.Fprintf(&b, "precision %.3f (%d of %d findings), false errors %d on %d readings\n", o.precision(), o.true, o.findings, o.errors, o.readings)
	return b.String()
}

func TestPlantedSlipsAreFound(t *testing.T) {
	o := newOutcome()
	for seed := range uint64(2) {
		o.try(t, 500, 3, 700+seed)
	}
	t.Log("\n" + o.table())
	o.check(t)
}

// check asserts what screening promises of surveys of 500.
func (o *outcome) check(t *testing.T) {
	t.Helper()
	for _, kind := range []string{"ten times too large", "ten times too small", "cm for mm", "inch for mm", "ounce for gram"} {
		if r := o.kinds[kind].recall(); r < 0.95 {
			t.Errorf("recall of %q is %.3f", kind, r)
		}
	}
	if o.precision() < 0.9 {
		t.Errorf("precision is %.3f", o.precision())
	}
	if o.errors*1000 > o.readings {
		t.Errorf("%d false errors on %d readings", o.errors, o.readings)
	}
}

// The long test: ten kinds of slips in surveys of three sizes, and the same
// surveys clean. It prints the tables of DEVELOPERS.md.
func TestRecallAndPrecision(t *testing.T) {
	if os.Getenv("SPADEFOOT_LONG") != "1" {
		t.Skip("long; set SPADEFOOT_LONG=1")
	}
	for _, c := range []struct{ n, each, surveys int }{{50, 1, 60}, {500, 3, 20}, {5000, 30, 2}} {
		o := newOutcome()
		warnings, errors, readings := 0, 0, 0
		for s := range uint64(c.surveys) {
			o.try(t, c.n, c.each, 9000+7*s)
			clean := simulate(c.n, 5000+s)
			for _, f := range Screen(clean, nil, Defaults()) {
				if f.Level >= record.Warning {
					warnings++
				}
				if f.Level == record.Error {
					errors++
				}
			}
			for _, r := range clean {
				readings += len(r.Readings)
			}
		}
		fmt.Printf("%d surveys of %d captures, %d slips each\n%sclean: %d findings at warning or above on %d captures, %d errors on %d readings\n\n",
			c.surveys, c.n, c.each*len(planters), o.table(), warnings, c.n*c.surveys, errors, readings)
		if c.n >= 500 {
			o.check(t)
		}
		if errors*1000 > readings || warnings*50 > c.n*c.surveys {
			t.Errorf("%d captures: %d warnings, %d errors on clean surveys", c.n, warnings, errors)
		}
	}
}
