package screen

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"spadefoot/pipeline/record"
)

// bentSurvey has young and grown animals of one kind; heads grow with the power
// young of the length up to 50 mm, and 0.95 from there on.
func bentSurvey(n int, young float64, staged bool) []*record.Capture {
	draw := rand.New(rand.NewPCG(8, 3))
	var all []*record.Capture
	for i := range n {
		stage, svl := "adult", 70*math.Exp(0.06*draw.NormFloat64())
		if i%3 == 0 {
			stage, svl = "juvenile", min(46, 30*math.Exp(0.25*draw.NormFloat64()))
		}
		x := math.Log(svl / 50)
		head := 17.5 * math.Exp(0.95*max(0, x)+young*min(0, x)+0.04*draw.NormFloat64())
		if i == 10 {
			head *= 10
		}
		c := &record.Capture{File: "bent.csv", Row: i + 2, Key: fmt.Sprint(i)}
		c.Set(record.Value{Field: record.Of("scientificName"), Text: "Lithobates pipiens"})
		if staged {
			c.Set(record.Value{Field: record.Of("lifeStage"), Text: stage})
		}
		for k, v := range []float64{svl, head} {
			text := fmt.Sprintf("%.1f", v)
			var number float64
			fmt.Sscan(text, &number)
			c.Readings = append(c.Readings, record.Reading{Series: &record.Series{Measurement: []string{bodyLength, "headWidth"}[k], Unit: "mm"}, Verbatim: text, Text: text, Number: number, Decimals: 1}.At(record.Address{File: "bent.csv", Row: i + 2, Column: k + 1}))
		}
		all = append(all, c)
	}
	return all
}

func TestLinesBendWhereAnimalsAreGrown(t *testing.T) {
	for _, x := range []struct {
		young  float64
		staged bool
		bends  bool
	}{{0.55, false, true}, {0.55, true, true}, {0.95, false, false}, {0.95, true, false}, {1.3, false, true}} {
		m := Summarise(bentSurvey(240, x.young, x.staged), Defaults()).fit().models["Lithobates pipiens"]
		l := &m.lines[m.index["headWidth"]]
		if (l.bend != 0) != x.bends || (m.knee != 0) != x.bends {
			t.Errorf("%+v: bend %.3f at %.3f", x, l.bend, m.knee)
			continue
		}
		if x.bends && (math.Abs(l.slope-0.95) > 0.1 || math.Abs(l.slope+l.bend-x.young) > 0.15 || m.knee < math.Log(42) || m.knee > math.Log(60)) {
			t.Errorf("%+v: slope %.3f, bend %.3f at %.1f mm", x, l.slope, l.bend, math.Exp(m.knee))
		}
	}
}

// A young animal of the right shape is no news along a bent line, and one with the
// shape of the grown is; the stage stays blank.
func TestBentLinesJudgeTheYoung(t *testing.T) {
	captures := bentSurvey(240, 0.55, false)
	sum := Summarise(captures, Defaults())
	young := captures[0]
	if fs := Judge(young, sum, nil, Defaults()); count(fs, record.Warning) > 0 || young.Get("lifeStage") != "" {
		t.Errorf("%+v", fs)
	}
	young.Readings[0].Number, young.Readings[1].Number = 30, 17.5*math.Pow(0.6, 1.3)
	fs := Judge(young, sum, nil, Defaults())
	if count(fs, record.Warning) != 1 {
		t.Errorf("%+v", fs)
	}
	if fs := Judge(captures[10], sum, nil, Defaults()); count(fs, record.Warning) != 1 || fs[0].Field != "headWidth" {
		t.Errorf("%+v", fs)
	}
}
