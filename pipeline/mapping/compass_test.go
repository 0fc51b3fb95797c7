package mapping

import (
	"strings"
	"testing"

	"spadefoot/pipeline/config"
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
		{"{heading: Long, term: decimalLongitude, compass: N}", "N and S go with a latitude"},
		{"{heading: SVL, measurement: snoutVentLength, unit: mm, compass: N}", "nothing else has one"},
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

// The cells of degrees, minutes and seconds are no known heading's; the
// compass letter tells which is which.
func TestGuessByCompass(t *testing.T) {
	angles := func(text string) func(*frog) string { return func(*frog) string { return text } }
	for _, c := range []struct{ heading, value, term, compass string }{
		{"Coord. S", `22°15'30"`, "decimalLatitude", "S"},
		{"Coordenadas W", `47°15'18"`, "decimalLongitude", "W"},
		{"GPS N", "45.1234", "decimalLatitude", "N"},
		{"Longitude (W)", "85.1477", "decimalLongitude", "W"},
	} {
		guesses, err := Guess([]record.Table{sheet([]column{{c.heading, "", angles(c.value)}, {"SVL (mm)", "", svl}}, 12, false)}, repeatableTerms)
		if err != nil {
			t.Fatal(err)
		}
		if m := guesses[0].Meaning; m.Term != c.term || m.Compass != c.compass {
			t.Errorf("%s: %s %s, want %s %s", c.heading, m.Term, m.Compass, c.term, c.compass)
		}
	}
}
