package observers

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"spadefoot/pipeline/record/need"
	"spadefoot/pipeline/statistics"
)

// Verdicts, and how many more individuals would settle one that is not sure, against R
// (testdata/reference/verdicts.R). The program takes the width of an interval to go with
// 1/√n, which few individuals are a little narrower or wider than.
func TestVerdictsAgainstR(t *testing.T) {
	type verdict struct {
		Line    float64
		Verdict Verdict
		More    int
	}
	var ref struct {
		Sizes                  []float64
		Readings               [][]float64
		Relative, RelativeBias [3]float64
		Repeats, Biases        []verdict
	}
	b, err := os.ReadFile(filepath.Join(need.Root(t), "testdata", "reference", "verdicts.json"))
	if err == nil {
		err = json.Unmarshal(b, &ref)
	}
	if err != nil {
		t.Fatal(err)
	}
	within, err := statistics.MeasurementError(ref.Readings, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	var known [][]float64
	mean := statistics.Mean(ref.Sizes)
	for _, v := range ref.Sizes {
		known = append(known, []float64{v})
	}
	limits, err := statistics.BlandAltmanRepeated(ref.Readings, known, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	percent := func(v float64) float64 { return 100 * v / mean }
	bias := statistics.Bounded{Value: percent(limits.Bias.Value), Low: percent(limits.Bias.Low), High: percent(limits.Bias.High)}
	near := func(what string, got, want float64) {
		if math.Abs(got-want) > 1e-9*math.Abs(want) {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	by := within.Relative / within.TEM
	for i, got := range []float64{within.Relative, within.Low * by, within.High * by, bias.Value, bias.Low, bias.High} {
		near("figure", got, append(ref.Relative[:], ref.RelativeBias[:]...)[i])
	}
	seen := map[Verdict]int{}
	judge := func(line Line, want verdict) {
		sc := Score{Within: within, Bias: limits, RelativeBias: bias}
		sc.judge(line, Defaults())
		c := sc.Criteria[0]
		seen[sc.Verdict]++
		if sc.Verdict != want.Verdict || len(sc.Criteria) != 1 {
			t.Errorf("line %v: %q (%+v), want %q", want.Line, sc.Verdict, c, want.Verdict)
		}
		if most := float64(want.More); math.Abs(float64(c.More)-most) > 3+0.3*most {
			t.Errorf("line %v: %d more, want about %d", want.Line, c.More, want.More)
		}
	}
	for _, v := range ref.Repeats {
		judge(Line{RelativeTEM: v.Line}, v)
	}
	for _, v := range ref.Biases {
		judge(Line{Bias: v.Line}, v)
	}
	if seen[Pass] < 2 || seen[Fail] < 2 || seen[NotSure] < 3 {
		t.Errorf("%v", seen)
	}
}

// The verdict on all measurements is the worst; those with too few readings do not
// count.
func TestVerdictOnAll(t *testing.T) {
	for _, c := range []struct {
		scores []Verdict
		want   Verdict
	}{
		{nil, NotEnough}, {[]Verdict{NotEnough}, NotEnough}, {[]Verdict{NotEnough, Pass}, Pass},
		{[]Verdict{Pass, NotSure}, NotSure}, {[]Verdict{Pass, NotSure, Fail}, Fail},
	} {
		var o Observer
		for _, v := range c.scores {
			o.Scores = append(o.Scores, Score{Verdict: v})
		}
		if got := o.Verdict(); got != c.want {
			t.Errorf("%v: %q, want %q", c.scores, got, c.want)
		}
	}
}

// What more individuals would settle is named.
func TestWhatIsOpenIsNamed(t *testing.T) {
	sc := Score{Criteria: []Criterion{{Name: Repeats, Pass: true, Sure: true}, {Name: BiasOf, Pass: true, More: 128}}}
	if got, want := sc.next(Defaults()), "measure about 128 more individuals: there are too few to say on which side of the pass mark the bias is"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
