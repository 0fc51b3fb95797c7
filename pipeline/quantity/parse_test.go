package quantity

import (
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

func rules(q Quantity) string {
	var s []string
	for _, p := range q.Problems {
		s = append(s, p.Rule)
	}
	return strings.Join(s, " ")
}

func TestParse(t *testing.T) {
	for _, c := range []struct {
		text  string
		state record.State
		said  string // as String writes it
		rules string
	}{
		{"33g", record.Measured, "33 g", ""},
		{"33 g.", record.Measured, "33 g", ""},
		{"33 G", record.Measured, "33 g", ""},
		{"57.5", record.Measured, "57.5", ""},
		{"57.50 mm", record.Measured, "57.50 mm", ""},
		{"57.5 m m", record.Measured, "57.5 mm", ""},
		{"57 (mm)", record.Measured, "57 mm", ""},
		{".5 g", record.Measured, "0.5 g", ""},
		{"0.866666666666667", record.Measured, "0.866666666666667", ""},
		{"0.0833333333333333", record.Measured, "0.0833333333333333", ""},
		{"1.51197193190455e-04", record.Measured, "0.000151197193190455", ""},
		{"-1.11022302462516e-16", record.Measured, "-0.000000000000000111022302462516", ""},
		{"1E-31", record.Unread, "", ruleUnread},
		{"+5", record.Measured, "5", ""},
		{"'57", record.Measured, "57", ""},
		{"=57", record.Measured, "57", ""},
		{"0", record.Measured, "0", ""},
		{"٦٠٫٥", record.Measured, "60.5", ""},
		{"६०", record.Measured, "60", ""},
		// what touches a number and may be a part of it
		{"1_000", record.Unread, "", ruleUnread},
		{"60²", record.Unread, "", ruleUnread},
		{"60_", record.Unread, "", ruleUnread},
		{"0x1F", record.Unread, "", ruleLetter},
		{"57.5(2)", record.Measured, "57.5", ruleNote},
		// decimal marks and groups
		{"12,5", record.Measured, "12.5", ""},
		{"0,125", record.Measured, "0.125", ""},
		{"1.234,5", record.Measured, "1234.5", ""},
		{"1,234.5", record.Measured, "1234.5", ""},
		{"1,234,567", record.Measured, "1234567", ""},
		{"1 234,5", record.Measured, "1234.5", ""},
		{"1\u202f234", record.Measured, "1234", ""},
		{"1'234.5", record.Measured, "1234.5", ""},
		{"1.234", record.Measured, "1.234", ""},
		{"1,234", record.Unread, "", ruleMark},
		{"12..5", record.Unread, "", ruleUnread},
		{"1.2.3", record.Unread, "", ruleUnread},
		{"1.5E3 mg", record.Measured, "1500 mg", ""},
		{"1.2×10^3", record.Measured, "1200", ""},
		{"12.499999999999998", record.Measured, "12.5", ruleNoise},
		// other characters
		{"１２．５", record.Measured, "12.5", ""},
		{"−3.5 °C", record.Measured, "-3.5 °C", ""},
		{"57\u00a0mm", record.Measured, "57 mm", ""},
		{"57\u2009mm", record.Measured, "57 mm", ""},
		{"٥٧ mm", record.Measured, "57 mm", ""},
		// fractions, feet and inches
		{"3 5/16 in", record.Measured, "3.31 in", ""},
		{`3-5/16"`, record.Measured, "3.31 in", ""},
		{"1 3/16", record.Measured, "1.19", ""},
		{"2-7/16", record.Measured, "2.44", ""},
		{"1-3-16", record.Unread, "", ruleDate},
		{"3½ in", record.Measured, "3.5 in", ""},
		{"½", record.Measured, "0.5", ""},
		{"3/4 in", record.Measured, "0.75 in", ""},
		{"½ g", record.Measured, "0.5 g", ""},
		{"2⅛ g", record.Measured, "2.13 g", ""},
		{"1/2", record.Unread, "", ruleFraction},
		{"5/6", record.Unread, "", ruleFraction},
		{"-1 1/2 °C", record.Measured, "-1.5 °C", ""},
		{"3/4 g", record.Unread, "", ruleFraction},
		{`1'11"`, record.Measured, "23 in", ""},
		{"1’ 11”", record.Measured, "23 in", ""},
		{"5'11", record.Measured, "71 in", ""},
		{"1 ft 11 in", record.Measured, "23 in", ""},
		{"2 lb 3 oz", record.Measured, "35 oz", ""},
		{"1 m 20 cm", record.Measured, "120 cm", ""},
		// doubt
		{"57.5mm?", record.Doubtful, "57.5? mm", ruleDoubted},
		{"57.5? mm", record.Doubtful, "57.5? mm", ruleDoubted},
		{"?57", record.Doubtful, "57?", ruleDoubted},
		{"c. 40", record.Doubtful, "40?", ruleDoubted},
		{"c.40", record.Doubtful, "40?", ruleDoubted},
		{"c. .5", record.Doubtful, "0.5?", ruleDoubted},
		{"ca 40 mm", record.Doubtful, "40? mm", ruleDoubted},
		{"~40", record.Doubtful, "40?", ruleDoubted},
		{"≈ 40", record.Doubtful, "40?", ruleDoubted},
		{"etwa 40", record.Doubtful, "40?", ruleDoubted},
		{"57.5 approx", record.Doubtful, "57.5?", ruleDoubted},
		{"57.5 (approx.)", record.Doubtful, "57.5?", ruleDoubted},
		// bounds, ranges, ±
		{"<0.5", record.Below, "<0.5", ""},
		{"≤5 mm", record.Below, "<5 mm", ""},
		{"under 5", record.Below, "<5", ""},
		{">60", record.Above, ">60", ""},
		{"> 60 g", record.Above, ">60 g", ""},
		{"≥60", record.Above, ">60", ""},
		{"60+", record.Above, ">60", ""},
		{"más de 60", record.Above, ">60", ""},
		{"40-42", record.Interval, "40-42", ""},
		{"40–42 mm", record.Interval, "40-42 mm", ""},
		{"40mm - 42mm", record.Interval, "40-42 mm", ""},
		{"40 to 42.5 mm", record.Interval, "40.0-42.5 mm", ""},
		{"40-42?", record.Interval, "40-42", ruleDoubted},
		{"c. 40-42 mm", record.Interval, "40-42 mm", ruleDoubted},
		{"<5?", record.Below, "<5", ruleDoubted},
		{"12,5-13,5 g", record.Interval, "12.5-13.5 g", ""},
		{"42-40", record.Unread, "", ruleRange},
		{"40 mm - 42 g", record.Unread, "", ruleUnread},
		{"12.4 ± 0.2", record.Measured, "12.4 ± 0.2", ""},
		{"12.4+/-0.2 g", record.Measured, "12.4 ± 0.2 g", ""},
		{"12 mm ± 1", record.Measured, "12 ± 1 mm", ""},
		// more than a number
		{"132 (scale not calibrated)", record.Measured, "132", ruleNote},
		{"57 mm left leg", record.Measured, "57 mm", ruleNote},
		{"12.5*", record.Measured, "12.5", ruleNote},
		{"96¹", record.Measured, "96", ruleNote},
		{"57 / 19 g", record.Measured, "57 g", ruleTwo},
		{"57/19", record.Measured, "57", ruleTwo},
		{"57 mm / 19 g", record.Measured, "57 mm", ruleTwo},
		{"57,5 / 19,2 g", record.Measured, "57.5 g", ruleTwo},
		{"57 mm 19 g", record.Measured, "57 mm", ruleTwo},
		{"57 mm 19 mm", record.Unread, "", ruleUnread},
		{"57; 19; 20", record.Unread, "", ruleTwo},
		{"57 and 19", record.Measured, "57", ruleTwo},
		// letters for digits
		{"5O", record.Unread, "", ruleLetter},
		{"l2.5", record.Unread, "", ruleLetter},
		{"1O.5 g", record.Unread, "", ruleLetter},
		{"I2", record.Unread, "", ruleLetter},
		{"12 l", record.Measured, "12 L", ""},
		{"6O.7", record.Unread, "", ruleLetter},
		{"1S.2", record.Unread, "", ruleLetter},
		{"3.l", record.Unread, "", ruleLetter},
		{"3.S", record.Unread, "", ruleLetter},
		{"3.S mm", record.Unread, "", ruleLetter},
		{"3.B5", record.Unread, "", ruleLetter},
		{"3.S (left)", record.Unread, "", ruleLetter},
		{"6x.7", record.Unread, "", ruleLetter},
		{"12x3 wet", record.Unread, "", ruleLetter},
		{"3.x", record.Unread, "", ruleLetter},
		{"33.g", record.Measured, "33 g", ""},
		{"57mm H05", record.Measured, "57 mm", ruleNote},
		// what spreadsheets do
		{"12-May", record.Unread, "", ruleDate},
		{"2021-05-12", record.Unread, "", ruleDate},
		{"2021-05-12T00:00:00", record.Unread, "", ruleDate},
		{"12/05/2021", record.Unread, "", ruleDate},
		{"12.05.2021", record.Unread, "", ruleDate},
		{"May-45", record.Unread, "", ruleDate},
		{"12. Mai", record.Unread, "", ruleDate},
		{"9.85E+14", record.Unread, "", ruleDigits},
		{"#DIV/0!", record.Unread, "", ruleFault},
		{"#VALUE!", record.Unread, "", ruleFault},
		// units
		{"33gx", record.Unread, "", ruleUnit},
		{"33 grms", record.Unread, "", ruleUnit},
		{"12 milimetrs", record.Unread, "", ruleUnit},
		// nothing to be made of it
		{"frog", record.Unread, "", ruleUnread},
		{"TRUE", record.Unread, "", ruleUnread},
		{"mm", record.Unread, "", ruleUnread},
		{"12:30", record.Unread, "", ruleUnread},
		{"45+12", record.Unread, "", ruleUnread},
		{"12 345", record.Unread, "", ruleUnread},
		{"57 g 12", record.Unread, "", ruleUnread},
		{"1e999", record.Unread, "", ruleUnread},
		{"Inf", record.Unread, "", ruleUnread},
		{"-Infinity", record.Unread, "", ruleUnread},
		{strings.Repeat("9", 400), record.Unread, "", ruleUnread},
	} {
		q := Parse(c.text, Options{})
		if q.State != c.state || q.String() != c.said || rules(q) != c.rules {
			t.Errorf("%q: %v %q %q, want %v %q %q", c.text, q.State, q.String(), rules(q), c.state, c.said, c.rules)
		}
	}
}

func TestParseNumbers(t *testing.T) {
	q := Parse("40–42 mm", Options{})
	if q.Low != 40 || q.High != 42 || q.Number != 41 || q.Unit != "mm" || !q.UnitWritten {
		t.Errorf("range: %+v", q)
	}
	q = Parse("12.4 ± 0.2", Options{Unit: "g"})
	if q.Number != 12.4 || q.Low != 12.2 || q.High != 12.6 || q.Half != 0.2 || q.Unit != "g" || q.UnitWritten {
		t.Errorf("±: %+v", q)
	}
	q = Parse("3 5/16 in", Options{})
	if q.Number != 3.3125 || q.Step != 1.0/16 {
		t.Errorf("fraction: %+v", q)
	}
	q = Parse("57 / 19 g", Options{Unit: "mm"})
	if q.Number != 57 || q.Unit != "g" || q.Second == nil || q.Second.Number != 19 || q.Second.Unit != "g" {
		t.Errorf("two: %+v", q)
	}
	q = Parse("57 / 19", Options{Unit: "mm"})
	if q.Unit != "mm" || q.Second == nil || q.Second.Unit != "mm" {
		t.Errorf("two in the column's unit: %+v", q)
	}
	q = Parse("1.5E3", Options{})
	if q.Number != 1500 || q.Decimals != -2 || q.Step != 100 {
		t.Errorf("power of ten: %+v", q)
	}
	q = Parse("132 (scale not calibrated)", Options{})
	if q.Number != 132 || q.Remark != "scale not calibrated" {
		t.Errorf("note: %+v", q)
	}
}

func TestParseMissing(t *testing.T) {
	for _, c := range []struct{ text, remark, rules string }{
		{"", "", ""}, {"   ", "", ""}, {"n/a", "", ""}, {"NA", "", ""}, {"N.A.", "", ""}, {"-", "", ""}, {"–", "", ""},
		{"--", "", ""}, {".", "", ""}, {"...", "", ""}, {"x", "", ""}, {"nd", "", ""}, {"s/d", "", ""}, {"n.r.", "", ""},
		{"none", "", ""}, {"not taken", "", ""}, {"Not Taken", "", ""}, {"non pris", "", ""}, {"non mesuré", "", ""},
		{"nicht gemessen", "", ""}, {"não medido", "", ""}, {"NaN", "", ""}, {"#N/A", "", ""},
		{"escaped", "escaped", ""}, {"esc", "esc", ""}, {"Illeg.", "Illeg.", ""}, {"não med.", "não med.", ""}, {"not meas", "not meas", ""}, {"(escaped)", "escaped", ""}, {"escaped before weighing", "escaped before weighing", ""},
		{"not taken - too cold", "not taken - too cold", ""}, {"entkommen", "entkommen", ""},
		{"scale was wet", "scale was wet", ruleNote}, {"not a frog", "not a frog", ruleNote}, {"?", "", ruleQuestion}, {"??", "", ruleQuestion},
		{"-999", "", ruleSentinel}, {"-99", "", ruleSentinel}, {"9999", "", ruleSentinel}, {"999.9", "", ruleSentinel},
		{"-999.0", "", ruleSentinel},
	} {
		q := Parse(c.text, Options{Want: "length", Unit: "mm"})
		if q.State != record.Missing || q.Remark != c.remark || rules(q) != c.rules || q.Number != 0 {
			t.Errorf("%q: %+v", c.text, q)
		}
	}
	for _, s := range []string{"9999 mm", "999", "-9", "nothing 5", "frog", "measly", "see book", "a b"} {
		if q := Parse(s, Options{}); q.State == record.Missing {
			t.Errorf("%q is not missing", s)
		}
	}
	if q := Parse("0", Options{ZeroMissing: true}); q.State != record.Missing || rules(q) != ruleZero {
		t.Errorf("zero: %+v", q)
	}
	if q := Parse("0.5", Options{ZeroMissing: true}); q.State != record.Measured {
		t.Errorf("not zero: %+v", q)
	}
}

// What is measured may have a sign and a smallest value.
func TestBelowWhatIsMeasured(t *testing.T) {
	sized := Options{Unit: "mm", Want: "length", NotNegative: true, NotZero: true}
	for _, c := range []struct {
		text              string
		options           Options
		rules, suggestion string
	}{
		{"-70,2", sized, ruleNegative, "70,2"}, {"−70.2 mm", sized, ruleNegative, "70.2 mm"}, {"0", sized, ruleNought, ""}, {"0,0 cm", sized, ruleNought, ""},
		{"0.1", sized, "", ""}, {"<0.5", sized, "", ""}, {"0", Options{Unit: "mm", NotNegative: true}, "", ""},
		{"-4", Options{Unit: "Cel"}, "", ""}, {"0", Options{Unit: "mm", NotZero: true, ZeroMissing: true}, ruleZero, ""},
	} {
		q := Parse(c.text, c.options)
		suggestion := ""
		for _, p := range q.Problems {
			suggestion += p.Suggestion
		}
		if rules(q) != c.rules || suggestion != c.suggestion || q.State == record.Unread {
			t.Errorf("%q: %+v, want %q %q", c.text, q, c.rules, c.suggestion)
		}
	}
}

// Zeros are rare where a slip explains them, and not where many animals have one.
func TestZeros(t *testing.T) {
	for _, c := range []struct {
		zeros, numbers int
		want           bool
	}{
		{0, 10, true}, {1, 3, true}, {2, 20, false}, {2, 40, true}, {20, 40, false},
	} {
		var z Zeros
		for i := range c.numbers {
			z.Add("-")
			if i < c.zeros {
				z.Add("0,0")
			} else {
				z.Add("10.0")
			}
		}
		if z.Rare() != c.want {
			t.Errorf("%d of %d: %t", c.zeros, c.numbers, z.Rare())
		}
	}
}

func TestParseOptions(t *testing.T) {
	for _, c := range []struct {
		text  string
		o     Options
		state record.State
		said  string
		rules string
	}{
		{"57.5", Options{Unit: "mm", Want: "length"}, record.Measured, "57.5 mm", ""},
		{"5.75 cm", Options{Unit: "mm", Want: "length"}, record.Measured, "5.75 cm", ""},
		{"57 g", Options{Unit: "mm", Want: "length"}, record.Unread, "", ruleDimension},
		{"57", Options{Want: "length"}, record.Measured, "57", ruleNoUnit},
		{"0.4", Options{Want: "1"}, record.Measured, "0.4", ""},
		{"1,234", Options{Decimal: ','}, record.Measured, "1.234", ""},
		{"1,234", Options{Decimal: '.'}, record.Measured, "1234", ""},
		{"1.234", Options{Decimal: ','}, record.Measured, "1234", ""},
		{"12,5", Options{Decimal: '.'}, record.Measured, "12.5", ruleMarkOther},
		{"12.5", Options{Decimal: ','}, record.Measured, "12.5", ruleMarkOther},
		{"1.234,5", Options{Decimal: '.'}, record.Measured, "1234.5", ruleMarkOther},
		{"12l", Options{Want: "length", Unit: "mm"}, record.Unread, "", ruleDimension},
		{"3.l", Options{Want: "length", Unit: "mm"}, record.Unread, "", ruleLetter},
		{"2 dr", Options{Want: "mass", Unit: "g"}, record.Unread, "", ruleUnit},
		{"2 dr.", Options{Want: "mass", Unit: "g"}, record.Unread, "", ruleUnit},
		{"2 drs", Options{Want: "mass", Unit: "g"}, record.Unread, "", ruleUnit},
		{"2 drams", Options{Want: "mass", Unit: "g"}, record.Unread, "", ruleUnit},
		{"3 scruples", Options{Want: "mass", Unit: "g"}, record.Unread, "", ruleUnit},
		{"1 stone", Options{Want: "mass", Unit: "g"}, record.Unread, "", ruleUnit},
		{"3 decigrams", Options{Want: "mass", Unit: "g"}, record.Unread, "", ruleUnit},
		{"3 dag", Options{Want: "mass", Unit: "g"}, record.Unread, "", ruleUnit},
		{"33 mmm", Options{Want: "length", Unit: "mm"}, record.Unread, "", ruleUnit},
		{"33 milimetrs", Options{Want: "length", Unit: "mm"}, record.Unread, "", ruleUnit},
		{"33 g", Options{Want: "length", Unit: "mm"}, record.Unread, "", ruleDimension},
		{"33ok", Options{Want: "length", Unit: "mm"}, record.Unread, "", ruleUnit},
		{"33 ok", Options{Want: "length", Unit: "mm"}, record.Measured, "33 mm", ruleNote},
		{"33 nr", Options{Want: "length", Unit: "mm"}, record.Measured, "33 mm", ruleNote},
		{"33 male", Options{Want: "length", Unit: "mm"}, record.Measured, "33 mm", ruleNote},
		{"33 leg", Options{Want: "length", Unit: "mm"}, record.Measured, "33 mm", ruleNote},
		{"2 left", Options{Want: "length", Unit: "mm"}, record.Measured, "2 mm", ruleNote},
		{"2 wet bag", Options{Want: "mass", Unit: "g"}, record.Measured, "2 g", ruleNote},
		{"2 diameter", Options{Want: "length", Unit: "mm"}, record.Measured, "2 mm", ruleNote},
		{"2 ad", Options{Want: "1"}, record.Measured, "2", ruleNote},
	} {
		q := Parse(c.text, c.o)
		if q.State != c.state || q.String() != c.said || rules(q) != c.rules {
			t.Errorf("%q with %+v: %v %q %q, want %v %q %q", c.text, c.o, q.State, q.String(), rules(q), c.state, c.said, c.rules)
		}
	}
}

func TestSuggestions(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"12-May", ""}, {"5-May", "5.5"}, {"May-45", "5.45"},
		{"5O", "50"}, {"l2.5 g", "12.5 g"}, {"1,234", ""},
		{"42-40", "40-42"}, {"42-40 g", "40-42 g"}, {"12..5", "12.5"}, {"12..5 g wet", "12.5 g wet"}, {"33 grms", "33 g"}, {"12 milimetrs", "12 mm"}, {"57 mm / 33 grms", "57 mm / 33 g"}, {"3/4 g", "0.7500 g"},
		{"6O.7", "60.7"}, {"1S.2", "15.2"}, {"3.l", "3.1"}, {"3.S mm", "3.5 mm"}, {"3.B5", "3.85"}, {"6x.7", ""},
		{"33gx", ""}, {"frog", ""}, {"12 345", "12345"}, {"1 234 g", "1234 g"}, {"57 g 123", ""},
	} {
		q := Parse(c.text, Options{})
		if len(q.Problems) != 1 || q.Problems[0].Suggestion != c.want {
			t.Errorf("%q: %+v, want the suggestion %q", c.text, q.Problems, c.want)
		}
		if q.State != record.Unread {
			t.Errorf("%q: the suggestion was applied", c.text)
		}
	}
	if q := Parse("12l", Options{Want: "length"}); q.Problems[0].Suggestion != "121" {
		t.Errorf("12l: %+v", q)
	}
	for text, may := range map[string]string{"12-May": "12.5 or 5.12", "2021-05-12": "12.5 or 5.12", "1945-05-01": "1.5 or 5.1 or 5.45", "1,234": "1.234 or 1234"} {
		if q := Parse(text, Options{}); !strings.HasSuffix(q.Problems[0].Reason, " "+may) {
			t.Errorf("%q: %+v, want %s", text, q.Problems, may)
		}
	}
}

