package screen

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// Numbers of equal readings from which two captures of one day are looked at.
const (
	minAlike = 4
	minSame  = 3 // where none differs
)

// What is assumed of captures entered twice and of animals handled twice
// (common practice).
const (
	enteredTwice = 0.002 // share of rows that are another entry of a row
	caughtAgain  = 0.003 // share of rows that are a second capture of the day
	typedElse    = 0.02  // chance that a cell is written otherwise the second time
	markElse     = 0.05  // chance that the mark is
	bagsAlike    = 0.3   // chance that two bags weigh the same
	nextRow      = 2     // of rows entered twice, one in so many is entered again in the next row
	surelyTwice  = 0.9   // posterior from which it is reported
)

// comparison weighs that two captures are one, entered twice, against two animals
// that agree by chance and one animal handled twice that day: everything that
// was written of both counts.
type comparison struct {
	f            *fitted
	a, b         *record.Capture
	among        float64 // captures of the taxon and day that one may be taken for
	same         int     // readings
	differ       [][2]*record.Reading
	twice        float64 // log likelihood if entered twice
	two, handled float64 // if of two animals, or of one handled twice
}

// sameCapture reports whether b looks like another entry of a, one of so many
// captures of its taxon and day.
func (f *fitted) sameCapture(a, b *record.Capture, among int) (record.Finding, bool) {
	t := comparison{f: f, a: a, b: b, among: float64(max(among, 2))}
	if tableOfCapture(a) == tableOfCapture(b) && b.Row-a.Row == 1 {
		t.among = nextRow
	}
	t.compareReadings()
	least := float64(minAlike)
	if len(t.differ) == 0 {
		least = minSame
	}
	if len(t.differ) > 1 || float64(t.same) < least {
		return record.Finding{}, false
	}
	t.compareWeighings()
	t.compareWords()
	if p := t.posterior(); p >= surelyTwice {
		return t.report(p), true
	}
	return record.Finding{}, false
}

// posterior is the probability that one capture was entered twice.
func (t *comparison) posterior() float64 {
	twice := math.Exp(t.twice) * enteredTwice / t.among
	others := math.Exp(t.two)
	ma, mb := t.a.Get("organismID"), t.b.Get("organismID")
	switch {
	case ma == mb && ma != "":
		others = typedElse*others + math.Exp(t.handled)*caughtAgain/t.among
	case ma != "" && mb != "":
		twice *= markElse
	}
	return twice / (twice + others)
}

// agree counts a cell that is the same in both, or not. p is the chance that
// it does of two animals, again of one handled twice.
func (t *comparison) agree(same bool, p, again float64) {
	if same {
		t.twice += math.Log(1 - typedElse)
		t.two += math.Log(p)
		t.handled += math.Log(again)
		return
	}
	t.twice += math.Log(typedElse)
	t.two += math.Log(1 - p)
	t.handled += math.Log(1 - again)
}

// compareReadings compares the readings that both captures have, as written.
func (t *comparison) compareReadings() {
	row := rowOf(t.b)
	t.f.resolve(row)
	v := t.f.view(row)
	observer := hash(row.observer)
	for i := range t.a.Readings {
		x := &t.a.Readings[i]
		k := slices.IndexFunc(t.b.Readings, func(y record.Reading) bool {
			return y.Measurement == x.Measurement && y.Side == x.Side && y.Replicate == x.Replicate && y.Usable() && !y.Derived
		})
		if x.Derived || !x.Usable() || k < 0 || dimensionOf(x.Unit) == neither {
			continue
		}
		y := &t.b.Readings[k]
		same := strings.EqualFold(x.Text, y.Text)
		if same {
			t.same++
		} else {
			t.differ = append(t.differ, [2]*record.Reading{x, y})
		}
		width := t.f.width(y, observer)
		t.agree(same, byChance(width, scatterOf(v, y)), byChance(width, t.f.repeatOf(y)))
	}
}

// compareWeighings compares gross and tare.
func (t *comparison) compareWeighings() {
	x, y := t.a.Weighing, t.b.Weighing
	if x == nil || y == nil {
		return
	}
	if usable(x.Gross, y.Gross) {
		width := t.f.width(y.Gross, hash(t.b.Get("recordedBy")))
		t.agree(x.Gross.Text == y.Gross.Text, byChance(width, massScatter), byChance(width, t.f.repeatOf(y.Gross)))
	}
	if usable(x.Tare, y.Tare) && x.Way == record.SameRow && y.Way == record.SameRow {
		t.agree(x.Tare.Text == y.Tare.Text, bagsAlike, bagsAlike)
	}
}

func usable(x, y *record.Reading) bool { return x != nil && y != nil && x.Usable() && y.Usable() }

type comparedTerm struct {
	term         string
	two, handled float64
}

