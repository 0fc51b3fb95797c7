package observers

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
	"spadefoot/schemas"
)

// row makes one row of a sheet: one observer, one individual, readings in mm.
func row(n int, observer, individual string, readings map[string][]float64) *record.Capture {
	c := &record.Capture{ID: fmt.Sprintf("urn:uuid:%05d", n), Key: strconv.Itoa(n), File: "training.csv", Row: n + 1}
	c.Set(record.Value{Field: record.Of("recordedBy"), Text: observer})
	c.Set(record.Value{Field: record.Of("organismID"), Text: individual})
	column := 3
	for _, m := range []string{"snoutVentLength", "tympanumDiameter"} {
		for i, v := range readings[m] {
			c.Readings = append(c.Readings, record.Reading{Series: &record.Series{Measurement: m, Unit: "mm", Replicate: i + 1}, Number: v}.At(record.Address{File: c.File, Row: c.Row, Column: column}))
			column++
		}
	}
	return c
}

// practice is a made-up day at Marrow Creek: twelve models measured twice by the
// instructor (Vale), a trainee who reads long (Osei), one whose repeats scatter
// (Lindqvist) and one who does well (Haddad).
func practice() (captures []*record.Capture, known []Known) {
	r := rand.New(rand.NewPCG(8, 21))
	people := []struct {
		name           string
		factor, spread float64
	}{{"J. Vale", 1, .002}, {"A. Osei", 1.04, .003}, {"M. Lindqvist", 1, .035}, {"S. Haddad", 1.002, .004}}
	n := 0
	for i := range 12 {
		svl := 40 + 4*float64(i)
		id := fmt.Sprintf("model %02d", i+1)
		known = append(known, Known{id, "snoutVentLength", svl, "mm", i + 2}, Known{id, "tympanumDiameter", svl / 8, "mm", i + 2})
		for _, p := range people {
			read := func(size float64) float64 {
				return math.Round(size*p.factor*(1+p.spread*r.NormFloat64())*100) / 100
			}
			n++
			captures = append(captures, row(n, p.name, id, map[string][]float64{
				"snoutVentLength":  {read(svl), read(svl)},
				"tympanumDiameter": {read(svl / 8), read(svl / 8)}}))
		}
	}
	return captures, known
}

func observer(t *testing.T, r Result, name string) Observer {
	t.Helper()
	for _, o := range r.Observers {
		if o.Name == name {
			return o
		}
	}
	t.Fatalf("no observer %s", name)
	return Observer{}
}

func TestPracticeWithKnownSizes(t *testing.T) {
	cs, known := practice()
	r, err := Compare(cs, known, Defaults())
	if err != nil || len(r.Findings) != 0 || len(r.Measurements) != 2 || len(r.Observers) != 4 {
		t.Fatalf("%v, %+v", err, r)
	}
	for _, c := range []struct {
		name    string
		passed  bool
		failing []string // criteria that fail on the snout-vent length
		next    string
	}{
		{"J. Vale", true, nil, ""},
		{"S. Haddad", true, nil, ""},
		{"A. Osei", false, []string{BiasOf}, "too large compared with the known sizes"},
		{"M. Lindqvist", false, []string{Repeats}, "repeats vary too much"},
	} {
		o := observer(t, r, c.name)
		sc := o.Scores[0]
		var failing []string
		for _, k := range sc.Criteria {
			if !k.Pass {
				failing = append(failing, k.Name)
			}
		}
		if o.Passed != c.passed || !slices.Equal(failing, c.failing) || !strings.Contains(sc.Next, c.next) || c.passed && len(o.Practise) > 0 {
			t.Errorf("%s: passed %v, fails %v, next %q, practise %q", c.name, o.Passed, failing, sc.Next, o.Practise)
		}
		if sc.Individuals != 12 || sc.Readings != 24 || sc.Reference != "known sizes" || len(sc.Pairs) != 12 {
			t.Errorf("%s: %+v", c.name, sc)
		}
	}
	osei := observer(t, r, "A. Osei")
	if b := osei.Scores[0].RelativeBias; math.Abs(b.Value-4) > .5 || b.Low > 4 || b.High < 4 {
		t.Errorf("planted a bias of 4 %%: %+v", b)
	}
	if len(osei.Practise) != 2 || !strings.HasPrefix(osei.Practise[0], "tympanum diameter: ") && !strings.HasPrefix(osei.Practise[0], "snout-vent length: ") {
		t.Errorf("practise: %q", osei.Practise)
	}
	if w := observer(t, r, "M. Lindqvist").Scores[0].Within; w.Relative < 2 || w.Relative > 5.5 {
		t.Errorf("planted repeats of 3.5 %%: %+v", w)
	}
}