func TestLostDigits(t *testing.T) {
	for _, s := range []string{"9.85E+14", "9.85e+14", "9,85E+14", "1E+05", "9.85122E+14", "1.00E+05"} {
		if !LostDigits(s) {
			t.Errorf("%q has lost digits", s)
		}
	}
	for _, s := range []string{"985000000000000", "1E5", "9.85", "E+14", "12.5E+14", "9.851220000000E+05", "", "A9.85E+14", "9.85E+1", "9.85E-14"} {
		if LostDigits(s) {
			t.Errorf("%q has not lost digits", s)
		}
	}
}

func TestEvidence(t *testing.T) {
	for _, c := range []struct {
		name      string
		cells     []string
		mark      byte
		ambiguous bool
	}{
		{"points", []string{"12.5", "1,234", "57 mm", "", "n/a"}, '.', false},
		{"commas", []string{"12,5", "1,234", "c. 40"}, ',', false},
		{"groups of commas", []string{"1,234,567", "1,234"}, '.', false},
		{"both", []string{"12.5", "12,5"}, 0, false},
		{"both, and one between", []string{"12.5", "12,5", "1,234"}, 0, true},
		{"only commas and three digits", []string{"1,234", "2,105"}, 0, true},
		{"only points and three digits", []string{"1.234", "2.105"}, '.', true},
		{"whole numbers", []string{"12", "57"}, 0, false},
		{"marks of both kinds in one", []string{"1.234,5"}, ',', false},
		{"nothing", nil, 0, false},
	} {
		var e, left, right Evidence
		for i, s := range c.cells {
			e.Add(s)
			if i%2 == 0 {
				left.Add(s)
			} else {
				right.Add(s)
			}
		}
		if right.Merge(left); right != e {
			t.Errorf("%s: merged %+v, whole %+v", c.name, right, e)
		}
		if mark, ambiguous := e.Decimal(); mark != c.mark || ambiguous != c.ambiguous {
			t.Errorf("%s: %q %v, want %q %v", c.name, mark, ambiguous, c.mark, c.ambiguous)
		}
	}
}

// A letter that is behind three numbers of a column is a mark of the
// team's own; one that is there once may be a digit misread.
func TestLettersBehindNumbers(t *testing.T) {
	var e Evidence
	for _, s := range []string{"88.5r", "91R", "102", "77,5r", "45b", "12 r", "r", "5rr"} {
		e.Add(s)
	}
	if e.Letters() != "r" {
		t.Errorf("%q", e.Letters())
	}
	for text, want := range map[string]record.State{"88.5r": record.Measured, "91R": record.Measured, "45b": record.Unread} {
		q := Parse(text, Options{Want: "length", Unit: "mm", Letters: e.Letters()})
		if q.State != want || want == record.Measured && q.Remark != text[len(text)-1:] {
			t.Errorf("%s: %+v", text, q)
		}
	}
}

func TestTables(t *testing.T) {
	if n := len(units().codes); n < 60 {
		t.Error(n)
	}
	if m := missing(); len(m.words) < 80 || len(m.sentinels) < 10 {
		t.Error(len(m.words), len(m.sentinels))
	}
	if u := unread(); len(u.names) < 15 || len(u.prefixes) < 15 {
		t.Error(u)
	}
	if n := len(months()); n < 60 {
		t.Error(n)
	}
}
