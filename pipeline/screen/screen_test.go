package screen

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

func count(fs []record.Finding, at record.Level) int {
	n := 0
	for _, f := range fs {
		if f.Level >= at {
			n++
		}
	}
	return n
}

func TestCleanSurveysAreLeftAlone(t *testing.T) {
	captures, warnings, errors, readings := 0, 0, 0, 0
	for seed := range uint64(6) {
		for _, n := range []int{50, 200} {
			survey := simulate(n, 100+seed)
			fs := Screen(survey, nil, Defaults())
			captures += n
			warnings += count(fs, record.Warning)
			errors += count(fs, record.Error)
			for _, c := range survey {
				readings += len(c.Readings)
			}
			for _, f := range fs {
				if f.Level >= record.Warning && testing.Verbose() {
					t.Logf("n %d seed %d: %s %s %s: %s", n, seed, f.Level, f.Rule, f.Field, f.Reason)
				}
			}
		}
	}
	t.Logf("%d captures, %d readings: %d at warning or above, %d errors", captures, readings, warnings, errors)
	if warnings*200 > captures {
		t.Errorf("%d findings at warning or above on %d clean captures", warnings, captures)
	}
	if errors*1000 > readings {
		t.Errorf("%d errors on %d clean readings", errors, readings)
	}
}

// Nestlings of two ages are two kinds of animals, and neither is unlike the other.
func TestTheYoungAreComparedAtTheirAge(t *testing.T) {
	draw := rand.New(rand.NewPCG(5, 9))
	var all []*record.Capture
	for i := range 160 {
		days, wing, tarsus := 6.0, 12.0, 7.0
		if i%2 == 0 {
			days, wing, tarsus = 12, 46, 11.8
		}
		c := &record.Capture{File: "nests.csv", Row: i + 2, Key: fmt.Sprint(i)}
		c.Set(record.Value{Field: record.Of("scientificName"), Text: "Riparia riparia"})
		addReading(c, "age", fmt.Sprintf("%.4f", days/daysOfYear), "a", 1)
		size := 0.05 * draw.NormFloat64()
		if wing *= math.Exp(1.2 * size); i == 30 {
			wing *= 10
		}
		addReading(c, "wingLength", fmt.Sprintf("%.1f", wing), "mm", 2)
		addReading(c, "tarsometatarsusLength", fmt.Sprintf("%.1f", tarsus*math.Exp(size)), "mm", 3)
		all = append(all, c)
	}
	fs := of(Screen(all, nil, Defaults()), "shape-unusual", "value-far", "value-off-line", "animal-unusual")
	if len(fs) != 1 || fs[0].Capture != "30" || !strings.HasPrefix(fs[0].Group, "Riparia riparia, 12 days old") {
		t.Errorf("got %+v", fs)
	}
}
