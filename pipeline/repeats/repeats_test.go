package repeats

import (
	"math"
	"math/rand/v2"
	"testing"

	"spadefoot/pipeline/record"
)

func repeat(values ...float64) *record.Capture {
	c := &record.Capture{}
	for i, v := range values {
		c.Readings = append(c.Readings, record.Reading{Series: &record.Series{Measurement: "snoutVentLength", Unit: "mm", Replicate: i + 1, Resolution: 0.1}, Number: v, Text: "x"})
	}
	return c
}

// The standard deviation of the simulated repeats is 0.7 mm, so the expanded
// uncertainty is 2·√(0.7² + 0.1²/12) = 1.4 mm.
func TestFill(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	var one, a, b Summary
	for i := range 400 {
		size := 40 + 30*r.Float64()
		c := repeat(size+0.7*r.NormFloat64(), size+0.7*r.NormFloat64(), size+0.7*r.NormFloat64())
		if i%50 == 0 {
			c.Readings[1].Number *= 10 // a slip
		}
		one.Add(c)
		if i%2 == 0 {
			a.Add(c)
		} else {
			b.Add(c)
		}
	}
	b.Merge(&a)
	for _, s := range []*Summary{&one, &b} {
		c := repeat(57.1, 57.9)
		c.Readings = append(c.Readings, record.Reading{Series: &record.Series{Measurement: "tibiaLength", Unit: "mm"}, Number: 20, Text: "20"})
		s.Fill(c)
		if got := c.Readings[0]; math.Abs(got.Accuracy-1.4) > 0.11 || got.Remark() == "" || c.Readings[2].Accuracy != 0 {
			t.Errorf("%+v", c.Readings)
		}
		before := c.Readings[0]
		s.Fill(c)
		if c.Readings[0] != before {
			t.Errorf("a second call changes %+v", c.Readings[0])
		}
	}
	if !one.Any() || (&Summary{}).Any() {
		t.Error("Any")
	}
}

// Pairs that differ by √2·0.25 have a standard deviation of 0.25; with fewer than
// ten of them nothing is said.
func TestPooled(t *testing.T) {
	var s Summary
	d := 0.25 * math.Sqrt2
	for i := range 10 {
		if s.Any() {
			t.Fatalf("told from %d animals", i)
		}
		s.Add(repeat(50+float64(i), 50+float64(i)+d))
	}
	c := repeat(50)
	c.Readings[0].Vary(func(s *record.Series) { s.Resolution = 0 })
	s.Fill(c)
	if c.Readings[0].Accuracy != 0.5 {
		t.Errorf("%+v", c.Readings[0])
	}
}

// Readings of two observers are not repeats, nor are those that are not numbers.
func TestNoRepeats(t *testing.T) {
	var s Summary
	for range 20 {
		c := repeat(50, 51)
		for i, observer := range []string{"A", "B"} {
			c.Readings[i].Vary(func(s *record.Series) { s.Observer = observer })
		}
		s.Add(c)
		c = repeat(50, 51)
		c.Readings[0].State = record.Below
		s.Add(c)
	}
	if s.Any() {
		t.Error("took them for repeats")
	}
}
