package mapping

import (
	"strings"
	"testing"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
)

func TestCompassOfHeadings(t *testing.T) {
	for _, c := range []struct{ heading, term, want string }{
		{"Longitude (W)", "decimalLongitude", "W"},
		{"Lat S", "verbatimLatitude", "S"},
		{"Longitude N", "decimalLongitude", ""},
		{"Side (W)", "locality", ""},
		{"Longitude", "decimalLongitude", ""},
	} {
		if got := compassOf(c.heading, c.term); got != c.want {
			t.Errorf("%s as %s: %q, want %q", c.heading, c.term, got, c.want)
		}
	}
}

func TestCompassInMapping(t *testing.T) {
	for _, c := range []struct{ line, want string }{
		{"{heading: Long, term: decimalLongitude, compass: W}", ""},
		{"{heading: Long, term: decimalLongitude, compass: N}", "use N or S with a latitude"},
		{"{heading: SVL, measurement: snoutVentLength, unit: mm, compass: N}", "and nowhere else"},
		{"{heading: Lat min, term: decimalLatitude, angle: minutes}", ""},
		{"{heading: Time, term: eventTime, angle: minutes}", "belongs to a latitude or longitude"},
	} {
		doc, err := config.Parse("frogs.yaml", []byte("headings:\n  - "+c.line+"\n"))
		if err != nil {
			t.Fatal(err)
		}
		_, err = Parse(doc, Known{})
		if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.line, err, c.want)
		}
	}
}

// The cells of degrees, minutes and seconds are not under a known heading; the
// compass letter tells which is which.
func TestGuessByCompass(t *testing.T) {
	angles := func(text string) func(*frog) string { return func(*frog) string { return text } }
	for _, c := range []struct{ heading, value, term, compass string }{
		{"Coord. S", `22°15'30"`, "decimalLatitude", "S"},
		{"Coordenadas W", `47°15'18"`, "decimalLongitude", "W"},
		{"GPS N", "45.1234", "decimalLatitude", "N"},
		{"Longitude (W)", "85.1477", "decimalLongitude", "W"},
	} {
		guesses := Guess([]record.Table{sheet([]column{{c.heading, "", angles(c.value)}, {"SVL (mm)", "", svl}}, 12, false)}, repeatableTerms)
		if m := guesses[0].Meaning; m.Term != c.term || m.Compass != c.compass {
			t.Errorf("%s: %s %s, want %s %s", c.heading, m.Term, m.Compass, c.term, c.compass)
		}
	}
}

// Headings of columns that are not of one animal, of one time or of one reading
// stay open, and so do those of parts of a coordinate without the rest.
func TestGuessOfSeveralColumns(t *testing.T) {
	for _, c := range []struct {
		name    string
		columns []column
	}{
		{"parts of coordinates", []column{
			{"Lat deg", "decimalLatitude", pick("31")}, {"Lat min", "decimalLatitude", between(10, 55, 0)}, {"Lat sec", "decimalLatitude", between(0, 59, 1)},
			{"Long deg", "decimalLongitude", pick("109")}, {"Long min", "decimalLongitude", between(10, 55, 3)}}},
		{"seconds alone", []column{{"Lat sec", "", between(0, 59, 1)}, {"SVL (mm)", "snoutVentLength mm", svl}}},
		{"sexes in columns", []column{
			{"Male SVL", "", svl}, {"Male mass", "", net}, {"Female SVL", "", svl}, {"Female mass", "", net}}},
		{"first and last", []column{{"SVL (mm)", "snoutVentLength mm", svl}, {"initial mass (g)", "", net}, {"final mass (g)", "", net}}},
		{"pounds and ounces", []column{{"SVL (mm)", "snoutVentLength mm", svl}, {"Wt lbs", "", between(1, 4, 0)}, {"Wt oz", "", between(0, 15, 1)}}},
		{"counts", []column{{"SVL (mm)", "snoutVentLength mm", svl}, {"Egg masses", "", between(0, 30, 0)}}},
	} {
		guesses := Guess([]record.Table{sheet(c.columns, 40, false)}, repeatableTerms)
		for i, g := range guesses {
			if got := said(g.Meaning); got != c.columns[i].want {
				t.Errorf("%s, %s: %q, want %q", c.name, g.Heading, got, c.columns[i].want)
			}
			if _, part := place.HeadingAngle(g.Heading); g.Meaning.Term != "" && strings.HasPrefix(g.Meaning.Term, "decimal") && g.Meaning.Angle != part {
				t.Errorf("%s, %s: angle %q, want %q", c.name, g.Heading, g.Meaning.Angle, part)
			}
		}
	}
}

