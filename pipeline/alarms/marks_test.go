package alarms

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"spadefoot/pipeline/record"
)

// strangeMarks gives every so many of the animals that were caught again the mark
// of another one of the same species and place that nothing but its proportions
// tells from it: of the same recorded sex, and of a length within 3 %. It returns
// the rows, from 1.
func strangeMarks(rows [][]string, every int, seed uint64) (at []int) {
	draw := rand.New(rand.NewPCG(seed, 18))
	first, again := map[string]int{}, []int(nil)
	for i, row := range rows {
		if _, seen := first[row[atMark]]; seen {
			again = append(again, i)
		} else if row[atMark] != "" {
			first[row[atMark]] = i
		}
	}
	for _, i := range again {
		if draw.IntN(every) > 0 {
			continue
		}
		row := rows[i]
		for k := i - 1; k >= 0; k-- {
			o := rows[k]
			if o[atMark] != "" && o[atMark] != row[atMark] && o[2] == row[2] && o[3] == row[3] && o[atSex] == row[atSex] && o[atDate] != row[atDate] &&
				math.Abs(math.Log(number(o[atSVL])/number(row[atSVL]))) < 0.03 {
				row[atMark] = o[atMark]
				at = append(at, i+2)
				break
			}
		}
	}
	return at
}

// A mark that was misread as that of an animal just like it is told by the
// proportions, and few of those that were read well.
func TestMarksOfOtherAnimals(t *testing.T) {
	surveys, n := 2, 500
	if os.Getenv("SPADEFOOT_LONG") == "1" {
		surveys, n = 10, 2000
	}
	for _, heaped := range []bool{false, true} {
		planted, found, mistaken, marked := 0, 0, 0, 0
		for seed := range surveys {
			w := newFieldwork(uint64(900+seed), heaped)
			w.work(n)
			strange := strangeMarks(w.rows, 6, uint64(seed))
			planted += len(strange)
			hit := map[int]bool{}
			for _, row := range w.rows {
				if row[atMark] != "" {
					marked++
				}
			}
			for _, f := range examine(t, w.sheet()) {
				if f.Rule != "mark-reused" {
					continue
				}
				wrong := true
				for _, a := range append([]record.Address{f.At}, f.Also...) {
					if slices.Contains(strange, a.Row) {
						hit[a.Row], wrong = true, false
					}
				}
				if wrong {
					mistaken++
					show(t, "false", f, w.rows)
				}
			}
			found += len(hit)
		}
		t.Logf("heaped %v: %d of %d found, %d false on %d marked captures", heaped, found, planted, mistaken, marked)
		if 5*found < planted || 500*mistaken > marked+500 {
			t.Error("too few marks are found, or too many that were read well")
		}
	}
}