// The figures are those of the statistics on the rows picked by hand.
func TestFiguresAreThoseOfTheRows(t *testing.T) {
	cs, known := practice()
	r, err := Compare(cs, known, Defaults())
	if err != nil {
		t.Fatal(err)
	}
	var within, first [][]float64
	for i := 0; i < len(cs); i += 4 {
		var line []float64
		for _, name := range []string{"A. Osei", "J. Vale", "M. Lindqvist", "S. Haddad"} {
			for _, c := range cs[i : i+4] {
				if c.Get("recordedBy") == name {
					line = append(line, c.Readings[0].Number)
				}
			}
		}
		first = append(first, line)
		within = append(within, []float64{cs[i].Readings[0].Number, cs[i].Readings[1].Number})
	}
	tem, err1 := statistics.MeasurementError(within, .95)
	between, err2 := statistics.MeasurementError(first, .95)
	forms, err3 := statistics.Intraclasses(first, .95)
	if err1 != nil || err2 != nil || err3 != nil {
		t.Fatal(err1, err2, err3)
	}
	if diff := cmp.Diff(tem, observer(t, r, "J. Vale").Scores[0].Within); diff != "" {
		t.Error(diff)
	}
	m := r.Measurements[0]
	if diff := cmp.Diff(between, m.Between); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff(forms, m.Forms); diff != "" || m.FormsIndividuals != 12 || len(m.FormsObservers) != 4 {
		t.Error(diff, m.FormsObservers)
	}
}

func TestInstructorIsTheReference(t *testing.T) {
	cs, _ := practice()
	s := Defaults()
	s.Instructor = "J. Vale"
	r, err := Compare(cs, nil, s)
	if err != nil {
		t.Fatal(err)
	}
	osei, vale := observer(t, r, "A. Osei").Scores[0], observer(t, r, "J. Vale").Scores[0]
	if osei.Reference != "readings by J. Vale" || math.Abs(osei.RelativeBias.Value-4) > .5 || osei.Verdict != Fail {
		t.Errorf("%+v", osei)
	}
	if vale.BiasMissing != "is the reference" || vale.Verdict != Pass {
		t.Errorf("%+v", vale)
	}
	s.Instructor = ""
	if r, err = Compare(cs, nil, s); err != nil {
		t.Fatal(err)
	}
	if sc := observer(t, r, "A. Osei").Scores[0]; sc.BiasMissing == "" || sc.Verdict != Pass {
		t.Errorf("without a reference only repeats count: %+v", sc)
	}
}

// A line of a measurement's own is before the general one.
func TestOwnLine(t *testing.T) {
	cs, known := practice()
	s := Defaults()
	s.Lines = append(s.Lines, Line{Measurement: "snoutVentLength", Bias: 6})
	r, err := Compare(cs, known, s)
	if err != nil {
		t.Fatal(err)
	}
	o := observer(t, r, "A. Osei")
	if o.Scores[0].Verdict != Pass || len(o.Scores[0].Criteria) != 1 || o.Scores[1].Verdict != Fail {
		t.Errorf("%+v", o.Scores)
	}
}

