package weigh

import (
	"math"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

// A scale that was right on 1 May and reads 50.5 g for 50 g, and 0.1 g for
// nothing, on 1 June: its masses are out by up to 0.4 g in 50, 0.8 %, in between
// and later. A net of 20 g has a half width of 0.16 g of that, u = 0.16/√3 =
// 0.092376; with graduation 0.1 g twice, u = 0.1/√12 each, it is 0.1009917, and
// the accuracy twice that (JCGM 100:2008, 4.3.7 and 5.1.2).
func TestScalesThatDrift(t *testing.T) {
	settings := Settings{
		Instruments: []Instrument{{Name: "scale 100", Unit: "g", Graduation: 0.1, Capacity: 100}},
		Checks: []Check{
			{"scale 100", "2024-06-01", 50, 50.5}, {"scale 100", "2024-06-01", 0, 0.1},
			{"scale 100", "2024-05-01", 0, 0}, {"Scale 100", "2024-05-01", 50, 50},
			{"another", "2024-05-01", 50, 60},
		},
	}
	for _, c := range []struct {
		day      string
		accuracy float64
		said     bool
	}{{"2024-04-20", 0.0816, false}, {"2024-05-01", 0.0816, false}, {"2024-05-12", 0.2019, true}, {"2024-06-01", 0.2019, true}, {"2024-08-30", 0.2019, true}, {"", 0.2019, true}} {
		x := capture(t, record.SameRow, "24", "4", "nil")
		x.Weighing.Scale = "scale 100"
		x.Set(record.Value{Field: record.Of("eventDate"), Text: c.day})
		Weigh(x, BagTable{}, settings)
		r := x.Reading(BodyMass)
		if r == nil {
			t.Fatalf("%s: no mass", c.day)
		}
		graduations := 2 * math.Sqrt(2*0.1*0.1/12)
		want := graduations
		if c.said {
			want = math.Sqrt(graduations*graduations + 4*0.16*0.16/3)
		}
		if math.Abs(want-c.accuracy) > 1e-4 {
			t.Fatalf("the comment says %g, it is %g", c.accuracy, want)
		}
		if r.Accuracy != significant(want, 2) || strings.Contains(r.Remark(), "drift ±0.8 % of scale 100") != c.said || strings.Contains(r.Remark(), "zero") {
			t.Errorf("%s: %g, %q; want %g", c.day, r.Accuracy, r.Remark(), want)
		}
	}
	found, at := DriftOf(settings)
	if len(found) != 1 || at[0] != 0 || !strings.Contains(found[0].Reason, "50.5 g with 50 g on it on 2024-06-01; 1 of its 4 checks") {
		t.Errorf("told %+v at %v", found, at)
	}
}
