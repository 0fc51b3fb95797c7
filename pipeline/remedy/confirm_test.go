package remedy_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
)

func finding(rule string, at record.Address, value string, also ...record.Address) record.Finding {
	f := record.Finding{Rule: rule, Level: record.Warning, At: at, Value: value, Reason: "doubtful", Also: also, Capture: "MC-1"}
	if n := len(also); n > 0 {
		f.Spread, f.Reason = record.Each, f.Reason+"; "+string(rune('1'+n))+" cells in all"
	}
	return f
}

func confirms(r remedy.Remedy) remedy.Remedy {
	r.Action = remedy.Confirm
	return decided(r)
}

func TestConfirmSilencesExactlyThatFinding(t *testing.T) {
	all := []record.Finding{
		finding("word-unknown", at(2, 3), "q"),
		finding("word-elsewhere", at(2, 3), "q"),
		finding("word-unknown", at(3, 3), "M"),
		{Rule: "columns-swapped", Level: record.Error, At: at(2, 4), Also: []record.Address{at(2, 5)}, Reason: "swapped"},
		{Rule: "tare-missing", Level: record.Warning, At: at(4, 6), Reason: "not weighed"},
		{Rule: "encoding-guessed", Level: record.Note, At: record.Address{File: "june.csv"}, Value: "windows-1252", Reason: "guessed"},
	}
	tests := []struct {
		what   string
		r      remedy.Remedy
		gone   int    // index of the finding that is gone, -1 for none
		rule   string // of the finding of the remedies instead
		reason string
	}{
		{"by address", remedy.Remedy{At: at(2, 3), Found: "q", Rule: "word-unknown"}, 0, "", ""},
		{"by capture", remedy.Remedy{Capture: "MC-1", Field: "sex", Found: "q", Rule: "word-elsewhere"}, 1, "", ""},
		{"a blank cell", remedy.Remedy{At: at(4, 6), Found: "", Rule: "tare-missing"}, 4, "", ""},
		{"one of several cells", remedy.Remedy{At: at(2, 4), Found: "61.9", Rule: "columns-swapped"}, 3, "", ""},
		{"a whole file, by the value", remedy.Remedy{At: record.Address{File: "june.csv"}, Found: "windows-1252", Rule: "encoding-guessed"}, 5, "", ""},
		{"another value of the whole file", remedy.Remedy{At: record.Address{File: "june.csv"}, Found: "macintosh", Rule: "encoding-guessed"}, -1, "remedy-unmatched", "can be removed"},
		{"the text changed", remedy.Remedy{At: at(2, 3), Found: "M", Rule: "word-unknown"}, -1, "confirmation-lapsed", "june.csv, C2 no longer holds what was confirmed"},
		{"the other cell of a swap is another doubt", remedy.Remedy{At: at(2, 5), Found: "61.8", Rule: "columns-swapped"}, -1, "remedy-unmatched", "the confirmation can be removed"},
		{"another rule", remedy.Remedy{At: at(2, 3), Found: "q", Rule: "word-doubtful"}, -1, "remedy-unmatched", "no finding of the rule word-doubtful"},
		{"no such capture", remedy.Remedy{Capture: "MC-9", Field: "sex", Found: "q", Rule: "word-unknown"}, -1, "remedy-unmatched", "MC-9"},
		{"two cells", remedy.Remedy{Capture: "MC-2", Field: "snoutVentLength", Found: "57.5", Rule: "word-unknown"}, -1, "remedy-unmatched", "2 cells hold this text"},
	}
	for _, tt := range tests {
		out, err := remedy.Apply([]remedy.Remedy{confirms(tt.r)}, cells(frogs()), remedy.Options{})
		if err != nil {
			t.Errorf("%s: %v", tt.what, err)
			continue
		}
		var want []record.Finding
		for i, f := range all {
			if i != tt.gone {
				want = append(want, f)
			}
		}
		got := out.Silence(slices.Clone(all), cells(frogs()).Key)
		if !slices.EqualFunc(got, want, func(a, b record.Finding) bool { return a.Rule == b.Rule && a.At == b.At && a.Reason == b.Reason }) {
			t.Errorf("%s: %d findings left, want all but %d: %+v", tt.what, len(got), tt.gone, got)
		}
		told := append(out.Findings, out.Idle(nil)...)
		switch {
		case tt.rule == "" && len(told) > 0:
			t.Errorf("%s: %+v", tt.what, told)
		case tt.rule != "" && (len(told) != 1 || told[0].Rule != tt.rule || !strings.Contains(told[0].Reason, tt.reason) || told[0].At.File != "remedies.csv"):
			t.Errorf("%s: %+v, want %s … %s", tt.what, told, tt.rule, tt.reason)
		}
	}
}

