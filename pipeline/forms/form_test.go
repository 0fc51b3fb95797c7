package forms

import (
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

func ptr(v float64) *float64 { return &v }

func termEntry(heading, term string) Entry {
	return Entry{Heading: heading, Meaning: record.Meaning{Role: record.Term, Term: term}}
}

func lengthEntry(heading, name, unit string) Entry {
	return Entry{Heading: heading, Meaning: record.Meaning{Role: record.Measurement, Measurement: name, Unit: unit, Instrument: "caliper"}}
}

func partEntry(heading, part string) Entry {
	return Entry{Heading: heading, Meaning: record.Meaning{Role: record.WeighPart, Part: part}}
}

// station is an invented survey of the invented Marrow Creek Field Station;
// its limits are made up.
func station() Source {
	return Source{
		Title: "Anurans of Marrow Creek", Name: "spring sheet", Language: "en", From: "2024-04-01", To: "2024-08-31",
		Key: []string{"recordNumber"}, Session: []string{"eventDate", "locality"},
		Permits:  "Invented permit MC-2023-07.",
		Weighing: Weighing{Way: record.SameRow, Unit: "g", Scale: "scale 100"},
		Entries: []Entry{
			termEntry("Field No", "recordNumber"), termEntry("Date", "eventDate"), termEntry("Time", "eventTime"), termEntry("Site", "locality"),
			termEntry("Species", "scientificName"), termEntry("Sex", "sex"), termEntry("Stage", "lifeStage"),
			lengthEntry("SVL", "snoutVentLength", "mm"), lengthEntry("Tibia", "tibiaLength", "mm"), lengthEntry("HW", "headWidth", "mm"),
			lengthEntry("Eye", "eyeDiameter", "mm"), lengthEntry("Tymp", "tympanumDiameter", "mm"),
			partEntry("Gross", record.Gross), partEntry("Bag", record.Tare),
			termEntry("Observer", "recordedBy"), termEntry("Notes", "occurrenceRemarks"),
			{Heading: "Typed by", Meaning: record.Meaning{Role: record.SetAside, Reason: "says nothing about the animal"}},
		},
		Instruments: []Instrument{{"caliper", "dial caliper", "mm", 0.1, 150, 0}, {"scale 100", "spring scale", "g", 0.5, 100, 0}},
		Choices: map[string][]Word{
			"sex":            {{"male", ""}, {"female", ""}, {"indeterminate", ""}},
			"lifeStage":      {{"juvenile", ""}, {"adult", ""}},
			"locality":       {{"Marrow Creek, lower beaver pond", ""}, {"Tern Slough", ""}},
			"scientificName": {{"Lithobates sylvaticus", "wood frog"}, {"Anaxyrus americanus", "American toad"}, {"LISY", "Lithobates sylvaticus"}, {"ANAM", "Anaxyrus americanus"}},
			"recordedBy":     {{"Ines Varga", ""}, {"Tomasz Okafor", ""}},
		},
		Limits: []Limit{
			{"Lithobates sylvaticus", "snoutVentLength", "mm", "", "adult", "invented", ptr(30), ptr(83)},
			{"Anaxyrus americanus", "snoutVentLength", "cm", "", "adult", "invented", ptr(4), ptr(11.1)},
		},
	}
}

func planned(t testing.TB, change func(*Source)) *Form {
	t.Helper()
	s := station()
	if change != nil {
		change(&s)
	}
	f, err := New(s)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func headings(f *Form) []string {
	var out []string
	for _, c := range f.Columns {
		out = append(out, c.Heading)
	}
	return out
}

func TestHeadings(t *testing.T) {
	pattern := func(name string, repeats bool) Entry {
		return Entry{Repeats: repeats, Meaning: record.Meaning{Role: record.Measurement, Measurement: name, Unit: "mm"}}
	}
	for _, c := range []struct {
		name    string
		entries []Entry
		change  func(*Source)
		want    []string
	}{
		{"units are put into headings", []Entry{termEntry("No", "recordNumber"), lengthEntry("SVL", "snoutVentLength", "mm")}, nil, []string{"No", "SVL (mm)"}},
		{"a unit that is there stays", []Entry{termEntry("No", "recordNumber"), lengthEntry("SVL cm", "snoutVentLength", "cm")}, nil, []string{"No", "SVL cm"}},
		{"the mapping's unit wins over the heading's", []Entry{termEntry("No", "recordNumber"), lengthEntry("SVL (mm)", "snoutVentLength", "cm")}, nil, []string{"No", "SVL (cm)"}},
		{"no unit: the vocabulary's", []Entry{termEntry("No", "recordNumber"), lengthEntry("SVL", "snoutVentLength", "")}, nil, []string{"No", "SVL (mm)"}},
		{"masses", []Entry{termEntry("No", "recordNumber"), partEntry("Frog+bag", record.Gross), partEntry("Bag no", record.Bag)}, nil, []string{"No", "Frog+bag (g)", "Bag no"}},
		{"replicates by wish, lengths only", []Entry{termEntry("No", "recordNumber"), lengthEntry("SVL (mm)", "snoutVentLength", "mm"), lengthEntry("Toes", "toeCount", "1"), partEntry("Gross", record.Gross)},
			func(s *Source) { s.Replicates = 3 }, []string{"No", "SVL 1 (mm)", "SVL 2 (mm)", "SVL 3 (mm)", "Toes", "Gross (g)"}},
		{"a pattern with replicates has two", []Entry{termEntry("No", "recordNumber"), pattern("tibiaLength", true)}, nil, []string{"No", "TL 1 (mm)", "TL 2 (mm)"}},
		{"a pattern without", []Entry{termEntry("No", "recordNumber"), pattern("snoutVentLength", false)}, nil, []string{"No", "SVL (mm)"}},
		{"observers of a pattern", []Entry{termEntry("No", "recordNumber"), {Heading: "SVL", Observers: []Word{{"IV", "Ines Varga"}, {"TO", "Tomasz Okafor"}},
			Meaning: record.Meaning{Role: record.Measurement, Measurement: "snoutVentLength", Unit: "mm"}}}, nil, []string{"No", "SVL IV (mm)", "SVL TO (mm)"}},
		{"one column for one meaning", []Entry{termEntry("No", "recordNumber"), termEntry("Date", "eventDate"), termEntry("Fecha", "eventDate")}, nil, []string{"No", "Date"}},
		{"texts may have several", []Entry{termEntry("No", "recordNumber"), termEntry("Injuries", "occurrenceRemarks"), termEntry("Notes", "occurrenceRemarks")}, nil, []string{"No", "Injuries", "Notes"}},
		{"what names a capture and its session is added", []Entry{lengthEntry("SVL", "snoutVentLength", "mm")},
			func(s *Source) { s.Session, s.Defaults = []string{"eventDate", "habitat"}, nil }, []string{"Field No", "Date", "Habitat", "Site", "SVL (mm)"}},
		{"unless it holds for all", []Entry{lengthEntry("SVL", "snoutVentLength", "mm")},
			func(s *Source) { s.Session, s.Defaults = []string{"eventDate", "locality"}, []string{"locality"} }, []string{"Field No", "Date", "SVL (mm)"}},
		{"a day and a place in other terms will do", []Entry{termEntry("No", "recordNumber"), termEntry("Year", "year"), termEntry("GPS", "verbatimCoordinates")},
			func(s *Source) { s.Defaults = nil }, []string{"No", "Year", "GPS"}},
		{"a bag for each session", []Entry{termEntry("No", "recordNumber"), partEntry("Frog+bag", record.Gross), termEntry("Notes", "occurrenceRemarks")},
			func(s *Source) { s.Weighing = Weighing{Way: record.SessionTare, Unit: "g", Tare: 5} }, []string{"No", "Frog+bag (g)", "Bag (g)", "Notes"}},
		{"a table of one measurement in each row", []Entry{termEntry("No", "recordNumber"), {Heading: "What", Meaning: record.Meaning{Role: record.NameColumn}}, {Heading: "Value", Meaning: record.Meaning{Role: record.ValueColumn}}}, nil, []string{"No", "What", "Value"}},
		{"set aside by a pattern only", []Entry{termEntry("No", "recordNumber"), {Meaning: record.Meaning{Role: record.SetAside, Reason: "empty"}}}, nil, []string{"No"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := planned(t, func(s *Source) {
				s.Entries, s.Session, s.Weighing, s.Defaults = c.entries, nil, Weighing{Unit: "g"}, []string{"eventDate", "locality"}
				if c.change != nil {
					c.change(s)
				}
			})
			if got := headings(f); !slices.Equal(got, c.want) {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

func TestNewRefuses(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Source)
		says   string
	}{
		{"too many sessions", func(s *Source) { s.Sessions = 61 }, "61 sessions"},
		{"sessions below one", func(s *Source) { s.Sessions = -1 }, "-1 sessions"},
		{"too many replicates", func(s *Source) { s.Replicates = 10 }, "10 replicates"},
		{"nothing to write", func(s *Source) { s.Entries = s.Entries[16:] }, "no heading"},
	} {
		s := station()
		c.change(&s)
		if _, err := New(s); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got %v", c.name, err)
		}
	}
}

// Every hint is of a term once and says enough to lay a column out.
func TestHints(t *testing.T) {
	byTerm := hints()
	if len(byTerm) < 30 {
		t.Fatalf("%d hints", len(byTerm))
	}
	for term, h := range byTerm {
		if h.Label == "" || h.Characters < 6 || h.Millimetres < 10 {
			t.Errorf("%s: %+v", term, h)
		}
	}
	if h := hintOf("waterBody"); h.Label != "Water body" || h.Millimetres == 0 {
		t.Errorf("a term without a hint: %+v", h)
	}
}

// What a mapping says beside its headings is in that of its form too.
func TestMappingOfAForm(t *testing.T) {
	form := planned(t, func(s *Source) {
		s.Marks = []string{"locality"}
		s.Weighing = Weighing{Way: record.SessionTare, Unit: "g", Tare: 5, TareSpread: 0.25}
	})
	text, err := form.Mapping()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"\nmarks: [locality]\n", "tare: 5, tareSpread: 0.25}"} {
		if !strings.Contains(string(text), want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
}
