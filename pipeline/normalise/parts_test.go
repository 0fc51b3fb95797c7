package normalise

import (
	"fmt"
	"strings"
	"testing"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// fullContext knows all words that the tests below need.
func fullContext(t testing.TB) *Context {
	t.Helper()
	x := context(t)
	for term, name := range map[string]string{"reproductiveCondition": "reproductive_condition", "occurrenceStatus": "occurrence_status"} {
		l, err := vocabulary.Load(name)
		if err != nil {
			t.Fatal(err)
		}
		x.Words[term] = l
	}
	return x
}

// doubts lists what was found, but for what is said of missing dates and places.
func doubts(fs []record.Finding) string {
	var out []string
	for _, f := range fs {
		text := fmt.Sprintf("%s %s %s", f.Level, f.Rule, f.At)
		if n := len(f.Also); n > 0 {
			text += fmt.Sprintf(" +%d", n)
		}
		out = append(out, text)
	}
	return strings.Join(out, "; ")
}

func TestDatesInThreeColumns(t *testing.T) {
	for _, c := range []struct {
		name, head, line, want, doubts string
	}{
		{"numbers", "Y=year|M=month|D=day", "2021|11|8", "2021-11-08", ""},
		{"a month by name", "Y=year|M=month|D=day", "2021|Nov|8", "2021-11-08", ""},
		{"a Roman month", "Y=year|M=month|D=day", "2021|XI|8", "2021-11-08", ""},
		{"no day", "Y=year|M=month|D=day", "2021|11|", "2021-11", ""},
		{"no month", "Y=year|M=month|D=day", "2021||8", "2021", ""},
		{"a year of two digits that the survey settles", "Y=year|M=month|D=day", "21|11|8", "2021-11-08", ""},
		{"no such day", "Y=year|M=month|D=day", "2021|2|30", "", "error date-impossible frogs.csv, B2"},
		{"outside the survey", "Y=year|M=month|D=day", "2031|11|8", "2031-11-08", "warning date-outside-survey frogs.csv, B2"},
		{"a date of its own wins", "Y=year|Date=eventDate", "2021|2021-05-03", "2021-05-03", ""},
		{"day and month beside the year", "Y=year|Date=eventDate", "2021|3 May", "2021-05-03", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			captures, fs := readSheet(sheet("No=recordNumber|"+c.head, "7|"+c.line), fullContext(t))
			if got := captures[0].Get("eventDate"); got != c.want || doubts(fs) != c.doubts {
				t.Errorf("%q, %s; want %q, %s", got, doubts(fs), c.want, c.doubts)
			}
			v := captures[0].Value("eventDate")
			if wrong := v != nil && v.Wrong; wrong != (c.name == "outside the survey") {
				t.Errorf("called wrong: %v", wrong)
			}
		})
	}
}

func TestTwoDigitYearsAreOneFindingAColumn(t *testing.T) {
	lines := []string{"1|25/06/87|25/07/87", "2|26/06/87|26/07/87", "3|27/06/87|1 August 1987"}
	x := fullContext(t)
	x.First, x.Last = calendar.Day{}, calendar.Day{}
	_, fs := readSheet(sheet("No=recordNumber|Date=eventDate|Det=dateIdentified", lines...), x)
	if got := doubts(fs); got != "warning date-two-digit-year frogs.csv, B2 +2; warning date-two-digit-year frogs.csv, C2 +1" {
		t.Errorf("%s", got)
	}
	x.First, x.Last = calendar.Day{Year: 1987, Month: 1, Day: 1}, calendar.Day{Year: 1987, Month: 12, Day: 31}
	if _, fs = readSheet(sheet("No=recordNumber|Date=eventDate|Det=dateIdentified", lines...), x); len(fs) > 0 {
		t.Errorf("the survey decides, and still %s", doubts(fs))
	}
}

// Spreadsheets keep times as parts of a day; a cell in the General format shows
// the number.
func TestPartsOfADay(t *testing.T) {
	for _, c := range []struct{ name, lines, want, doubts string }{
		{"beside times", "1|21:30;2|0.25;3|0.5", "21:30 06:00 12:00", "note date-from-serial frogs.csv, B3 +1"},
		{"alone", "1|0.25;2|0.875", "06:00 21:00", "note date-from-serial frogs.csv, B2 +1"},
		{"hours with a point", "1|21.30;2|7.15", "21:30 07:15", ""},
		{"minutes after midnight", "1|2330;2|2350;3|940;4|0;5|40;6|120", "23:30 23:50 09:40 00:00 00:40 01:20", ""},
		{"hours alone", "1|2330;2|2350;3|940;4|21", "23:30 23:50 09:40 ", "warning time-unread frogs.csv, B5"},
	} {
		t.Run(c.name, func(t *testing.T) {
			captures, fs := readSheet(sheet("No=recordNumber|Time=eventTime", strings.Split(c.lines, ";")...), &Context{Key: []string{"recordNumber"}})
			var got []string
			for _, capture := range captures {
				got = append(got, capture.Get("eventTime"))
			}
			if strings.Join(got, " ") != c.want || doubts(fs) != c.doubts {
				t.Errorf("%v, %s", got, doubts(fs))
			}
		})
	}
}