func TestDoubtsAboutTheRows(t *testing.T) {
	read := map[string][]float64{"snoutVentLength": {50, 51}}
	cs := []*record.Capture{
		row(1, "J. Vale | A. Osei", "m1", read), row(2, "", "m1", read), row(3, "J. Vale", "", map[string][]float64{"snoutVentLength": {50}}),
		row(4, "J. Vale", "m1", read), row(5, "J. Vale", "m2", map[string][]float64{"snoutVentLength": {70}}),
		row(6, "J. Vale", "m3", nil),
	}
	r, err := Compare(cs, []Known{{"m2", "snoutVentLength", 7, "cm", 2}, {"m9", "snoutVentLength", 70, "mm", 3}}, Defaults())
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]record.Finding{}
	for _, f := range r.Findings {
		found[f.Rule] = f
	}
	if f := found["observer-unclear"]; len(f.Also) != 2 || f.Also[0].Row != 2 || f.Level != record.Warning {
		t.Errorf("observer: %+v", f)
	}
	if f := found["individual-missing"]; len(f.Also) != 1 || f.Also[0].Row != 4 {
		t.Errorf("individual: %+v", f)
	}
	if f := found["known-size-unit"]; f.At.Row != 6 || f.Level != record.Error || !strings.Contains(f.Reason, "cm") {
		t.Errorf("unit: %+v", f)
	}
	if f := found["readings-not-repeated"]; f.Field != "snoutVentLength" {
		t.Errorf("repeats: %+v", f)
	}
	if f := found["known-size-unused"]; f.At.Row != 3 || f.Value != "m9" {
		t.Errorf("unused: %+v", f)
	}
	if f := found["nothing-to-compare"]; f.At.File != "training.csv" || !strings.Contains(f.Reason, "Rows: 6; without an individual: 1; without a clear observer: 2. Readings left: 2; of these repeated by the same observer: 1;") {
		t.Errorf("nothing: %+v", f)
	}
	if o := observer(t, r, "J. Vale"); o.Passed || o.Scores[0].Verdict != NotEnough || o.Scores[0].Next == "" {
		t.Errorf("%+v", o)
	}
	rules, err := schemas.Table[schemas.Rule]("rules/observers.csv")
	if err != nil || len(rules) != 6 {
		t.Fatalf("%d rules, %v", len(rules), err)
	}
	for _, rule := range rules {
		if found[rule.Code].Reason == "" {
			t.Errorf("rule %s was not raised", rule.Code)
		}
	}
}

// Live animals grow: readings of different days are not repeats, unless asked.
func TestDaysAreKeptApart(t *testing.T) {
	var cs []*record.Capture
	for i := range 10 {
		c := row(i, "J. Vale", fmt.Sprint("frog ", i/2), map[string][]float64{"snoutVentLength": {50 + float64(i)}})
		c.Set(record.Value{Field: record.Of("eventDate"), Text: fmt.Sprintf("2021-05-%02dT21:30", 1+i%2)})
		cs = append(cs, c)
	}
	s := Defaults()
	for _, across := range []bool{false, true} {
		s.AcrossDays = across
		r, err := Compare(cs, nil, s)
		if err != nil {
			t.Fatal(err)
		}
		if got := r.Observers[0].Scores[0].Within.Subjects; (got == 5) != across {
			t.Errorf("across days %v: %d subjects", across, got)
		}
	}
}

func TestOrderDoesNotMatter(t *testing.T) {
	cs, known := practice()
	want, err := Compare(cs, known, Defaults())
	if err != nil {
		t.Fatal(err)
	}
	for seed := range uint64(5) {
		r := rand.New(rand.NewPCG(seed, 1))
		r.Shuffle(len(cs), func(i, j int) { cs[i], cs[j] = cs[j], cs[i] })
		r.Shuffle(len(known), func(i, j int) { known[i], known[j] = known[j], known[i] })
		got, err := Compare(cs, known, Defaults())
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, got, cmpopts.EquateNaNs()); diff != "" {
			t.Fatal(diff)
		}
	}
}

func TestSettingsAndNothing(t *testing.T) {
	if _, err := Compare(nil, nil, Settings{}); err == nil {
		t.Error("level 0 was taken")
	}
	r, err := Compare(nil, nil, Defaults())
	if err != nil || len(r.Measurements)+len(r.Observers) != 0 || len(r.Findings) != 1 || r.Findings[0].Rule != "nothing-to-compare" {
		t.Errorf("%+v, %v", r, err)
	}
}

