package infer

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/schemas"
)

func TestOwnRulesMakeSense(t *testing.T) {
	own := Rules()
	if n := len(own); n < 8 {
		t.Errorf("%d rules", n)
	}
	for i := range own {
		if err := own[i].check(); err != nil {
			t.Errorf("dimorphism.csv, rule %d (%s): %v", i+1, own[i].Taxon, err)
		}
	}
	known := map[string]bool{}
	rules, err := schemas.Table[schemas.Rule]("rules/infer.csv")
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rules {
		known[r.Code] = true
		if len(r.Summary) >= 80 {
			t.Errorf("%s: summary of %d characters", r.Code, len(r.Summary))
		}
	}
	for _, code := range []string{"sex-disagrees", "sex-signs-conflict", "sex-indicated", "sex-filled", "looks-like-other",
		"looks-like-none", "too-little-training", "condition-declined"} {
		if !known[code] {
			t.Errorf("rule %s is in no table", code)
		}
	}
}

func TestRuleCheck(t *testing.T) {
	good := SexRule{Taxon: "Rana x", Character: "ratio", Numerator: "a", Denominator: "b", Direction: MaleLarger, MaleThreshold: 1.1, FemaleThreshold: .9, Source: "s"}
	if err := good.check(); err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func(*SexRule){
		"no taxon":         func(r *SexRule) { r.Taxon = "" },
		"no source":        func(r *SexRule) { r.Source = "" },
		"direction":        func(r *SexRule) { r.Direction = "bigger" },
		"no measurement":   func(r *SexRule) { r.Numerator = "" },
		"sign as well":     func(r *SexRule) { r.Sign = "pads" },
		"no threshold":     func(r *SexRule) { r.MaleThreshold = 0 },
		"overlap":          func(r *SexRule) { r.FemaleThreshold = 1.2 },
		"overlap, turned":  func(r *SexRule) { r.Direction = FemaleLarger },
		"size, no unit":    func(r *SexRule) { r.SizeMeasurement, r.SizeValue = "c", 3 },
		"sign, no wording": func(r *SexRule) { r.Direction = PresentMale },
	} {
		r := good
		spoil(&r)
		if r.check() == nil {
			t.Errorf("%s: taken", name)
		}
	}
}

func TestSex(t *testing.T) {
	rules := Rules()
	frog := func(sex, stage, svl, tympanum, eye string) *record.Capture {
		return capture(1, map[string]string{"scientificName": "Lithobates clamitans", "sex": sex, "lifeStage": stage},
			reading("snoutVentLength", svl), reading("tympanumDiameter", tympanum), reading("eyeDiameter", eye))
	}
	with := func(c *record.Capture, term, text string) *record.Capture {
		c.Set(record.Value{Field: record.Of(term), Text: text, Verbatim: text})
		return c
	}
	for _, c := range []struct {
		name    string
		capture *record.Capture
		sex     string
		rule    string // of the one finding, or ""
		why     string // part of Why
	}{
		{"male, recorded so", frog("male", "adult", "78.2", "11.4", "8.9"), Male, "", ""},
		{"male, recorded female", frog("female", "adult", "78.2", "11.4", "8.9"), Male, "sex-disagrees", ""},
		{"female, recorded female", frog("female", "adult", "80.1", "7.2", "9.0"), Female, "", ""},
		{"female, recorded male", frog("male", "", "80.1", "7.2", "9.0"), Female, "sex-disagrees", ""},
		{"nothing recorded", frog("", "adult", "80.1", "7.2", "9.0"), Female, "sex-indicated", ""},
		{"recorded as undetermined", frog("undetermined", "adult", "80.1", "7.2", "9.0"), Female, "", ""},
		{"in the band", frog("female", "adult", "80.1", "9.1", "9.0"), Undetermined, "", "too close to"},
		{"juvenile", frog("female", "juvenile", "80.1", "11.4", "8.9"), Undetermined, "", "juvenile"},
		{"too small", frog("female", "adult", "48.0", "7.2", "5.5"), Undetermined, "", "applies from 65 mm"},
		{"size at the edge", frog("female", "adult", "65.0", "11.4", "8.9"), Undetermined, "", "applies from"},
		{"no size, adult", frog("female", "adult", "", "11.4", "8.9"), Male, "sex-disagrees", ""},
		{"no size, no stage", frog("female", "", "", "11.4", "8.9"), Undetermined, "", "neither recorded as adult nor measured"},
		{"no eye", frog("female", "adult", "80", "11.4", ""), Undetermined, "", "no character"},
		{"eye of zero", frog("female", "adult", "80", "11.4", "0.0"), Undetermined, "", "no character"},
		{"pads agree", with(frog("", "adult", "78.2", "11.4", "8.9"), "occurrenceRemarks", "nuptial pads"), Male, "sex-indicated", ""},
		{"pads on a female", with(frog("female", "adult", "80.1", "7.2", "9.0"), "occurrenceRemarks", "nuptial pads"), Undetermined, "sex-signs-conflict", "contradict"},
		{"gravid male", with(frog("male", "adult", "", "", ""), "reproductiveCondition", "gravid"), Female, "sex-disagrees", ""},
		{"pads absent", with(frog("male", "adult", "", "", ""), "occurrenceRemarks", "no nuptial pads"), Undetermined, "", "proves nothing"},
		{"no rule", with(frog("male", "adult", "80.1", "7.2", "9.0"), "scientificName", "Crotalus horridus"), Undetermined, "", "no rule"},
		{"synonym", with(frog("male", "adult", "80.1", "7.2", "9.0"), "scientificName", "Rana clamitans Latreille"), Female, "sex-disagrees", ""},
	} {
		ind, fs := Sex(c.capture, rules, Defaults())
		if ind.Sex != c.sex || !strings.Contains(ind.Why, c.why) {
			t.Errorf("%s: %s, %q", c.name, ind.Sex, ind.Why)
		}
		switch {
		case c.rule == "" && len(fs) > 0:
			t.Errorf("%s: finding %s", c.name, fs[0].Rule)
		case c.rule != "" && (len(fs) != 1 || fs[0].Rule != c.rule):
			t.Errorf("%s: findings %+v", c.name, fs)
		}
		for _, f := range fs {
			if !strings.Contains(f.Reason, "do not settle") || f.Group == "" {
				t.Errorf("%s: reason %q, group %q", c.name, f.Reason, f.Group)
			}
			if f.Rule == "sex-disagrees" && (f.Suggestion != "") != (c.name == "gravid male") {
				t.Errorf("%s: suggests %q: only a sign that was seen does", c.name, f.Suggestion)
			}
		}
		if ind.Fill != nil {
			t.Errorf("%s: filled without consent", c.name)
		}
	}
}

