package pipeline_test

import (
	"context"
	"regexp"
	"strconv"
	"testing"

	"spadefoot/pipeline"
)

var sumLine = regexp.MustCompile(`<tr class="(whole|part)"><th scope="row">([^<]+)</th><td class="n">(-?\d+)</td></tr>`)

// The parts of every sum of the report add up, and what nobody decided on has a part
// of its own.
func TestSumsOfTheReportAddUp(t *testing.T) {
	for _, survey := range []string{"demo", "notebook"} {
		dir, out := "../testdata/"+survey, t.TempDir()
		r, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{})
		if err != nil {
			t.Fatal(err)
		}
		whole, sum, sums, undecided := "", 0, 0, -1
		check := func() {
			if sum != 0 {
				t.Errorf("%s: the parts of %q are %d off", survey, whole, sum)
			}
		}
		for _, m := range sumLine.FindAllSubmatch(files(t, out)["report.html"], -1) {
			n, err := strconv.Atoi(string(m[3]))
			if err != nil || n < 0 {
				t.Errorf("%s: %q of %s", survey, m[3], m[2])
			}
			if string(m[1]) == "whole" {
				check()
				whole, sum, sums = string(m[2]), n, sums+1
				continue
			}
			sum -= n
			if string(m[2]) == "left out until someone decides" {
				undecided = n
			}
		}
		check()
		if sums < 3 {
			t.Errorf("%s: %d sums", survey, sums)
		}
		if (undecided > 0) != (r.Counts.LeftOut > 0) || undecided > r.Counts.LeftOut {
			t.Errorf("%s: %d readings left out, of %d values", survey, undecided, r.Counts.LeftOut)
		}
	}
}
