package infer

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"spadefoot/pipeline/record"
)

func byRule(fs []record.Finding) map[string][]record.Finding {
	out := map[string][]record.Finding{}
	for _, f := range fs {
		out[f.Rule] = append(out[f.Rule], f)
	}
	return out
}

func verify(cs []*record.Capture) []*record.Capture {
	for _, c := range cs {
		c.Set(record.Value{Field: record.Of("identificationVerificationStatus"), Text: "verified"})
	}
	return cs
}

func rename(c *record.Capture, name string) {
	c.Set(record.Value{Field: record.Of("scientificName"), Text: name, Verbatim: name})
}

func scale(c *record.Capture, measurement string, by float64) {
	for i := range c.Readings {
		if c.Readings[i].Measurement == measurement {
			c.Readings[i].Number *= by
		}
	}
}

// An unverified capture under the wrong name, one that fits nothing, and what
// the findings carry.
func TestLooksLikeOtherAndNone(t *testing.T) {
	cs := verify(frogs(1, 40, kinds[:2]...))
	odd := frogs(2, 3, kinds[0])
	for i, c := range odd {
		c.ID, c.Key, c.Row = fmt.Sprint("odd", i), fmt.Sprint("odd", i), 1000+i
	}
	rename(odd[0], "Lithobates palustris") // a clamitans by shape
	scale(odd[1], "tibiaLength", 2)        // like none
	scale(odd[2], "tibiaLength", 2)        // like none, but screening has said so
	cs = append(cs, odd...)
	r := Infer(cs, map[string]bool{"odd2": true}, Inputs{}, Defaults())
	found := byRule(r.Findings)
	other, none := found["looks-like-other"], found["looks-like-none"]
	if len(other) != 1 || other[0].Capture != "odd0" || other[0].Suggestion != "Lithobates clamitans" {
		t.Errorf("looks like other: %+v", other)
	}
	if len(none) != 1 || none[0].Capture != "odd1" || !strings.Contains(none[0].Reason, "tibia length for its size") {
		t.Errorf("looks like none: %+v", none)
	}
	for _, f := range append(other, none...) {
		if !strings.Contains(f.Reason, speciesCaution) || f.Group == "" || f.Field != "scientificName" {
			t.Errorf("%s: %+v", f.Rule, f)
		}
		var names []string
		for _, g := range f.Figures {
			names = append(names, g.Name)
			if math.IsNaN(g.Value) || math.IsInf(g.Value, 0) {
				t.Errorf("%s: figure %s is %v", f.Rule, g.Name, g.Value)
			}
		}
		for _, want := range []string{"value", "n", "centre", "scale", "statistic", "threshold"} {
			if !slices.Contains(names, want) {
				t.Errorf("%s: no figure %s", f.Rule, want)
			}
		}
	}
	if len(r.Models) != 1 || !slices.Equal(r.Models[0].Counts, []int{40, 40}) || r.Models[0].Error > .05 {
		t.Errorf("model: %+v", r.Models)
	}
}

// A capture that lacks measurements is placed on those that it has.
func TestMissingMeasurements(t *testing.T) {
	cs := verify(frogs(3, 30, kinds[:2]...))
	cs[0].Readings = slices.Delete(cs[0].Readings, 1, 4)
	cs[1].Readings = cs[1].Readings[:1]
	r := Infer(cs, nil, Inputs{}, Defaults())
	if len(r.Placements) != len(cs)-1 {
		t.Fatalf("%d placed of %d", len(r.Placements), len(cs))
	}
	p := r.Placements[0]
	if p.Capture != cs[0].ID || len(p.Measurements) != 4 || p.Taxa[p.Best] != kinds[0].name {
		t.Errorf("placement: %+v", p)
	}
}

func TestTooLittleTraining(t *testing.T) {
	s := Defaults()
	for _, c := range []struct {
		name     string
		captures []*record.Capture
		want     string // part of the reason; "" for no finding
	}{
		{"nothing verified", frogs(4, 30, kinds...), "90 more named captures are not verified"},
		{"few verified", append(verify(frogs(4, 5, kinds[0])), frogs(5, 30, kinds[1])...), "Lithobates clamitans (5)"},
		{"one species, nothing verified", frogs(4, 30, kinds[0]), ""},
		{"third has few", append(verify(frogs(4, 30, kinds[:2]...)), verify(frogs(5, 5, kinds[2]))...), "Lithobates sylvaticus (5)"},
		{"enough", verify(frogs(4, 30, kinds...)), ""},
		{"no captures", nil, ""},
	} {
		fs := byRule(Infer(c.captures, nil, Inputs{}, s).Findings)["too-little-training"]
		want := c.want
		if (want == "") != (len(fs) == 0) || len(fs) > 0 && (!strings.Contains(fs[0].Reason, want) || !strings.Contains(fs[0].Reason, speciesCaution)) {
			t.Errorf("%s: %+v", c.name, fs)
		}
	}
}

