package quality

import "testing"

func TestNamesOfTerms(t *testing.T) {
	for _, c := range []struct {
		name   string
		record map[string]string
		term   string
		want   string
	}{
		{"bare", m{"day": "3"}, "day", "3"},
		{"prefixed", m{"dwc:day": "3"}, "day", "3"},
		{"IRI", m{"http://rs.tdwg.org/dwc/terms/day": "3"}, "day", "3"},
		{"dcterms", m{"dcterms:license": "x"}, "license", "x"},
		{"dc", m{"dc:type": "Event"}, "type", "Event"},
		{"dc before dcterms", m{"dc:type": "Event", "dcterms:type": "http://purl.org/dc/dcmitype/Event"}, "type", "Event"},
		{"what is filled before what is empty", m{"dc:type": " ", "dcterms:type": "Event"}, "type", "Event"},
		{"white space kept", m{"dwc:day": " 3"}, "day", " 3"},
		{"parameters", m{"bdqval:sourceAuthority": "x"}, "bdqval:sourceAuthority", "x"},
		{"nothing", m{}, "day", ""},
	} {
		if got := FromMap(c.record)(c.term); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

func TestColumns(t *testing.T) {
	row := Columns([]string{"\ufeffdwc:day", "month", "dc:type", "dcterms:type"})
	r := row([]string{"3", "5", "", "Event"})
	if r("day") != "3" || r("month") != "5" || r("type") != "Event" || r("year") != "" {
		t.Errorf("%q %q %q %q", r("day"), r("month"), r("type"), r("year"))
	}
	if short := row([]string{"3"}); short("month") != "" || short("type") != "" {
		t.Error("a short row has values where it ends")
	}
}

func TestEmpty(t *testing.T) {
	for text, want := range map[string]bool{"": true, " ": true, "\t\r\n \x00": true, "null": false, "0": false, "\u00a0": false} {
		if Empty(text) != want {
			t.Errorf("Empty(%q) is %v", text, !want)
		}
	}
}

// Anything at all may be in a record: no test may fail over it, and none
// may propose what it then does not accept.
func FuzzTests(f *testing.F) {
	f.Add("eventDate", "2021-04-12T21:30-04:00", "day", "12")
	f.Add("verbatimEventDate", "3 Jun 2021", "year", "2021")
	f.Add("verbatimCoordinates", "42°26'24\"N 76°29'48\"W", "verbatimSRS", "NAD27")
	f.Add("decimalLatitude", "1e2", "decimalLongitude", "-0")
	f.Add("typeStatus", "holotype of x | | y", "license", "CC BY 4.0")
	f.Add("scientificName", "× x y f.", "infraspecificEpithet", "y")
	f.Fuzz(func(t *testing.T, term1, value1, term2, value2 string) {
		values := map[string]string{term1: value1, term2: value2}
		r := FromMap(values)
		for i, answer := range All(r, ParamsOf(r, Params{Today: dataDay})) {
			test := table()[i]
			if answer.Status == "" || (answer.Amended == nil) != (answer.Status != Amended && answer.Status != FilledIn) {
				t.Errorf("%s: %+v", test.Label, answer)
			}
			if answer.Amended == nil || len(test.Consulted) > 0 || test.Label == "AMENDMENT_OCCURRENCESTATUS_ASSUMEDDEFAULT" {
				continue
			}
			// An amendment of a term by itself must leave nothing to amend.
			again := map[string]string{}
			for k, v := range values {
				again[bare(k)] = v
			}
			for k, v := range answer.Amended {
				again[bare(k)] = v
			}
			r := FromMap(again)
			if second := test.Run(r, ParamsOf(r, Params{Today: dataDay})); second.Amended != nil {
				t.Errorf("%s proposes %v for its own proposal %v", test.Label, second.Amended, answer.Amended)
			}
		}
	})
}
