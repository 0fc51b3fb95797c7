package screen

import (
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