// What a default says is the same in every row, and no key of any.
func TestKeysOfDefaults(t *testing.T) {
	x := &Context{Key: []string{"fieldNotes", "organismID"}, Defaults: []Default{{Term: "fieldNotes", Text: "book 3", From: record.Address{File: "survey.yaml"}}}}
	captures, _ := readSheet(sheet("Tag=organismID|Sex=sex", "B20|F", "|M"), x)
	if captures[0].Key != "book 3 / B20" || captures[1].Key != "" {
		t.Errorf("%q and %q", captures[0].Key, captures[1].Key)
	}
}

func TestOneColumnOfSexAndStage(t *testing.T) {
	for _, c := range []struct{ head, line, sex, stage, condition, doubts string }{
		{"Sex=sex", "M", "male", "", "", ""},
		{"Sex=sex", "J", "", "juvenile", "", ""},
		{"Sex=sex", "juv", "", "juvenile", "", ""},
		{"Sex=sex", "F (gravid)", "female", "", "gravid", ""},
		{"Sex=sex", "♀ gravid", "female", "", "gravid", ""},
		{"Rep=reproductiveCondition", "no emb", "", "", "no emb", ""},
		{"Rep=reproductiveCondition", "embryos", "", "", "embryos", ""},
		{"Rep=reproductiveCondition", "zq", "", "", "", "warning word-unknown frogs.csv, B2"},
		{"Sex=sex", "adult male", "male", "adult", "", ""},
		{"Sex=sex", "ad", "", "adult", "", ""},
		{"Sex=sex", "U", "indeterminate", "", "", ""},
		{"Sex=sex", "?", "indeterminate", "", "", ""},
		{"Sex=sex", "undetermined", "indeterminate", "", "", ""},
		{"Sex=sex", "not sexed", "indeterminate", "", "", ""},
		{"Sex=sex", "F?", "female", "", "", "warning word-doubtful frogs.csv, B2"},
		{"Sex=sex", "NaN", "", "", "", ""},
		{"Sex=sex", "F tail short", "", "", "", "warning word-unknown frogs.csv, B2"},
		{"Sex=sex|Age=lifeStage", "M|juv", "male", "juvenile", "", ""},
		{"Age=lifeStage|Sex=sex", "ad|juv", "", "adult", "", ""},
		{"Sex=sex|Age=lifeStage", "J|subadult", "", "subadult", "", ""},
		{"Age=lifeStage", "ad. F", "female", "adult", "", ""},
		{"Age=lifeStage", "U", "", "undetermined", "", ""},
		{"Sex=sex|Age=lifeStage", "-999|-9999", "", "", "", ""},
	} {
		t.Run(c.head+" "+c.line, func(t *testing.T) {
			captures, fs := readSheet(sheet("No=recordNumber|"+c.head, "7|"+c.line), fullContext(t))
			got := captures[0]
			if got.Get("sex") != c.sex || got.Get("lifeStage") != c.stage || got.Get("reproductiveCondition") != c.condition || doubts(fs) != c.doubts {
				t.Errorf("sex %q, stage %q, condition %q, %s", got.Get("sex"), got.Get("lifeStage"), got.Get("reproductiveCondition"), doubts(fs))
			}
		})
	}
}

// A number that stands for nothing is neither a day, a time, a name nor a place.
func TestCellsOfNumbersForNothing(t *testing.T) {
	captures, fs := readSheet(sheet("No=recordNumber|Date=eventDate|Time=eventTime|Site=locality", "7|-999|-9999|-888"), fullContext(t))
	if c := captures[0]; c.Get("eventDate")+c.Get("eventTime")+c.Get("locality") != "" || len(c.Extras) != 3 || doubts(fs) != "" {
		t.Errorf("%q %q %q, beside them %v, %s", c.Get("eventDate"), c.Get("eventTime"), c.Get("locality"), c.Extras, doubts(fs))
	}
}

// "None" under Tag is no mark; it is kept beside the capture.
func TestMarksThatSayNone(t *testing.T) {
	for text, mark := range map[string]string{"B20": "B20", "NONE": "", "none": "", "unk": "", "-999": "", "Nonesuch": "Nonesuch"} {
		captures, _ := readSheet(sheet("Tag=organismID|Sex=sex", text+"|F"), fullContext(t))
		if got := captures[0].Get("organismID"); got != mark || (mark == "") != (len(captures[0].Extras) == 1) {
			t.Errorf("%q: %q, beside it %v", text, got, captures[0].Extras)
		}
	}
}