func TestSexIsFilledOnlyWithConsent(t *testing.T) {
	s := Defaults()
	s.FillSex = true
	for _, recorded := range []string{"", "female", "undetermined"} {
		c := capture(1, map[string]string{"scientificName": "Lithobates clamitans", "sex": recorded, "lifeStage": "adult"},
			reading("snoutVentLength", "78.2"), reading("tympanumDiameter", "11.4"), reading("eyeDiameter", "8.9"))
		ind, _ := Sex(c, Rules(), s)
		if c.Get("sex") != recorded {
			t.Fatal("the recorded sex was changed")
		}
		if (ind.Fill != nil) != (recorded == "") {
			t.Errorf("recorded %q: fill %+v", recorded, ind.Fill)
		}
		if ind.Fill != nil && (ind.Fill.Text != Male || !strings.Contains(ind.Fill.Remark, "tympanum to eye ratio") ||
			!strings.Contains(ind.Fill.Remark, "not recorded in the field") || ind.Fill.Verbatim != "") {
			t.Errorf("fill: %+v", ind.Fill)
		}
	}
}

// Repeats narrow the band: 1.05 is in doubt from one pair of readings and clear
// from eight.
func TestRepeatsNarrowTheBand(t *testing.T) {
	c := capture(1, map[string]string{"scientificName": "Lithobates clamitans", "lifeStage": "adult"}, reading("snoutVentLength", "78.2"))
	add := func() {
		c.Readings = append(c.Readings, reading("tympanumDiameter", "9.45"), reading("eyeDiameter", "9.00"))
	}
	add()
	if ind, _ := Sex(c, Rules(), Defaults()); ind.Sex != Undetermined {
		t.Errorf("one pair: %s", ind.Sex)
	}
	for range 7 {
		add()
	}
	if ind, _ := Sex(c, Rules(), Defaults()); ind.Sex != Male {
		t.Errorf("eight pairs: %s, %s", ind.Sex, ind.Why)
	}
	c.Readings[1].Accuracy = 3
	{
		if ind, _ := Sex(c, Rules(), Defaults()); ind.Sex != Undetermined {
			t.Errorf("an accuracy of 3 mm: %s", ind.Sex)
		}
	}
}

func ExampleSex() {
	c := &record.Capture{ID: "1", Key: "MC-17", File: "frogs.csv", Row: 18, Values: []record.Value{
		{Field: record.Of("scientificName"), Text: "Lithobates clamitans"}, {Field: record.Of("sex"), Text: "female", Verbatim: "F"}, {Field: record.Of("lifeStage"), Text: "adult"}},
		Readings: []record.Reading{
			{Series: &record.Series{Measurement: "tympanumDiameter", Unit: "mm"}, Number: 11.4, Decimals: 1, Accuracy: 0.2},
			{Series: &record.Series{Measurement: "eyeDiameter", Unit: "mm"}, Number: 8.9, Decimals: 1, Accuracy: 0.2}}}
	ind, findings := Sex(c, Rules(), Defaults())
	fmt.Println(ind.Sex)
	fmt.Println(findings[0].Reason)
	// Output:
	// male
	// recorded as female; tympanum to eye ratio 1.28 ± 0.07 against 1.00 (common practice: adult male's tympanum as large as the eye or larger, female's smaller) indicates male. Measurements and signs alone do not settle the sex: calls, eggs or genetics do.
}

// check says what is wrong with a rule, or nil.
func (r *SexRule) check() error {
	if r.Taxon == "" || r.Character == "" || r.Source == "" {
		return errors.New("taxon, character and source must be given")
	}
	switch r.Direction {
	case PresentMale, PresentFemale:
		if r.Sign == "" || r.Numerator != "" {
			return fmt.Errorf("%s belongs to a sign, not to a measurement", r.Direction)
		}
		return nil
	case MaleLarger, FemaleLarger:
	default:
		return fmt.Errorf("direction %q: want %s, %s, %s or %s", r.Direction, MaleLarger, FemaleLarger, PresentMale, PresentFemale)
	}
	if r.Numerator == "" || r.Sign != "" {
		return fmt.Errorf("%s belongs to a measurement, not to a sign", r.Direction)
	}
	if !(r.MaleThreshold > 0) || !(r.FemaleThreshold > 0) {
		return errors.New("male and female threshold must be above 0")
	}
	upper, lower := r.MaleThreshold, r.FemaleThreshold
	if r.Direction == FemaleLarger {
		upper, lower = lower, upper
	}
	if upper < lower {
		return fmt.Errorf("thresholds overlap: male %v, female %v", r.MaleThreshold, r.FemaleThreshold)
	}
	if r.SizeMeasurement != "" && !(r.SizeValue > 0 && r.SizeUnit != "") {
		return errors.New("a size needs a value above 0 and a unit")
	}
	return nil
}