func TestTrainingTakesOnlyTheSure(t *testing.T) {
	s := Defaults()
	base := func() *record.Capture { return verify(frogs(6, 1, kinds[0]))[0] }
	for name, c := range map[string]struct {
		change  func(*record.Capture)
		flagged bool
		in      int
	}{
		"as it is":   {func(*record.Capture) {}, false, 1},
		"flagged":    {func(*record.Capture) {}, true, 0},
		"cf.":        {func(c *record.Capture) { rename(c, "Lithobates cf. clamitans") }, false, 0},
		"genus only": {func(c *record.Capture) { rename(c, "Lithobates sp.") }, false, 0},
		"qualifier": {func(c *record.Capture) {
			c.Set(record.Value{Field: record.Of("identificationQualifier"), Text: "aff. clamitans"})
		}, false, 0},
		"unverified": {func(c *record.Capture) {
			c.Set(record.Value{Field: record.Of("identificationVerificationStatus"), Text: "unverified"})
		}, false, 0},
		"one measurement": {func(c *record.Capture) { c.Readings = c.Readings[:1] }, false, 0},
		"author":          {func(c *record.Capture) { rename(c, "Lithobates clamitans (Latreille, 1801)") }, false, 1},
	} {
		x := base()
		c.change(x)
		var tr Training
		if tr.Add(0, x, c.flagged, s); count(tr) != c.in {
			t.Errorf("%s: %d examples", name, count(tr))
		}
	}
}

// count is the number of captures that a training has taken in.
func count(t Training) int {
	n := 0
	for _, ch := range t.classes {
		n += len(ch.items)
	}
	return n
}