func TestReadKnown(t *testing.T) {
	got, err := ReadKnown(strings.NewReader("# models cast in 2021\nindividual,measurement,value,unit\nmodel 01,snoutVentLength,40,mm\n"))
	if err != nil || len(got) != 1 || got[0] != (Known{"model 01", "snoutVentLength", 40, "mm", 3}) {
		t.Errorf("%+v, %v", got, err)
	}
	for text, want := range map[string]string{
		"":                             "empty",
		"individual,measurement,value": "no column unit",
		"individual,measurement,value,unit\nm,a,x,mm":            `line 2, column value: "x"`,
		"individual,measurement,value,unit\nm,a,1,":              "line 2: individual, measurement and unit",
		"individual,measurement,value,unit\nm,a,1,mm\nm,a,1,mm":  "line 3: a of m",
		"individual,measurement,value,unit\nm,a,1,mm\nm,a,NaN,g": "line 3",
	} {
		if _, err := ReadKnown(strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// A column may belong to one observer, a row with repeats is an animal of its
// own, and the mass that an observer worked out counts.
func TestReadingsOfTheirOwn(t *testing.T) {
	var cs []*record.Capture
	for i := range 6 {
		c := row(i, "", "", nil)
		for k, who := range []string{"J. Vale", "A. Osei"} {
			c.Readings = append(c.Readings,
				record.Reading{Series: &record.Series{Measurement: "snoutVentLength", Unit: "mm", Observer: who}, Number: 50 + float64(i+k)},
				record.Reading{Series: &record.Series{Measurement: "bodyMass", Unit: "g", Observer: who, Derived: true}, Number: 20 + float64(i)},
				record.Reading{Series: &record.Series{Measurement: "bodyCondition", Unit: "1", Observer: who, Derived: true}, Number: 1})
		}
		cs = append(cs, c)
	}
	s := Defaults()
	s.Instructor = "J. Vale"
	r, err := Compare(cs, nil, s)
	if err != nil || len(r.Findings) > 0 || len(r.Measurements) != 2 {
		t.Fatalf("%v, %+v", err, r)
	}
	if m := r.Measurements[0]; m.Name != "bodyMass" || m.Between.Subjects != 6 || m.Between.TEM != 0 {
		t.Errorf("%+v", m)
	}
	sc := observer(t, r, "A. Osei").Scores[1]
	if sc.Bias.Bias.Value != 1 || sc.Reference != "readings by J. Vale" || sc.Individuals != 6 {
		t.Errorf("%+v", sc)
	}
}

// A wrong zero shifts all measurements alike, a wrong end point only one.
func TestZeroOrEndPoint(t *testing.T) {
	score := func(name string, bias, half float64, fails bool) Score {
		sc := Score{Measurement: name, Unit: "mm", Next: "x", Criteria: []Criterion{{Name: BiasOf, Pass: !fails}}}
		sc.Bias.Bias = statistics.Bounded{Value: bias, Low: bias - half, High: bias + half}
		return sc
	}
	for _, c := range []struct {
		scores []Score
		want   string
	}{
		{[]Score{score("a", .8, .1, true), score("b", .02, .1, false), score("c", -.1, .1, false)}, "points to the end points"},
		{[]Score{score("a", .5, .1, true), score("b", .45, .1, true)}, "points to the zero"},
		{[]Score{score("a", .5, .1, true), score("b", .3, .05, true)}, ""},
		{[]Score{score("a", .5, .1, true)}, ""},
		{[]Score{score("a", .1, .1, false), score("b", .1, .1, false)}, ""},
	} {
		got := summarise("J. Vale", c.scores).Scores[0].Next
		if c.want == "" && got != "x" || !strings.Contains(got, c.want) {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

func FuzzReadKnown(f *testing.F) {
	f.Add("individual,measurement,value,unit\nmodel 01,snoutVentLength,40,mm\n")
	f.Add("\ufeffunit,value,measurement,individual\n\"g\",1e3,bodyMass,x\n")
	f.Fuzz(func(t *testing.T, text string) {
		known, err := ReadKnown(strings.NewReader(text))
		for _, k := range known {
			if err != nil || k.Individual == "" || k.Unit == "" || math.IsNaN(k.Value) {
				t.Errorf("%+v, %v", k, err)
			}
		}
	})
}

func ExampleCompare() {
	captures, known := practice()
	r, err := Compare(captures, known, Defaults())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, o := range r.Observers {
		sc := o.Scores[0]
		fmt.Printf("%-12s repeats %.1f %%, bias %+.2f %%: %s\n", o.Name, sc.Within.Relative, sc.RelativeBias.Value, sc.Verdict)
	}
	// Output:
	// A. Osei      repeats 0.4 %, bias +4.02 %: fail
	// J. Vale      repeats 0.2 %, bias -0.01 %: pass
	// M. Lindqvist repeats 3.9 %, bias +1.00 %: fail
	// S. Haddad    repeats 0.4 %, bias +0.27 %: pass
}
