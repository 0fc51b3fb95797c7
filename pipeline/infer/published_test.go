package infer

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// fishes are perch or bream, as in testdata/reference/published.R.
type fishes struct {
	Length, Mass, Scaled, ScaledSE, Residual, ResidualSE []float64
	Slope, SlopeSE, Standard                             [1]float64
}

func published(t *testing.T) (ref struct {
	Perch, Bream fishes
	Turtles      struct {
		Female, Male, At, OfMale []float64
		Overlap                  [1]float64
	}
}) {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(need.Root(t), "testdata", "reference", "published.json"))
	if err == nil {
		err = json.Unmarshal(b, &ref)
	}
	if err != nil {
		t.Fatal(err)
	}
	return ref
}

// Condition of 56 perch and 34 bream of a lake (Brofeldt 1917, in R's rrcov): one slope
// and one standard length for each species, whatever the group, and uncertainties with
// that of the slope in them, against R. A group of fewer than twenty is said to be one.
func TestConditionOfPublishedFish(t *testing.T) {
	ref := published(t)
	var all []*record.Capture
	var want []fishes
	add := func(species string, f fishes) {
		for i := range f.Length {
			sex := Female
			if i >= 40 {
				sex = Male
			}
			length, mass := reading("snoutVentLength", strconv.FormatFloat(f.Length[i], 'f', -1, 64)), reading("bodyMass", strconv.FormatFloat(f.Mass[i], 'f', -1, 64))
			length.Accuracy, mass.Accuracy = 2*0.005*f.Length[i], 2*0.01*f.Mass[i]
			all = append(all, capture(len(all), map[string]string{"scientificName": species, "lifeStage": "adult", "sex": sex}, length, mass))
			want = append(want, fishes{Scaled: f.Scaled[i : i+1], ScaledSE: f.ScaledSE[i : i+1], Residual: f.Residual[i : i+1], ResidualSE: f.ResidualSE[i : i+1]})
		}
	}
	add("Perca fluviatilis", ref.Perch)
	add("Abramis brama", ref.Bream)
	r := Infer(all, nil, Inputs{}, Defaults())
	at := map[string]int{}
	for i, c := range all {
		at[c.ID] = i
	}
	few := 0
	for _, d := range r.Derived {
		w := want[at[d.Capture]]
		value, se, rounded := w.Scaled[0], w.ScaledSE[0], 0.0500001
		if d.Reading.Measurement == ConditionResidual {
			value, se, rounded = w.Residual[0], w.ResidualSE[0], 0.00050001
		}
		if math.Abs(d.Reading.Number-value) > rounded || math.Abs(d.Reading.Accuracy-2*se) > 1e-4*se {
			t.Errorf("%s of %s: %v ± %v, want %v ± %v", d.Reading.Measurement, d.Capture, d.Reading.Number, d.Reading.Accuracy, value, 2*se)
		}
		if strings.Contains(d.Reading.Remark(), "only 16 of the 56 animals behind the species' line are Perca fluviatilis, adult, male") {
			few++
		} else if d.Reading.Remark() != "" {
			t.Errorf("%q", d.Reading.Remark())
		}
	}
	if len(r.Derived) != 2*len(all) || few != 2*16 {
		t.Errorf("%d readings, %d of the small group", len(r.Derived), few)
	}
	lines := map[string]bool{}
	for _, g := range r.Groups {
		lines[g.line] = true
	}
	for name, f := range map[string]fishes{"Perca fluviatilis": ref.Perch, "Abramis brama": ref.Bream} {
		said := fmt.Sprintf("%s: b = %.3f ± %.3f, L0 = %.2f mm;", name, f.Slope[0], f.SlopeSE[0], f.Standard[0])
		one := 0
		for line := range lines {
			if strings.HasPrefix(line, said) {
				one++
			}
		}
		if one != 1 {
			t.Errorf("%d lines begin with %q: %v", one, said, lines)
		}
	}
}

// The sexes of 48 painted turtles (Jolicoeur and Mosimann 1960, in R's ade4): how far
// they overlap, and what animals without a sex probably are, against R's qda.
func TestSexesOfPublishedTurtles(t *testing.T) {
	ref := published(t).Turtles
	var all []*record.Capture
	add := func(sex, sign string, length float64) {
		c := capture(len(all), map[string]string{"scientificName": "Chrysemys picta", "lifeStage": "adult", "sex": sex, "order": "Testudines", "occurrenceRemarks": sign},
			reading("snoutVentLength", strconv.FormatFloat(length, 'f', -1, 64)))
		c.Set(record.Value{Field: record.Of("genus"), Text: "Chrysemys"})
		c.Set(record.Value{Field: record.Of("specificEpithet"), Text: "picta"})
		all = append(all, c)
	}
	for _, v := range ref.Female {
		add(Female, "dissected", v)
	}
	for _, v := range ref.Male {
		add(Male, "dissected", v)
	}
	for _, v := range ref.At {
		add("", "", v)
	}
	fs := notesOn(t, all, Defaults())
	if len(fs) != 1 || math.Abs(fs[0].Figures[0].Value-ref.Overlap[0]) > 1e-6 {
		t.Fatalf("%+v, want an overlap of %v", fs, ref.Overlap)
	}
	for i, p := range ref.OfMale {
		sex := Male
		if p < 0.5 {
			sex, p = Female, 1-p
		}
		said := fmt.Sprintf("%d %s with probability %s (", len(ref.Female)+len(ref.Male)+i, sex, percent(p))
		if !strings.Contains(fs[0].Reason, said) {
			t.Errorf("%q is not in %q", said, fs[0].Reason)
		}
	}
	for _, c := range all[len(all)-len(ref.At):] {
		if c.Get("sex") != "" {
			t.Errorf("%s: a sex was filled in", c.Key)
		}
	}
}