// Nothing depends on the order of the captures, and trainings that were
// gathered apart merge to the same models.
func TestOrderDoesNotMatter(t *testing.T) {
	cs := frogs(7, 25, kinds...)
	rename(cs[3], kinds[1].name)
	scale(cs[9], "footLength", 2)
	cs[12].Readings = slices.Delete(cs[12].Readings, 1, 3)
	cs[30].Set(record.Value{Field: record.Of("sex"), Text: ""})
	s := Defaults()
	s.TrustRecorded, s.ConditionLeast = true, 8
	in := Inputs{Rules: Rules()}
	flagged := map[string]bool{cs[5].ID: true}
	want := Infer(cs, flagged, in, s)
	if len(want.Findings) == 0 || len(want.Derived) == 0 || len(want.Placements) != 75 {
		t.Fatalf("findings %d, derived %d, placements %d", len(want.Findings), len(want.Derived), len(want.Placements))
	}
	hidden := cmpopts.IgnoreUnexported(Model{}, Placement{}, ConditionGroup{})
	for seed := range uint64(3) {
		shuffled := slices.Clone(cs)
		rand.New(rand.NewPCG(seed, 3)).Shuffle(len(cs), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
		if diff := cmp.Diff(want, Infer(shuffled, flagged, in, s), hidden); diff != "" {
			t.Fatalf("order matters: %s", diff)
		}
		var a, b Training
		for i, c := range shuffled {
			if i%3 == 0 {
				a.Add(i, c, flagged[c.ID], s)
			} else {
				b.Add(i, c, flagged[c.ID], s)
			}
		}
		a.Merge(b)
		if diff := cmp.Diff(want.Models, a.Models(s), hidden); diff != "" {
			t.Fatalf("merging matters: %s", diff)
		}
	}
}

// Log-shape ratios add up to nothing, do not change with size, and the frame
// leads from the columns back to them.
func TestShapeLaws(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	for p := 2; p < 8; p++ {
		var names []string
		var logs, larger features
		for j := range p {
			n := fmt.Sprint("m", j)
			names = append(names, n)
			logs = append(logs, feature{n, r.NormFloat64()})
			larger = append(larger, feature{n, logs[j].log + 2})
		}
		sh := newShaping(names)
		u, v, z := sh.ratios(logs), sh.ratios(larger), sh.columns(logs)
		var sum float64
		for j := range p {
			sum += u[j]
			if math.Abs(u[j]-v[j]) > 1e-12 {
				t.Errorf("ratio %d changes with size", j)
			}
		}
		if math.Abs(sum) > 1e-12 || math.Abs(v[p]-u[p]-2) > 1e-12 {
			t.Errorf("sum %g, size %g and %g", sum, u[p], v[p])
		}
		for row := range sh.frame {
			var back float64
			for j, w := range sh.frame[row] {
				back += w * z[j]
			}
			if math.Abs(back-u[row]) > 1e-12 {
				t.Errorf("frame row %d: %g, ratio %g", row, back, u[row])
			}
		}
	}
}

// Specimens alone are enough to learn from.
func TestReferenceSpecimens(t *testing.T) {
	var b strings.Builder
	b.WriteString("# made up\nspecimen,scientificName,lifeStage,snoutVentLength,tibiaLength,headWidth,bodyMass\n")
	for i, c := range frogs(9, 20, kinds[:2]...) {
		get := func(m string) string { return c.Reading(m).Text }
		fmt.Fprintf(&b, "S%d,%s,adult,%s,%s,%s,%s\n", i, c.Get("scientificName"), get("snoutVentLength"), get("tibiaLength"), get("headWidth"), get("bodyMass"))
	}
	specimens, err := ReadSpecimens(strings.NewReader(b.String()))
	if err != nil || len(specimens) != 40 {
		t.Fatalf("%d specimens, %v", len(specimens), err)
	}
	cs := frogs(10, 10, kinds[0])
	rename(cs[0], kinds[1].name)
	r := Infer(cs, nil, Inputs{Specimens: specimens}, Defaults())
	other := byRule(r.Findings)["looks-like-other"]
	if len(r.Placements) != 10 || len(other) != 1 || other[0].Capture != cs[0].Key {
		t.Errorf("%d placed, %+v", len(r.Placements), other)
	}
}

func TestReadSpecimensSaysWhere(t *testing.T) {
	for text, want := range map[string]string{
		"":                            "empty",
		"specimen,a\n":                "no column scientificName",
		"specimen,scientificName,a,a": "twice",
		"specimen,scientificName,\n":  "column 3 has no heading",
		"specimen,scientificName,svl\nA,Rana x,-3\n":           `line 2, column svl: "-3"`,
		"specimen,scientificName,svl\nA,Rana x,1\nA,Rana x,2":  `line 3: specimen "A"`,
		"specimen,scientificName,svl\n,Rana x,1\n":             "line 2: specimen and scientificName",
		"specimen,scientificName,svl\nA,Rana x,1\nB,Rana x\n":  "line 3",
		"specimen,scientificName,svl\nA,Rana x,1\nB,Rana x,NA": `line 3, column svl: "NA"`,
	} {
		if _, err := ReadSpecimens(strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func FuzzReadSpecimens(f *testing.F) {
	f.Add("specimen,scientificName,lifeStage,snoutVentLength\nA,Rana x,adult,12.5\n")
	f.Add("\ufeffspecimen,scientificName\n\"A\",Rana x\n")
	f.Fuzz(func(t *testing.T, text string) {
		specimens, err := ReadSpecimens(strings.NewReader(text))
		for _, s := range specimens {
			if err == nil && (s.ID == "" || s.Taxon == "") {
				t.Errorf("specimen without ID or taxon: %+v", s)
			}
			for name, v := range s.Measurements {
				if !(v > 0) {
					t.Errorf("%s = %v", name, v)
				}
			}
		}
	})
}

// Five thousand captures take seconds, not minutes.
func TestManyCaptures(t *testing.T) {
	if os.Getenv("SPADEFOOT_LONG") != "1" {
		t.Skip("set SPADEFOOT_LONG=1")
	}
	cs := frogs(11, 5000/3, kinds...)
	s := Defaults()
	s.TrustRecorded = true
	r := Infer(cs, nil, Inputs{Rules: Rules()}, s)
	found := byRule(r.Findings)
	t.Logf("%d captures, error %.4f, looks like other %d, like none %d", len(cs), r.Models[0].Error, len(found["looks-like-other"]), len(found["looks-like-none"]))
	if len(r.Placements) != len(cs) || len(found["looks-like-none"]) > 10 {
		t.Errorf("%d placed", len(r.Placements))
	}
}