func TestSpeciesCellsThatSayNone(t *testing.T) {
	tb := sheet("No=recordNumber|Date=eventDate|Site=locality|Sp=scientificName", "1|2021-05-03|Alder Seep|Rana temporaria", "|2021-05-03|Alder Seep|NONE", "|2021-05-04|Alder Seep|blank night")
	tb.Columns[3].Meaning.Vocabulary = map[string]string{"blank night": "absent"}
	x := fullContext(t)
	x.Defaults = []Default{{Term: "order", Text: "Anura", From: record.Address{File: "survey.yaml"}}}
	captures, fs := readSheet(tb, x)
	if len(fs) > 0 {
		t.Errorf("%s", doubts(fs))
	}
	for i, want := range []string{"", "absent", "absent"} {
		c := captures[i]
		if c.Get("occurrenceStatus") != want || (want == "absent") != c.Absent() || c.Get("order") != "Anura" && i > 0 {
			t.Errorf("row %d: %q of %s %s", i+2, c.Get("occurrenceStatus"), c.Get("order"), c.Get("scientificName"))
		}
	}
	if captures[1].Get("scientificName") != "" || captures[1].Get("verbatimIdentification") != "NONE" || captures[1].Key == "" {
		t.Errorf("%+v", captures[1])
	}
}

// How a column is read is told from what was written, not from what a person
// decided on one cell of it later.
func TestRemediesChangeNoOtherCell(t *testing.T) {
	remedied := func(column int, from, to string) func(*record.Table) {
		return func(t *record.Table) {
			for i := range t.Rows {
				if c := &t.Rows[i].Cells[column]; c.Text == from {
					c.SetWritten(c.Text)
					c.Text, c.Remedied = to, true
				}
			}
		}
	}
	for _, c := range []struct {
		name, head string
		lines      []string
		remedy     func(*record.Table)
		term, want string
	}{
		{"the only date that tells the order", "No=recordNumber|Date=eventDate", []string{"1|25/06/2021", "2|03/06/2021"}, remedied(1, "25/06/2021", "2021-06-24"), "eventDate", "2021-06-24 2021-06-03"},
		{"a date the other way round", "No=recordNumber|Date=eventDate", []string{"1|25/06/2021", "2|03/06/2021"}, remedied(1, "25/06/2021", "06/24/2021"), "eventDate", "2021-06-24 2021-06-03"},
		{"the only decimal comma", "No=recordNumber|SVL=m:snoutVentLength mm", []string{"1|57,5", "2|1,234"}, remedied(1, "57,5", "57.5"), "snoutVentLength", "57.5 1.234"},
	} {
		t.Run(c.name, func(t *testing.T) {
			tb := sheet(c.head, c.lines...)
			c.remedy(tb)
			captures, _ := readSheet(tb, fullContext(t))
			var got []string
			for _, capture := range captures {
				text := capture.Get(c.term)
				if r := capture.Reading(c.term); r != nil {
					text = r.Text
				}
				got = append(got, text)
			}
			if s := strings.Join(got, " "); s != c.want {
				t.Errorf("%s, want %s", s, c.want)
			}
		})
	}
}

// Degrees, minutes and seconds in columns of their own are one coordinate, and
// the unit of a height stands in the heading.
func TestPartsOfCoordinates(t *testing.T) {
	table := sheet("No=recordNumber|Lat d=decimalLatitude|Lat m=decimalLatitude|Lat s=decimalLatitude|Lon d=decimalLongitude|Lon m=decimalLongitude|Elev=minimumElevationInMeters",
		"1|31|21|38.6|109|23.5|6434", "2||||||")
	for i, angle := range map[int]string{1: "degrees", 2: "minutes", 3: "seconds", 4: "degrees", 5: "minutes"} {
		table.Columns[i].Meaning.Angle = angle
	}
	table.Columns[4].Meaning.Compass = "W"
	table.Columns[6].Meaning.Unit = "[ft_i]"
	captures, findings := readSheet(table, fullContext(t))
	for term, want := range map[string]string{"decimalLatitude": "31.36072", "decimalLongitude": "-109.392", "verbatimLatitude": "31 21 38.6",
		"verbatimLongitude": "109 23.5", "minimumElevationInMeters": "1961.0832", "verbatimElevation": "6434"} {
		if got := captures[0].Get(term); got != want {
			t.Errorf("%s: %q, want %q; %v", term, got, want, findings)
		}
	}
	if got := captures[1].Get("decimalLatitude"); got != "" {
		t.Errorf("blank parts are %q", got)
	}
}
