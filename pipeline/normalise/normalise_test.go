package normalise

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/taxon"
	"spadefoot/pipeline/vocabulary"
)

// sheet makes a table of one heading row from lines with cells parted by "|".
// Each heading is "text=meaning": a term, "m:" and a measurement with its
// unit, "w:" and a part of the weighing, or nothing for an unmatched heading.
func sheet(head string, lines ...string) *record.Table {
	t := &record.Table{File: "frogs.csv", Index: 1, HeadingRows: []int{1}}
	for i, h := range strings.Split(head, "|") {
		text, meaning, _ := strings.Cut(h, "=")
		c := record.Column{Heading: text, Parts: []string{text}, Number: i + 1}
		kind, rest, ok := strings.Cut(meaning, ":")
		switch {
		case meaning == "":
		case !ok:
			c.Meaning = record.Meaning{Role: record.Term, Term: meaning}
		case kind == "m":
			name, unit, _ := strings.Cut(rest, " ")
			c.Meaning = record.Meaning{Role: record.Measurement, Measurement: name, Unit: unit}
		case kind == "w":
			c.Meaning = record.Meaning{Role: record.WeighPart, Part: rest, Unit: "g"}
		case kind == "long":
			c.Meaning.Role = map[string]record.Role{"name": record.NameColumn, "value": record.ValueColumn, "unit": record.UnitColumn}[rest]
		}
		t.Columns = append(t.Columns, c)
	}
	for i, line := range lines {
		row := record.TableRow{Number: i + 2}
		for j, text := range strings.Split(line, "|") {
			kind := record.Text
			if text == "" {
				kind = record.Blank
			}
			row.Cells = append(row.Cells, record.Cell{Text: text, Kind: kind, Row: i + 2, Column: j + 1})
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func context(t testing.TB) *Context {
	t.Helper()
	words := map[string]*vocabulary.List{}
	for term, name := range map[string]string{"sex": "sex", "lifeStage": "life_stage"} {
		l, err := vocabulary.Load(name)
		if err != nil {
			t.Fatal(err)
		}
		words[term] = l
	}
	list, err := taxon.ReadChecklist(strings.NewReader("scientificName,vernacularName,family\nRana temporaria,common frog,Ranidae\n"), "checklist.csv")
	if err != nil {
		t.Fatal(err)
	}
	return &Context{
		Key: []string{"recordNumber"}, Session: []string{"eventDate", "locality"}, Words: words, Checklist: list,
		UnitOf: func(name string) string {
			return map[string]string{"snoutVentLength": "mm", "bodyMass": "g", "airTemperature": "Cel"}[name]
		},
		Measurement: func(text string) (string, bool) {
			m, ok := vocabulary.FindMeasurement(text)
			return m.Name, ok
		},
		Instruments: map[string]Instrument{"caliper": {Name: "caliper", Unit: "mm", Graduation: 0.1}},
		First:       calendar.Day{Year: 2021, Month: 1, Day: 1}, Last: calendar.Day{Year: 2022, Month: 12, Day: 31},
	}
}

func TestReadings(t *testing.T) {
	for _, c := range []struct {
		name, head, cell string
		state            record.State
		text, unit       string
		rule             string
	}{
		{"as written", "SVL=m:snoutVentLength mm", "71", record.Measured, "71", "mm", ""},
		{"cm under the heading", "SVL=m:snoutVentLength cm", "7.1", record.Measured, "71", "mm", ""},
		{"inches in the cell", "SVL=m:snoutVentLength mm", "2.8 in", record.Measured, "71.12", "mm", ""},
		{"doubted", "SVL=m:snoutVentLength mm", "57.5?", record.Doubtful, "57.5", "mm", "doubted-by-writer"},
		{"below", "SVL=m:snoutVentLength mm", "<20", record.Below, "20", "mm", ""},
		{"missing", "SVL=m:snoutVentLength mm", "not taken", record.Missing, "", "mm", ""},
		{"unread", "SVL=m:snoutVentLength mm", "see book", record.Unread, "", "mm", "number-unread"},
		{"wrong dimension", "SVL=m:snoutVentLength mm", "34 g", record.Unread, "", "", "unit-dimension"},
		{"below zero", "SVL=m:snoutVentLength mm", "-71", record.Measured, "-71", "mm", "value-negative"},
		{"zero", "SVL=m:snoutVentLength mm", "0", record.Measured, "0", "mm", "value-zero"},
		{"frost", "Air=m:airTemperature Cel", "-4", record.Measured, "-4", "Cel", ""},
		{"temperature", "Air=m:airTemperature [degF]", "68", record.Measured, "20.0", "Cel", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			captures, fs := readSheet(sheet("No=recordNumber|"+c.head, "7|"+c.cell), context(t))
			if len(captures) != 1 || len(captures[0].Readings) != 1 {
				t.Fatalf("%d captures", len(captures))
			}
			r := captures[0].Readings[0]
			if r.State != c.state || r.Text != c.text || (c.unit != "" && r.Unit != c.unit) {
				t.Errorf("got %s %q %s", r.State, r.Text, r.Unit)
			}
			if r.Verbatim != c.cell || r.From() != (record.Address{File: "frogs.csv", Row: 2, Column: 2}) {
				t.Errorf("the original is lost: %q at %s", r.Verbatim, r.From())
			}
			if c.rule == "" && len(fs) > 0 || c.rule != "" && (len(fs) == 0 || fs[0].Rule != c.rule || fs[0].Capture != "7") {
				t.Errorf("findings %+v, want %q of capture 7", fs, c.rule)
			}
		})
	}
}

func TestDecimalMarkOfTheColumn(t *testing.T) {
	captures, fs := readSheet(sheet("No=recordNumber|SVL=m:snoutVentLength mm|Tib=m:tibiaLength mm", "1|61,5|31", "2|58|30,5", "3|1,5|29"), context(t))
	if len(fs) != 0 || captures[0].Readings[0].Text != "61.5" || captures[2].Readings[0].Text != "1.5" {
		t.Errorf("got %q and %q, findings %v", captures[0].Readings[0].Text, captures[2].Readings[0].Text, fs)
	}
}

func TestDates(t *testing.T) {
	for _, c := range []struct {
		name        string
		cells, want []string
		rule        string
	}{
		{"the column shows the order", []string{"03/06/2021", "25/06/2021"}, []string{"2021-06-03", "2021-06-25"}, ""},
		{"nothing shows the order", []string{"03/06/2021", "05/06/2021"}, []string{"2021", "2021"}, "date-order-ambiguous"},
		{"precision as written", []string{"2021-06", "2021"}, []string{"2021-06", "2021"}, ""},
		{"outside the survey", []string{"2031-06-03"}, []string{"2031-06-03"}, "date-outside-survey"},
		{"impossible", []string{"31 June 2021"}, []string{""}, "date-impossible"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var lines []string
			for _, cell := range c.cells {
				lines = append(lines, "1|"+cell)
			}
			captures, fs := readSheet(sheet("No=recordNumber|Date=eventDate", lines...), context(t))
			for i, want := range c.want {
				if got := captures[i].Get("eventDate"); got != want {
					t.Errorf("%q: got %q, want %q", c.cells[i], got, want)
				}
			}
			if c.rule == "" && len(fs) > 0 || c.rule != "" && (len(fs) == 0 || fs[0].Rule != c.rule) {
				t.Errorf("findings %+v, want %q", fs, c.rule)
			}
		})
	}
	captures, _ := readSheet(sheet("No=recordNumber|Date=eventDate", "1|3 Jun 2021"), context(t))
	c := captures[0]
	if c.Get("year") != "2021" || c.Get("month") != "6" || c.Get("day") != "3" || c.Get("verbatimEventDate") != "3 Jun 2021" {
		t.Errorf("year %q, month %q, day %q, verbatim %q", c.Get("year"), c.Get("month"), c.Get("day"), c.Get("verbatimEventDate"))
	}
}

// A year and a day of the year make a date (ISO 8601, ordinal dates: 2004-060 is
// the 29th of February); what the year does not have makes none.
func TestDaysOfTheYear(t *testing.T) {
	for _, c := range []struct{ cells, want string }{
		{"2004|60|", "2004-02-29"}, {"2005|60.0|", "2005-03-01"}, {"2004|366|", "2004-12-31"},
		{"2005|366|", "2005"}, {"2005|0|", "2005"}, {"2005||", "2005"}, {"|60|", ""}, {"2005|60|7", "2005-07"},
	} {
		captures, _ := readSheet(sheet("No=recordNumber|Year=year|JD=startDayOfYear|Month=month", "1|"+c.cells), context(t))
		if got := captures[0].Get("eventDate"); got != c.want {
			t.Errorf("%q: got %q, want %q", c.cells, got, c.want)
		}
	}
}

// A date that was kept as written is read where nothing else says the day, as
// AMENDMENT_EVENTDATE_FROM_VERBATIM of the published quality tests proposes.
func TestDateAsWritten(t *testing.T) {
	for _, c := range []struct{ head, cells, date, verbatim string }{
		{"Date=verbatimEventDate", "3 Jun 2021", "2021-06-03", "3 Jun 2021"},
		{"Date=verbatimEventDate", "2021-06-03", "2021-06-03", "2021-06-03"},
		{"Date=verbatimEventDate", "3/6/2021", "", "3/6/2021"}, // of June or of March
		{"Date=verbatimEventDate", "the night of the storm", "", "the night of the storm"},
		{"Date=verbatimEventDate|Day=eventDate", "3 Jun 2021|4 Jun 2021", "2021-06-04", "3 Jun 2021"},
		{"Date=verbatimEventDate|Day=eventDate", "3 Jun 2021|soon", "", "3 Jun 2021"},
		{"Date=verbatimEventDate|Year=year", "3 Jun 2021|2020", "2020", "3 Jun 2021"},
	} {
		captures, fs := readSheet(sheet("No=recordNumber|"+c.head, "1|"+c.cells), context(t))
		if got := captures[0]; got.Get("eventDate") != c.date || got.Get("verbatimEventDate") != c.verbatim {
			t.Errorf("%s, %s: %q and %q, %s", c.head, c.cells, got.Get("eventDate"), got.Get("verbatimEventDate"), doubts(fs))
		}
	}
}

// The temperature of a place where nothing was found is not a measured animal.
func TestAbsencesHaveAPlace(t *testing.T) {
	for heading, rules := range map[string]int{"Soil=m:substrateTemperature Cel": 0, "SVL=m:snoutVentLength mm": 1} {
		_, fs := readSheet(sheet("No=recordNumber|Status=occurrenceStatus|"+heading, "1|absent|12.5"), context(t))
		n := 0
		for _, f := range fs {
			if f.Rule == "absence-measured" {
				n++
			}
		}
		if n != rules {
			t.Errorf("%s: %d findings, want %d: %+v", heading, n, rules, fs)
		}
	}
}

func TestTimesTakeTheZoneOfTheDay(t *testing.T) {
	x := context(t)
	zone, err := time.LoadLocation("America/Toronto")
	if err != nil {
		t.Skip("the machine has no table of time zones")
	}
	x.Zone = zone
	captures, _ := readSheet(sheet("No=recordNumber|Date=eventDate|Time=eventTime", "1|2021-06-03|9:30 pm", "2|2021-12-03|21:30"), x)
	// On 7 November 2021 clocks in Toronto went back from 2:00 to 1:00, on 14
	// March 2021 forward from 2:00 to 3:00: common knowledge of the place.
	changed, fs := readSheet(sheet("No=recordNumber|Date=eventDate|Time=eventTime", "1|2021-11-07|1:30", "2|2021-03-14|2:30", "3|2021-11-06|22:00-3:00"), x)
	for i, want := range []string{"01:30", "02:30", "22:00-04:00/03:00-05:00"} {
		if got := changed[i].Get("eventTime"); got != want {
			t.Errorf("beside a change of clocks: got %q, want %q", got, want)
		}
	}
	if len(fs) != 2 || fs[0].Rule != "time-beside-clock-change" || fs[1].Rule != "time-beside-clock-change" {
		t.Errorf("findings %+v", fs)
	}
	for i, want := range []string{"21:30-04:00", "21:30-05:00"} {
		if got := captures[i].Get("eventTime"); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestNamesAndWords(t *testing.T) {
	captures, fs := readSheet(sheet("No=recordNumber|Sp=scientificName|Sex=sex|St=lifeStage", "1|R. temporaria|F|ad", "2|common frog|zz|juv", "3|Rana cf. temporaria||"), context(t))
	c := captures[0]
	if c.Get("scientificName") != "Rana temporaria" || c.Get("family") != "Ranidae" || c.Get("sex") != "female" || c.Get("lifeStage") != "adult" ||
		c.Get("verbatimIdentification") != "R. temporaria" {
		t.Errorf("got %+v", c.Values)
	}
	if captures[1].Get("sex") != "" || captures[1].Value("sex").Verbatim != "zz" {
		t.Errorf("an unknown word was published: %+v", captures[1].Value("sex"))
	}
	if captures[2].Get("identificationQualifier") == "" {
		t.Errorf("the qualifier is lost: %+v", captures[2].Values)
	}
	rules := map[string]bool{}
	for _, f := range fs {
		rules[f.Rule] = true
	}
	if !rules["word-unknown"] {
		t.Errorf("findings %v", fs)
	}
}

func TestUnmatchedCellsAndCommentsAreKept(t *testing.T) {
	tb := sheet("No=recordNumber|Mood|SVL=m:snoutVentLength mm", "1|calm|61 (left leg lame)")
	tb.Rows[0].Cells[0].SetComment("second entry")
	captures, _ := Table(tb, context(t))
	c := captures[0]
	if len(c.Extras) != 1 || c.Extras[0].Heading != "Mood" || c.Extras[0].Text != "calm" || c.Extras[0].From.Column != 2 {
		t.Errorf("extras %+v", c.Extras)
	}
	if all := strings.Join(c.Remarks, " | "); !strings.Contains(all, "left leg lame") || !strings.Contains(all, "second entry") {
		t.Errorf("remarks %q", all)
	}
}

// What nobody gave a meaning keeps the unit that a row below the headings gives it.
func TestUnmatchedCellsKeepTheirUnit(t *testing.T) {
	for unit, want := range map[string]string{"": "RW", "kg": "RW (kg)", "(kg)": "RW (kg)", "RW": "RW"} {
		tb := sheet("No=recordNumber|RW", "1|0.62")
		tb.Columns[1].Unit = unit
		if captures, _ := Table(tb, context(t)); len(captures[0].Extras) != 1 || captures[0].Extras[0].Heading != want {
			t.Errorf("%q: extras %+v", unit, captures[0].Extras)
		}
	}
}

func TestWeighingsAreTakenAsWritten(t *testing.T) {
	x := context(t)
	x.Weighing = Weighing{Way: record.SessionTare, Unit: "g", Tare: 4.5, Scale: "scale", From: record.Address{File: "survey.yaml"}}
	captures, _ := readSheet(sheet("No=recordNumber|Frog+bag=w:gross|Bag=w:bag", "1|33.5|B2", "2||"), x)
	w := captures[0].Weighing
	if w == nil || w.Gross.Text != "33.5" || w.Tare.Text != "4.5" || w.BagLabel != "B2" || w.Way != record.SessionTare || w.Tare.From().File != "survey.yaml" {
		t.Errorf("got %+v", w)
	}
	if captures[1].Weighing != nil {
		t.Errorf("nothing was weighed, got %+v", captures[1].Weighing)
	}
}

func TestOneRowPerMeasurement(t *testing.T) {
	captures, fs := readSheet(sheet("No=recordNumber|What=long:name|Value=long:value|Unit=long:unit",
		"1|SVL|61|mm", "1|HW|2.1|cm", "2|SVL|58|mm", "2|wingspan of a frog|3|mm"), context(t))
	if len(captures) != 2 || len(captures[0].Readings) != 2 || len(captures[1].Readings) != 1 {
		t.Fatalf("%d captures: %+v", len(captures), captures)
	}
	if r := captures[0].Readings[1]; r.Measurement != "headWidth" || r.Unit != "cm" && r.Text != "21" {
		t.Errorf("got %+v", r)
	}
	if len(fs) != 1 || fs[0].Rule != "measurement-unknown" {
		t.Errorf("findings %+v", fs)
	}
}

// The order of the rows changes nothing in a capture.
func TestRowsDoNotDependOnTheirOrder(t *testing.T) {
	lines := []string{"1|61,5|03/06/2021", "2|58|25/06/2021", "3|1,5|07/06/2021"}
	a, _ := readSheet(sheet("No=recordNumber|SVL=m:snoutVentLength mm|Date=eventDate", lines...), context(t))
	b, _ := readSheet(sheet("No=recordNumber|SVL=m:snoutVentLength mm|Date=eventDate", lines[2], lines[0], lines[1]), context(t))
	for i, j := range []int{1, 2, 0} {
		x, y := a[i], b[j]
		if x.Key != y.Key || x.Readings[0].Text != y.Readings[0].Text || x.Get("eventDate") != y.Get("eventDate") {
			t.Errorf("%s differs: %+v and %+v", x.Key, x, y)
		}
	}
}

func TestOneCauseIsOneFinding(t *testing.T) {
	_, fs := readSheet(sheet("No=recordNumber|Sex=sex", "1|zz", "2|F", "3|zz", "4|zz"), context(t))
	if len(fs) != 1 || len(fs[0].Also) != 2 || !strings.Contains(fs[0].Reason, "3 cells in all") {
		t.Errorf("got %+v", fs)
	}
	_, fs = readSheet(sheet("No=recordNumber|Count=individualCount", "1|0", "2|4", "3|0", "4|0"), context(t))
	if len(fs) != 1 || fs[0].Rule != "absence-of-what" || len(fs[0].Also) != 2 {
		t.Errorf("counts of 0: got %+v", fs)
	}
	_, fs = readSheet(sheet("No=recordNumber|Tail=m:tailLength mm", "1|trunca", "2|61", "3|trunca", "4|6o", "5|6o"), context(t))
	if len(fs) != 3 || fs[0].Value != "trunca" || fs[0].Level != record.Error || len(fs[0].Also) != 1 {
		t.Errorf("a word among numbers, and misread numbers: got %+v", fs)
	}
}

// A column of codes that nothing explains has one cause, whatever the number of
// its codes; a word that was probably meant is told by itself.
func TestCodesOfAColumnAreOneFinding(t *testing.T) {
	_, fs := readSheet(sheet("No=recordNumber|Sp=scientificName|Sex=sex", "1|DM|zz", "2|PP|femal", "3|PP|qq", "4|PP|F", "5|SF|F"), context(t))
	var got []string
	for _, f := range fs {
		got = append(got, f.Rule+" "+f.Value+" "+f.At.String()+": "+f.Reason)
	}
	want := []string{
		`word-unknown qq | zz frogs.csv, C2: "zz" is not a known word for sex (1); the same applies to "qq" (1); 2 cells in all`,
		`taxon-unread DM | PP | SF frogs.csv, B2: "DM" is not a scientific name or a vernacular name or code in the checklist (1); the same applies to "PP" (3), "SF" (1); 5 cells in all`,
		`word-unknown femal frogs.csv, C3: "femal" is not a known word for sex; "female" is spelled similarly`,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	_, fs = readSheet(sheet("No=recordNumber|Sp=scientificName", "1|D.fuscus", "2|E. bislineata", "3|G.porphyriticus"), context(t))
	if len(fs) != 1 || !strings.Contains(fs[0].Reason, `"E. bislineata" (1), "G.porphyriticus" (1)`) {
		t.Errorf("genera that are abbreviated: got %+v", fs)
	}
}

func TestNights(t *testing.T) {
	head, lines := "No=recordNumber|Date=eventDate|Time=eventTime", []string{"1|2021-06-03|22:40", "2|2021-06-03|00:40", "3|2021-06-03|1:15"}
	captures, fs := readSheet(sheet(head, lines...), context(t))
	if captures[1].Get("eventDate") != "2021-06-03" || len(fs) != 1 || fs[0].Rule != "night-undecided" || len(fs[0].Also) != 1 {
		t.Errorf("undecided: %q, findings %+v", captures[1].Get("eventDate"), fs)
	}
	more := append(lines, "4|2021-06-05|23:10", "5|2021-06-05|0:20", "6|2021-06-06|22:00", "7|2021-06-07|0:20")
	if _, fs = readSheet(sheet(head, more...), context(t)); len(fs) != 1 || len(fs[0].Also) != 2 || !strings.Contains(fs[0].Reason, "such as 2021-06-03") || !strings.Contains(fs[0].Reason, "3 cells in all") {
		t.Errorf("of two nights: %+v", fs)
	}
	x := context(t)
	x.Night, x.NightStated = true, true
	captures, fs = readSheet(sheet(head, lines...), x)
	for i, want := range []string{"2021-06-03", "2021-06-04", "2021-06-04"} {
		if got := captures[i].Get("eventDate"); got != want {
			t.Errorf("row %d: got %q, want %q", i, got, want)
		}
	}
	if captures[1].Get("day") != "4" || captures[1].Get("verbatimEventDate") != "2021-06-03" || len(fs) != 1 || fs[0].Rule != "time-after-midnight" {
		t.Errorf("day %q, verbatim %q, findings %+v", captures[1].Get("day"), captures[1].Get("verbatimEventDate"), fs)
	}
	x.Night = false
	if _, fs = readSheet(sheet(head, lines...), x); len(fs) != 0 {
		t.Errorf("decided otherwise: findings %+v", fs)
	}
}

// readSheet reads a table and leaves aside what is said of captures without a
// date, a place or an animal: gaps_test.go looks at that.
func readSheet(t *record.Table, x *Context) ([]*record.Capture, []record.Finding) {
	captures, fs := Table(t, x)
	return captures, slices.DeleteFunc(fs, func(f record.Finding) bool {
		return f.Rule == "date-missing" || f.Rule == "place-missing" || f.Rule == "animal-missing"
	})
}

// An interval has the year, and the month, in which both of its ends lie.
func TestInCommon(t *testing.T) {
	for _, c := range [][3]string{
		{"2021-06-12", "13", "2021-06"}, {"2021-06-12", "2021-06-14", "2021-06"}, {"2021-06-30", "07-02", "2021"}, {"2021-06-12", "2021-07-01", "2021"},
		{"2021-12-31", "2022-01-01", ""}, {"2021", "2022", ""}, {"2021-06", "2021-07", "2021"}, {"2021-06-12T21:00", "2021-06-13T01:00", "2021-06"},
		{"2021-06-12", "P2D", ""}, {"", "2021", ""},
	} {
		if got := inCommon(c[0], c[1]); got != c[2] {
			t.Errorf("%s/%s: %q, want %q", c[0], c[1], got, c[2])
		}
	}
}

// What is crossed out is one error for each row, stands as it was written, and is no
// matter in columns that are set aside.
func TestCrossedOut(t *testing.T) {
	table := sheet("No=recordNumber|SVL=m:snoutVentLength mm|Mass=w:net|Old", "1|61.0|12.5|x", "2|58.5|11.0|x")
	table.Columns[3].Meaning.Role = record.SetAside
	for _, k := range []int{1, 2, 3} {
		table.Rows[1].Cells[k].Strike()
	}
	captures, fs := readSheet(table, context(t))
	var got []record.Finding
	for _, f := range fs {
		if f.Rule == "crossed-out" {
			got = append(got, f)
		}
	}
	if len(got) != 1 || got[0].At.Column != 2 || len(got[0].Also) != 1 || got[0].Also[0].Column != 3 || got[0].Value != "58.5" || got[0].Level != record.Error {
		t.Errorf("%+v", got)
	}
	if r := captures[1].Reading("snoutVentLength"); r == nil || r.Number != 58.5 {
		t.Errorf("reading %+v", r)
	}
}