// compared are the columns of words that are compared, each with the chance that
// it says the same of two animals of a day, and of one handled twice (common
// practice).
var compared = []comparedTerm{
	{"locality", 0.5, 0.9}, {"locationID", 0.5, 0.9}, {"sex", 0.5, 0.9}, {"lifeStage", 0.7, 0.9}, {"recordedBy", 0.7, 0.7},
	{"eventTime", 0.1, 0.05}, {"reproductiveCondition", 0.5, 0.8},
	{"occurrenceRemarks", 0.05, 0.05}, {"organismRemarks", 0.05, 0.05}, {"fieldNotes", 0.05, 0.05},
}

// compareWords compares what else was written. A blank in both is no evidence.
func (t *comparison) compareWords() {
	for _, c := range compared {
		x, y := t.a.Get(c.term), t.b.Get(c.term)
		if x != "" || y != "" {
			two := c.two
			if len(x) < longRemark {
				two = max(two, shortAlike)
			}
			t.agree(strings.EqualFold(x, y), two, max(c.handled, two))
		}
	}
	for i := range t.a.Values {
		v := &t.a.Values[i]
		if w := t.b.Get(v.Term); w != "" && v.Text != "" && !strings.EqualFold(v.Text, w) && !comparedElse(v.Term) {
			t.agree(false, othersAlike, othersAlike)
		}
	}
	for _, x := range t.a.Extras {
		for _, y := range t.b.Extras {
			if x.Heading == y.Heading && x.Text != y.Text {
				t.agree(false, othersAlike, othersAlike)
			}
		}
	}
}

// A text shorter than longRemark is a code that many animals have.
const (
	longRemark = 12
	shortAlike = 0.5
)

// othersAlike is the chance that two rows are the same in any other column.
const othersAlike = 0.7

// comparedElse reports whether a term is compared by itself, or names the row.
func comparedElse(term string) bool {
	switch term {
	case "organismID", "recordNumber", "catalogNumber", "otherCatalogNumbers", "occurrenceID", "materialEntityID":
		return true
	}
	return slices.ContainsFunc(compared, func(c comparedTerm) bool { return c.term == term })
}

// width is how wide the step of a reading is beside it.
func (f *fitted) width(r *record.Reading, observer uint64) float64 {
	u := max(f.stepOf(r, observer), math.Pow10(-r.Decimals)/math.Sqrt(12))
	return math.Sqrt(12) * u / r.Number
}

// byChance is the chance that two values of a normal distribution are read
// alike, width and scale being those of the step and of the value, relative.
func byChance(width, scale float64) float64 {
	return min(0.9, width/(2*math.Sqrt(math.Pi)*scale))
}

// scatterOf is how much a measurement scatters among animals of the group: the
// size by itself, the others about their lines.
func scatterOf(v *view, r *record.Reading) float64 {
	if v != nil {
		if at := v.at(r.Measurement); at >= 0 && v.index[at] == 0 {
			return min(v.stature.size.scale, anySize)
		} else if at >= 0 {
			return v.stature.scale[v.index[at]]
		}
	}
	if isMass(r.Measurement) {
		return massScatter
	}
	return lengthScatter
}

// repeatOf is how much a second reading of the same animal scatters.
func (f *fitted) repeatOf(r *record.Reading) float64 {
	repeat := f.settings.TEM
	if h := f.errors[r.Measurement]; h != nil && h.repeat > 0 {
		repeat = max(h.repeat, f.settings.MinScale)
	}
	if dimensionOf(r.Unit) == mass {
		return repeat
	}
	return math.Hypot(repeat, f.settings.RepeatLength*sizes["mm"]/sizes[r.Unit]/r.Number)
}

func (t *comparison) report(p float64) record.Finding {
	a, b := t.a, t.b
	out := record.Finding{
		Rule: "capture-twice", Level: record.Warning, At: b.Address(), Also: []record.Address{a.Address()}, Capture: b.Key,
		Group: "captures of " + cmp.Or(b.Kind(), "no name") + " on " + cmp.Or(b.Get("eventDate"), "no date"),
		Figures: []record.Figure{{Name: "n", Value: float64(t.same + len(t.differ))}, {Name: "statistic", Value: float64(t.same)},
			{Name: "threshold", Value: surelyTwice}, {Name: "posterior", Value: p}},
	}
	why := fmt.Sprintf("all %d readings are the same as in %s", t.same, a.Address())
	if len(t.differ) > 0 {
		d := t.differ[0]
		out.Rule, out.Field, out.Value, out.At = "capture-nearly-twice", d[1].Measurement, d[1].Verbatim, d[1].From()
		why = fmt.Sprintf("%d readings are the same as in %s; only %s differs: %s there and %s here",
			t.same, a.Address(), label(d[0].Measurement), d[0].Text, d[1].Text)
	}
	out.Reason = fmt.Sprintf("probably the same capture entered twice (%s): %s.", percent(p), why)
	if ma, mb := a.Get("organismID"), b.Get("organismID"); ma != mb && ma != "" && mb != "" {
		out.Reason += fmt.Sprintf(" The marks differ, %s there and %s here: a row may have been copied and not updated.", ma, mb)
	}
	return out
}
