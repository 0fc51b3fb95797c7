package report

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/plot"
)

func TestTicksAreRoundAndFew(t *testing.T) {
	for _, c := range []struct {
		lo, hi float64
		log    bool
		want   string
	}{
		{0, 12, false, "0 5 10"}, {-20.4, 12.1, false, "−20 −10 0 10"}, {58, 92, true, "60 70 80 90"},
		{0.5, 900, true, "0.5 2 5 20 50 200 500"}, {39.8, 92.9, false, "40 50 60 70 80 90"}, {45.4049, 45.4223, false, "45.405 45.41 45.415 45.42"},
		{3, 3, false, "3"},
	} {
		var got []string
		for _, k := range plot.RoundTicks(c.lo, c.hi, c.log) {
			got = append(got, k.Label)
			if k.Value < c.lo-1e-9 || k.Value > c.hi+1e-9 {
				t.Errorf("%v: %v is outside", c, k.Value)
			}
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%v to %v, log %v: %v, want %s", c.lo, c.hi, c.log, got, c.want)
		}
	}
	for days := 3.0; days < 20000; days *= 1.3 {
		if n := len(plot.DayTicks(19000.5, 19000.5+days)); n < 1 || n > 7 {
			t.Errorf("%d marks on %.0f days", n, days)
		}
	}
}

// Along discriminant axes the spread within taxa is one and uncorrelated, and
// the first axis parts the taxa at least as well as the second.
func TestDiscriminantAxes(t *testing.T) {
	draw := rand.New(rand.NewPCG(1936, 1948))
	var animals []specimen
	for g, centre := range [][]float64{{0, 0, 0}, {1, 0.5, 0}, {0.2, 1, 0.7}} {
		for i := range 60 {
			a, b := draw.NormFloat64(), draw.NormFloat64()
			s := specimen{taxon: g, logs: []float64{centre[0] + 0.3*a, centre[1] + 0.2*a + 0.1*b, centre[2] + 0.2*draw.NormFloat64()}}
			if i == 0 { // in doubt, and far out: it has no say
				s.no, s.logs[0] = 1, 50
			}
			animals = append(animals, s)
		}
	}
	axes := discriminantAxes(animals, 3)
	if len(axes) != 2 || len(axes[0]) != 3 {
		t.Fatalf("%d axes: %v", len(axes), axes)
	}
	within := [2][2]float64{}
	means := [3][2]float64{}
	n := 0.0
	score := func(s specimen, k int) (v float64) {
		for j, x := range s.logs {
			v += x * axes[k][j]
		}
		return v
	}
	for g := range 3 {
		for k := range 2 {
			var v []float64
			for _, s := range animals {
				if s.taxon == g && s.no == 0 {
					v = append(v, score(s, k))
				}
			}
			means[g][k] = stat.Mean(v, nil)
		}
	}
	for _, s := range animals {
		if s.no != 0 {
			continue
		}
		n++
		for a := range 2 {
			for b := range 2 {
				within[a][b] += (score(s, a) - means[s.taxon][a]) * (score(s, b) - means[s.taxon][b])
			}
		}
	}
	for a := range 2 {
		for b := range 2 {
			want := 0.0
			if a == b {
				want = 1
			}
			if got := within[a][b] / (n - 3); math.Abs(got-want) > 1e-8 {
				t.Errorf("covariance %d,%d is %g, want %g", a, b, got, want)
			}
		}
	}
	spread := func(k int) float64 { return stat.Variance([]float64{means[0][k], means[1][k], means[2][k]}, nil) }
	if spread(0) < spread(1) {
		t.Errorf("the first axis parts by %g, the second by %g", spread(0), spread(1))
	}
	flat := []specimen{{logs: []float64{1, 2}}, {logs: []float64{2, 4}}, {taxon: 1, logs: []float64{3, 6}}, {taxon: 1, logs: []float64{5, 10}}}
	if discriminantAxes(flat, 2) != nil {
		t.Error("measurements that follow from each other gave axes")
	}
}

func TestLastDigits(t *testing.T) {
	var workbook, file hand
	for _, text := range []string{"12.3", "9", "40,5", " 7.0 ", "c. 8.1", "12.34", "1.2.3", ""} {
		workbook.take(&record.Reading{Series: &record.Series{Column: record.Address{Sheet: "Spring"}}, Verbatim: text})
		file.take(&record.Reading{Series: &record.Series{}, Verbatim: text})
	}
	counts, n := workbook.digits()
	if want := [10]int{0: 2, 3: 1, 5: 1}; counts != want || n != 4 {
		t.Errorf("workbook: %v of %d", counts, n)
	}
	if counts, n := file.digits(); n != 3 || counts[0] != 1 {
		t.Errorf("text file: %v of %d", counts, n)
	}
}