// What a heading or a few values might mean they often do not.
func TestGuessNothing(t *testing.T) {
	for _, c := range []column{
		{"T4", "", between(1, 3, 1)},                 // a toe, no temperature
		{"number 3 m", "", between(1, 60, 0)},        // counted after three months, no mass
		{"time", "", between(10, 5600, 0)},           // days, no time of day
		{"gear", "", pick("3", "4", "5")},            // numbers name no method
		{"total.fish", "", between(1, 60, 0)},        // a count
		{"wtotal", "", between(20, 60, 0)},           // of something
		{"enum", "", between(1, 9, 0)},               // no length in micrometres
		{"visits", "", between(1, 9, 0)},             // how many
		{"Variety", "", pick("F", "P")},              // one known letter makes no sex
		{"time", "eventTime", pick("930", "1015")},   // these are times
		{"time", "eventTime", pick("9.30", "10.15")}, // and these
	} {
		guesses := Guess([]record.Table{sheet([]column{{"SVL", "", svl}, c}, 40, false)}, repeatableTerms)
		if got := said(guesses[1].Meaning); got != c.want {
			t.Errorf("%s is %q, want %q", c.heading, got, c.want)
		}
	}
}

// A letter behind a word says what was measured of it, if its unit agrees.
func TestGuessSizes(t *testing.T) {
	columns := []column{{"SVL [mm]", "snoutVentLength mm", svl}, {"Tail l [mm]", "tailLength mm", shareOf(1.2)}, {"Head w [mm]", "headWidth mm", shareOf(0.35)},
		{"Body m [g]", "net g", net}, {"Date/Time of event", "eventDate", dates("Y-M-D")}}
	guesses := Guess([]record.Table{sheet(columns, 40, false)}, repeatableTerms)
	for i, g := range guesses {
		if got := said(g.Meaning); got != columns[i].want {
			t.Errorf("%s: %q, want %q", g.Heading, got, columns[i].want)
		}
	}
}

// Each person has a column under each measurement, beside or below its name.
func TestGuessObservers(t *testing.T) {
	var columns []column
	for k, what := range []string{"SVL (mm)", "Tibia (mm)"} {
		for _, who := range []string{"Ana", "Ben"} {
			columns = append(columns, column{what + " " + who, "", shareOf([]float64{1, 0.5}[k])})
		}
	}
	beside, below, unlike := sheet(columns, 40, false), sheet(columns, 40, false), sheet(columns, 40, false)
	for i := range below.Columns {
		what, who := byPerson(&below.Columns[i])
		below.Columns[i].Parts = []string{what, who}
	}
	below.Columns[1].Parts[0] = "" // merged
	for r := range unlike.Rows {
		unlike.Rows[r].Cells[1].Text = unlike.Rows[39-r].Cells[0].Text // not of the same animals
	}
	for k, table := range []record.Table{beside, below, unlike} {
		guesses := Guess([]record.Table{table}, repeatableTerms)
		for i, g := range guesses {
			_, who := byPerson(&table.Columns[i])
			if k == 2 {
				who = ""
			}
			if g.Meaning.Observer != who || k < 2 && g.Meaning.Measurement == "" {
				t.Errorf("table %d, %s: %q by %q, want %q", k, g.Heading, said(g.Meaning), g.Meaning.Observer, who)
			}
		}
	}
}

// Titles that are names of animals are not places.
func TestGuessTitlesOfAnimals(t *testing.T) {
	guesses := Guess([]record.Table{sheet([]column{{"section", "", pick("Plethodon cinereus", "Desmognathus fuscus")}, {"SVL (mm)", "", svl}}, 40, false)}, repeatableTerms)
	if got := said(guesses[0].Meaning); got != "scientificName" {
		t.Errorf("section is %q", got)
	}
}
