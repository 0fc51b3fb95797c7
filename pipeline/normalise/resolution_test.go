package normalise

import (
	"fmt"
	"testing"

	"spadefoot/pipeline/record"
)

// The resolution of a reading is that of its observer's column.
func TestResolutionOfTheColumn(t *testing.T) {
	var lines []string
	for i := range 12 {
		lines = append(lines, fmt.Sprintf("%d|A|%d.%d|%d", i, 40+i, 5*(i%2), 21+i), fmt.Sprintf("%d|B|%d.%d|%d.5", i+20, 40+i, i%7+1, 21+i))
	}
	lines = append(lines, "50|C|44|3 oz", "51|A|2 in|22")
	captures, _ := Table(sheet("No=recordNumber|By=recordedBy|SVL=m:snoutVentLength mm|Mass=w:net", lines...), context(t))
	for _, c := range captures {
		length, mass := &c.Readings[0], c.Weighing.Net
		want := map[string]float64{"A": 0.5, "B": 0.1, "C": 0.1}[c.Get("recordedBy")]
		if length.WrittenUnit != "mm" {
			want = 0 // one cell of another unit tells nothing
		}
		if length.Resolution != want {
			t.Errorf("%s: length read to %v, want %v", c.Key, length.Resolution, want)
		}
		want = map[string]float64{"A": 1, "B": 0.5, "C": 0}[c.Get("recordedBy")]
		if mass.Resolution != want {
			t.Errorf("%s: mass read to %v, want %v", c.Key, mass.Resolution, want)
		}
	}
}

func TestOneCellTellsNoResolution(t *testing.T) {
	captures, _ := Table(sheet("No=recordNumber|Mass=w:net", "1|29"), context(t))
	if r := captures[0].Weighing.Net; r.Resolution != 0 || r.Accuracy != 0 || r.Remark() != "" {
		t.Errorf("%+v", r)
	}
	x, s := context(t), sheet("No=recordNumber|SVL=m:snoutVentLength mm", "1|29")
	s.Columns[1].Meaning.Instrument = "caliper"
	captures, _ = Table(s, x)
	if r := captures[0].Readings[0]; r.Resolution != 0.1 || r.Accuracy != 0 {
		t.Errorf("an instrument tells its graduation and no accuracy: %+v", r)
	}
}

func TestBagsThatWeighSomething(t *testing.T) {
	for _, c := range []struct {
		tares  [3]string
		bagged bool
	}{{[3]string{"4.5", "0", "5"}, true}, {[3]string{"0", "0", "0"}, false}, {[3]string{"", "0", "n/a"}, false}} {
		captures, _ := Table(sheet("No=recordNumber|Gross=w:gross|Bag=w:tare",
			"1|20|"+c.tares[0], "2|21|"+c.tares[1], "3|22|"+c.tares[2]), context(t))
		for _, x := range captures {
			if x.Weighing.Bagged != c.bagged {
				t.Errorf("%v: %+v", c.tares, x.Weighing)
			}
		}
	}
}

// By Python: 2*(0.8**2 + 0.1**2/12)**0.5 = 1.60104, 2*(0.02*60)= 2.4.
func TestRepeatability(t *testing.T) {
	x := context(t)
	x.Repeats = record.Repeats{
		{Measurement: "snoutVentLength", Standard: 0.8, Said: "repeatability 0.8 mm"},
		{Measurement: "snoutVentLength", Observer: "B", Relative: 0.02, Said: "repeatability 2 %"},
	}
	captures, _ := Table(sheet("No=recordNumber|By=recordedBy|SVL=m:snoutVentLength mm", "1|A|57.1", "2|B|60", "3|A|58.3 ± 0.2", "4|A|<50", "5|A|frog"), x)
	for i, want := range []struct {
		accuracy float64
		remark   string
	}{{1.6, "repeatability 0.8 mm"}, {2.4, "repeatability 2 %"}, {0.2, ""}, {0, ""}, {0, ""}} {
		if r := captures[i].Readings[0]; r.Accuracy != want.accuracy || r.Remark() != want.remark {
			t.Errorf("%d: %v %q, want %+v", i, r.Accuracy, r.Remark(), want)
		}
	}
}

func TestGuessedUnit(t *testing.T) {
	s := sheet("No=recordNumber|SVL=m:snoutVentLength mm", "1|57.1", "2|5.7 cm")
	s.Columns[1].Meaning.Guessed = true
	captures, _ := Table(s, context(t))
	if a, b := captures[0].Readings[0], captures[1].Readings[0]; !a.Guessed || b.Guessed {
		t.Errorf("%v %v", a.Guessed, b.Guessed)
	}
}