func TestNamesAreShortened(t *testing.T) {
	taxa := map[string]*taxon{}
	for _, name := range []string{"Lithobates pipiens", "Anaxyrus americanus", "Acris americanus", "Bufo", "", "LISY x"} {
		taxa[name] = &taxon{name: name}
	}
	got := shortenerOf(taxa)
	for name, want := range map[string]string{"Lithobates pipiens": "L. pipiens", "Anaxyrus americanus": "Anaxyrus americanus", "Bufo": "Bufo", "": ""} {
		if got[name] != want {
			t.Errorf("%q became %q, want %q", name, got[name], want)
		}
	}
}

// A degree on the ellipsoid: 110.574 km of latitude and 111.320 km of
// longitude at the equator, 111.694 km of latitude at the pole.
func TestPerDegree(t *testing.T) {
	east, north := perDegree(0)
	if math.Abs(east-111320) > 1 || math.Abs(north-110574) > 1 {
		t.Errorf("equator: %g, %g", east, north)
	}
	if east, north := perDegree(90); math.Abs(east) > 1 || math.Abs(north-111694) > 1 {
		t.Errorf("pole: %g, %g", east, north)
	}
}

func TestFlagsFollowTheCells(t *testing.T) {
	length := record.Reading{Series: &record.Series{Measurement: "snoutVentLength"}, Number: 60}.At(cell(2, 3))
	gross := record.Reading{Series: &record.Series{Measurement: grossMass}, Number: 30}.At(cell(2, 4))
	tare := record.Reading{}.At(record.Address{File: "bags.csv", Row: 2, Column: 2})
	net := record.Reading{Series: &record.Series{Measurement: bodyMass, Derived: true}, Number: 25}.At(cell(2, 4))
	c := &record.Capture{Key: "A", File: "a.csv", Row: 2, Readings: []record.Reading{length, net}, Weighing: &record.Weighing{Gross: &gross, Tare: &tare}}
	other := &record.Capture{Key: "B", File: "a.csv", Row: 3, Readings: []record.Reading{record.Reading{Series: &record.Series{Measurement: "snoutVentLength"}}.At(cell(3, 3))}}
	captures := []*record.Capture{c, other}
	for _, k := range []struct {
		name         string
		finding      record.Finding
		length, mass int
	}{
		{"a length", record.Finding{At: cell(2, 3), Field: "snoutVentLength"}, 1, 0},
		{"the gross behind a mass", record.Finding{At: cell(2, 4), Field: grossMass}, 0, 1},
		{"a bag named by key alone", record.Finding{At: record.Address{File: "survey.yaml"}, Capture: "A", Field: bagMass}, 0, 1},
		{"an exchange", record.Finding{At: cell(2, 3), Also: []record.Address{cell(2, 4)}}, 1, 1},
		{"another capture", record.Finding{At: cell(3, 3), Capture: "B", Field: "snoutVentLength"}, 0, 0},
		{"the whole animal", record.Finding{Rule: "animal-unusual", At: record.Address{File: "a.csv", Row: 2}}, 1, 1},
		{"a bag that others use", record.Finding{At: cell(3, 3), Also: []record.Address{{File: "bags.csv", Row: 2, Column: 2}}}, 0, 0},
	} {
		k.finding.Level = record.Error
		g := NewGatherer(Asked{Measure: func(name string) Measure { return Measure{Kind: "length"} }})
		g.Add(captures, []record.Finding{k.finding})
		g.pictures(g.entries())
		s := g.kept[0]
		if got := g.readingNo(s, &s.readings[0]); got != k.length {
			t.Errorf("%s: the length is flagged by %d, want %d", k.name, got, k.length)
		}
		if got := g.readingNo(s, &s.readings[1]); got != k.mass {
			t.Errorf("%s: the mass is flagged by %d, want %d", k.name, got, k.mass)
		}
	}
}

func TestDays(t *testing.T) {
	for text, want := range map[string]bool{"2024-06-01": true, "2024-06-01T22:10-04:00": true, "2024-06": false, "": false, "2024-06-31": false} {
		d, ok := day(text)
		if ok != want || ok && plot.DayOf(d) != time.Date(2024, 6, 1, 0, 0, 0, 0, time.UTC) {
			t.Errorf("%q: %v, %v", text, plot.DayOf(d), ok)
		}
	}
}