// A finding that stands for the same word in several cells loses only the
// cells that were confirmed.
func TestConfirmOneOfManyCells(t *testing.T) {
	table := frogs()
	for i := range table.Rows {
		table.Rows[i].Cells[2].Text = "q"
	}
	for _, tt := range []struct {
		confirm []record.Address
		at      record.Address
		also    int
		reason  string
		capture string
	}{
		{[]record.Address{at(3, 3)}, at(2, 3), 1, "doubtful; 2 cells in all", "MC-1"},
		{[]record.Address{at(2, 3)}, at(3, 3), 1, "doubtful; 2 cells in all", "MC-2"},
		{[]record.Address{at(2, 3), at(3, 3)}, at(4, 3), 0, "doubtful", "MC-3"},
		{[]record.Address{at(2, 3), at(3, 3), at(4, 3)}, record.Address{}, 0, "", ""},
	} {
		var rs []remedy.Remedy
		for _, a := range tt.confirm {
			rs = append(rs, confirms(remedy.Remedy{At: a, Found: "q", Rule: "word-unknown"}))
		}
		out, err := remedy.Apply(rs, cells(table), remedy.Options{})
		if err != nil {
			t.Fatal(err)
		}
		got := out.Silence([]record.Finding{finding("word-unknown", at(2, 3), "q", at(3, 3), at(4, 3))}, cells(table).Key)
		if tt.reason == "" {
			if len(got) != 0 {
				t.Errorf("%v: %+v", tt.confirm, got)
			}
			continue
		}
		if len(got) != 1 || got[0].At != tt.at || len(got[0].Also) != tt.also || got[0].Reason != tt.reason || got[0].Capture != tt.capture {
			t.Errorf("%v: %+v", tt.confirm, got)
		}
	}
}

// A replacement that is doubtful too can be confirmed as it now stands.
func TestConfirmTheReplacement(t *testing.T) {
	out, err := remedy.Apply([]remedy.Remedy{
		confirms(remedy.Remedy{Line: 3, At: at(2, 4), Found: "16.9", Rule: "value-off-line"}),
		decided(remedy.Remedy{Line: 2, At: at(2, 4), Found: "61.9", Action: remedy.Replace, Replacement: "16.9"}),
	}, cells(frogs()), remedy.Options{})
	if err != nil || len(out.Applied()) != 2 || out.Applied()[0].Line != 2 {
		t.Fatalf("%+v, %v", out, err)
	}
	if got := out.Silence([]record.Finding{finding("value-off-line", at(2, 4), "16.9")}, nil); len(got) != 0 {
		t.Errorf("%+v", got)
	}
}

func TestSilenceWithoutRemedies(t *testing.T) {
	var none *remedy.Outcome
	if got := none.Silence([]record.Finding{{Rule: "word-unknown"}}, nil); len(got) != 1 || none.Idle(nil) != nil {
		t.Error(got)
	}
}

func TestTrace(t *testing.T) {
	table := frogs()
	out, err := remedy.Apply([]remedy.Remedy{
		decided(remedy.Remedy{Line: 2, At: at(2, 3), Found: "q", Action: remedy.Replace, Replacement: "M"}),
		decided(remedy.Remedy{Line: 3, At: at(2, 4), Found: "61.9", Action: remedy.Replace, Replacement: "69.1"}),
		decided(remedy.Remedy{Line: 4, At: at(2, 5), Found: "61.8", Action: remedy.Clear}),
		decided(remedy.Remedy{Line: 5, At: at(2, 6), Found: "4.5", Action: remedy.Replace, Replacement: "5.5"}),
		confirms(remedy.Remedy{Line: 6, At: at(3, 4), Found: "57.5", Rule: "value-far"}),
		decided(remedy.Remedy{Line: 7, At: at(4, 6), Found: "", Action: remedy.Replace, Replacement: "5.0"}),
	}, cells(table), remedy.Options{})
	if err != nil {
		t.Fatal(err)
	}
	captures := func() []*record.Capture {
		tare := record.Reading{Series: &record.Series{Measurement: "bagMass"}, Verbatim: "4.5"}.At(at(2, 6))
		return []*record.Capture{
			{Key: "MC-1", File: "june.csv", Table: 1, Row: 2, Weighing: &record.Weighing{Tare: &tare},
				Readings: []record.Reading{record.Reading{Series: &record.Series{Measurement: "snoutVentLength", Replicate: 1}, Verbatim: "61.9", Rare: &record.Rare{Remark: "tired"}}.At(at(2, 4)), tare}},
			{Key: "MC-2", File: "june.csv", Table: 1, Row: 3, Readings: []record.Reading{record.Reading{Series: &record.Series{Measurement: "snoutVentLength"}, Verbatim: "57.5"}.At(at(3, 4))}},
			{Key: "MC-3", File: "june.csv", Table: 1, Row: 4},
		}
	}
	got := captures()
	remedy.Trace(out.Applied(), got, nil)
	for _, c := range []struct{ what, got, want string }{
		{"term, cleared reading, bag", strings.Join(got[0].Remarks, "\n"),
			`sex: "q" written (june.csv, C2), replaced with "M" by I. Varga on 2024-09-02: field book
snoutVentLength 2: "61.8" written (june.csv, E2), cleared by I. Varga on 2024-09-02: field book
tare: "4.5" written (june.csv, F2), replaced with "5.5" by I. Varga on 2024-09-02: field book`},
		{"reading", got[0].Readings[0].Remark(), `tired; replaced with "69.1" by I. Varga on 2024-09-02: field book`},
		{"tare", got[0].Weighing.Tare.Remark(), `replaced with "5.5" by I. Varga on 2024-09-02: field book`},
		{"confirmed reading", got[1].Readings[0].Remark(), `confirmed by I. Varga on 2024-09-02: field book`},
		{"nothing twice", strings.Join(got[1].Remarks, "\n"), ""},
		{"filled blank", strings.Join(got[2].Remarks, "\n"), `tare: nothing written (june.csv, F4), replaced with "5.0" by I. Varga on 2024-09-02: field book`},
	} {
		if c.got != c.want {
			t.Errorf("%s:\n%s\nwant\n%s", c.what, c.got, c.want)
		}
	}

	got = captures()
	remedy.Trace(out.Applied(), got, func(c *record.Capture) bool { return true })
	text := strings.Join(got[0].Remarks, "\n") + got[0].Readings[0].Remark()
	if strings.Contains(text, "field book") || strings.Contains(text, `"`) || !strings.Contains(text, "sex: replaced by I. Varga on 2024-09-02") ||
		!strings.HasSuffix(text, "tired; replaced by I. Varga on 2024-09-02") {
		t.Errorf("in brief: %s", text)
	}
}

