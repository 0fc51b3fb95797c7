package normalise

import (
	"strings"
	"testing"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// Free text and names of people and places are what was written, unless the
// whole cell is a mark.
func TestRemarksThatBeginLikeNothing(t *testing.T) {
	for _, text := range []string{"dead on road", "missing left forelimb", "injured hind leg, released", "not weighed, scale frozen",
		"none of the toes clipped", "unknown parasite", "Released Alive", "none", "lost", "?"} {
		captures, _ := Table(sheet("No=recordNumber|Notes=occurrenceRemarks|By=recordedBy|Site=locality", "1|"+text+"|Nan|"+text), context(t))
		c := captures[0]
		if c.Get("occurrenceRemarks") != text || c.Get("recordedBy") != "Nan" || c.Get("locality") != text {
			t.Errorf("%q: %+v", text, c.Values)
		}
	}
	captures, _ := Table(sheet("No=recordNumber|Notes=occurrenceRemarks|By=recordedBy|Site=locality", "1|n/a|NA|-"), context(t))
	if c := captures[0]; c.Get("occurrenceRemarks") != "" || c.Get("recordedBy") != "" || c.Get("locality") != "" || len(c.Extras) != 1 || c.Extras[0].Text != "n/a" {
		t.Errorf("marks: %+v %+v", c.Values, c.Extras) // words are kept
	}
}

// Lists and free text are joined in the order of the columns; of other terms the
// first column that says something holds, and the others go to the extras.
func TestSeveralColumnsOfOneTerm(t *testing.T) {
	x := context(t)
	x.Joined = func(term string) bool { return term == "occurrenceRemarks" || term == "locality" }
	captures, _ := Table(sheet("No=recordNumber|Site=locality|Plot=locality|Code=locationID|Notes=occurrenceRemarks|More=occurrenceRemarks|"+
		"Sex=sex|Sex again=sex|Date=eventDate|Later=eventDate|Species=scientificName|Name=scientificName|Count=individualCount|Seen=individualCount",
		"1|Tern Slough|7|TS|wet|torn web|F|M|2021-05-02|2021-05-03|Rana temporaria|common frog|2|3",
		"2||7|TS||torn web||M||2021-05-03||common frog||3"), x)
	for i, want := range []map[string]string{
		{"locality": "Tern Slough | 7", "locationID": "TS", "occurrenceRemarks": "wet | torn web", "sex": "female", "eventDate": "2021-05-02",
			"scientificName": "Rana temporaria", "individualCount": "2"},
		{"locality": "7", "locationID": "TS", "occurrenceRemarks": "torn web", "sex": "male", "eventDate": "2021-05-03",
			"scientificName": "Rana temporaria", "individualCount": "3"},
	} {
		for term, text := range want {
			if got := captures[i].Get(term); got != text {
				t.Errorf("row %d, %s: %q, want %q", i+1, term, got, text)
			}
		}
	}
	extras := map[string]string{}
	for _, e := range captures[0].Extras {
		extras[e.Heading] = e.Text
	}
	for heading, text := range map[string]string{"Sex again": "M", "Later": "2021-05-03", "Name": "common frog", "Seen": "3"} {
		if extras[heading] != text {
			t.Errorf("extras %v have no %q under %s", extras, text, heading)
		}
	}
	if len(extras) != 4 || len(captures[1].Extras) > 0 {
		t.Errorf("extras %v, %+v", extras, captures[1].Extras)
	}
}

// Whatever stands in a cell stands in the capture.
func FuzzNothingIsLost(f *testing.F) {
	for _, s := range []string{"57 mm dead", "F (gravid)", "2021-13-45", "NAD27", "45.1N 3.2E", "Nan", "-", "not weighed, scale frozen", "12 furlongs", "a | b", "\x00", "5/9/2021"} {
		f.Add(s, "x")
	}
	heads := "No=recordNumber|S=sex|S2=sex|D=eventDate|T=eventTime|L=locality|I=locationID|C=verbatimCoordinates|La=decimalLatitude|Vl=verbatimLatitude|" +
		"G=geodeticDatum|Z=verbatimCoordinateSystem|E=minimumElevationInMeters|Ve=verbatimElevation|N=individualCount|Sp=scientificName|Y=year|" +
		"R=occurrenceRemarks|SVL=m:snoutVentLength mm|Gross=w:gross|Bag=w:bag|Scale=w:scale|By=measurementDeterminedBy|Odd"
	n := strings.Count(heads, "|") + 1
	x := context(f)
	f.Fuzz(func(t *testing.T, a, b string) {
		a, b = strings.ReplaceAll(a, "|", "/"), strings.ReplaceAll(b, "|", "/")
		cells := make([]string, n)
		for i := range cells {
			cells[i] = []string{a, b, b}[i%3]
		}
		tb := sheet(heads, strings.Join(cells, "|"), strings.Join(append(cells[1:], a), "|"))
		captures, _ := Table(tb, x)
		for k, c := range captures {
			all := everythingIn(c)
			for i, cell := range tb.Rows[k].Cells {
				if text := strings.TrimSpace(cell.Text); !quantity.Mark(text) && !strings.Contains(all, text) {
					t.Errorf("%q under %s stands nowhere: %s", text, tb.Columns[i].Heading, all)
				}
			}
		}
	})
}

func everythingIn(c *record.Capture) string {
	var b strings.Builder
	for _, v := range c.Values {
		b.WriteString(v.Text + "\n" + v.Verbatim + "\n")
	}
	for _, r := range c.Readings {
		b.WriteString(r.Verbatim + "\n")
	}
	for _, e := range c.Extras {
		b.WriteString(e.Text + "\n")
	}
	if w := c.Weighing; w != nil {
		b.WriteString(w.BagLabel + "\n" + w.Scale + "\n")
		for _, p := range []*record.Reading{w.Gross, w.Tare, w.Net} {
			if p != nil {
				b.WriteString(p.Verbatim + "\n")
			}
		}
	}
	return b.String()
}

// What columns of names and units say stands in a measurement only if the value
// beside them came to one; another measurement of the row says nothing of it.
func TestNamesAndUnitsBesideOtherMeasurements(t *testing.T) {
	for _, head := range []string{"No=recordNumber|SVL=m:snoutVentLength mm|Unit=long:unit", "No=recordNumber|SVL=m:snoutVentLength mm|What=long:name|Value=long:value|Unit=long:unit"} {
		long := strings.Count(head, "|") > 2
		line := map[bool]string{true: "1|41.5|latency|0.3|sec", false: "1|41.5|sec"}[long]
		captures, _ := Table(sheet(head, line), context(t))
		kept := map[string]string{}
		for _, e := range captures[0].Extras {
			kept[e.Heading] = e.Text
		}
		if kept["Unit"] != "sec" || long && kept["latency"] != "0.3" {
			t.Errorf("%s: kept %v", head, kept)
		}
	}
}