func TestPropose(t *testing.T) {
	table := frogs()
	table.Rows[1].Cells[2].Text, table.Rows[2].Cells[2].Text, table.Rows[1].Cells[4].Text = "x", "x", "57.1"
	c := cells(table)
	fs := []record.Finding{
		{Rule: "value-off-line", Level: record.Error, At: at(4, 4), Value: "73.9", Reason: "too large", Suggestion: "37.9"},
		{Rule: "word-unknown", Level: record.Warning, At: at(3, 3), Also: []record.Address{at(4, 3)}, Value: "x", Spread: record.Each, Reason: `"x" is not known; 2 cells in all`},
		{Rule: "site-unknown", Level: record.Warning, At: at(2, 2), Value: "Tern Slough", Reason: "not a site", Suggestion: "Turn Slough"},
		{Rule: "value-extreme", Level: record.Note, At: at(2, 4), Reason: "large"},
		{Rule: "columns-swapped", Level: record.Error, At: at(3, 4), Also: []record.Address{at(3, 5)}, Spread: record.Together, Reason: "exchanged", Suggestion: "57.1",
			Rewrites: []record.Rewrite{{At: at(3, 4), Text: "57.1"}, {At: at(3, 5), Text: "57.5"}}},
		{Rule: "capture-twice", Level: record.Warning, At: record.Address{File: "june.csv", Row: 5}, Also: []record.Address{{File: "june.csv", Row: 4}}, Reason: "twice"},
		{Rule: "encoding-guessed", Level: record.Warning, At: record.Address{File: "june.csv"}, Reason: "guessed"},
		{Rule: "word-doubtful", Level: record.Warning, At: at(2, 3), Value: "q", Reason: "doubtful"},
	}
	given := []remedy.Remedy{{Line: 2, Capture: "MC-1", Field: "sex", Found: "q", Rule: "word-doubtful"}}
	wish := remedy.Wish{Level: record.Warning, Veil: func(a record.Address) bool { return a == at(2, 2) }}
	var wanted []record.Address
	each := func(yield func(record.Finding, error) bool) {
		for _, f := range fs {
			if !yield(f, nil) {
				return
			}
		}
	}
	for f := range each {
		wanted = append(wanted, wish.Cells(&f)...)
	}
	got, err := remedy.Propose(each, c.Search(given, wanted), wish)
	if err != nil {
		t.Fatal(err)
	}
	want := []remedy.Remedy{
		{At: at(2, 2), Rule: "site-unknown", Doubt: "not a site"},
		{At: at(3, 3), Also: []record.Address{at(4, 3)}, Found: "x", Rule: "word-unknown", Doubt: `"x" is not known; 2 cells in all`},
		{At: at(3, 4), Also: []record.Address{at(3, 5)}, Found: "57.5 | 57.1", Replacement: "57.1 | 57.5", Rule: "columns-swapped", Doubt: "exchanged"},
		{At: at(4, 4), Capture: "MC-3", Field: "snoutVentLength 1", Found: "73.9", Replacement: "37.9", Rule: "value-off-line", Doubt: "too large"},
		{At: record.Address{File: "june.csv", Row: 5}, Capture: "MC-3", Found: "MC-3 | Alder Seep | F | 40.0 | 40.1 | 5.0", Rule: "capture-twice", Doubt: "twice"},
	}
	rows := make([]remedy.Remedy, len(got))
	for i := range got {
		rows[i] = got[i].Remedy
	}
	if !reflect.DeepEqual(rows, want) {
		t.Errorf("%+v\nwant\n%+v", rows, want)
	}
	// Applied as they stand, proposals do nothing.
	out, err := remedy.Apply(rows, c, remedy.Options{})
	if err != nil || len(out.Applied()) != 0 || len(out.Silence(fs, nil)) != len(fs) {
		t.Errorf("%+v, %v", out, err)
	}
}
