package located

import (
	"fmt"
	"slices"
	"testing"

	"spadefoot/pipeline/record"
)

// A suggestion is what each cell becomes, or what the one cell becomes.
func TestWhatTheCellsBecome(t *testing.T) {
	at := func(column int) record.Address { return record.Address{File: "a.csv", Row: 2, Column: column} }
	capture := func(terms ...string) *record.Capture { // in turn terms and texts, a cell each
		c := &record.Capture{Key: "1", File: "a.csv", Row: 2}
		c.Set(record.Value{Field: record.Of("decimalLatitude"), Text: "8.50866"}.At(at(1)))
		c.Set(record.Value{Field: record.Of("decimalLongitude"), Text: "47.61672"}.At(at(1)))
		for i := 0; i < len(terms); i += 2 {
			c.Set(record.Value{Field: record.Of(terms[i]), Text: terms[i+1], Verbatim: terms[i+1]}.At(at(1 + i/2)))
			c.Cells = append(c.Cells, record.Written{Column: int32(i / 2), Text: terms[i+1]})
		}
		return c
	}
	parts := capture("verbatimLatitude", "8 30.519", "verbatimLongitude", "47 37.003")
	parts.Cells = []record.Written{{Column: 0, Text: "8"}, {Column: 1, Text: "30.519"}, {Column: 2, Text: "47"}, {Column: 3, Text: "37.003"}}
	for _, c := range []struct {
		name       string
		capture    *record.Capture
		suggestion string
		rewrites   []record.Rewrite
	}{
		{"two cells", capture("verbatimLatitude", "8,50866", "verbatimLongitude", "47,61672"), "47.61672, 8.50866",
			[]record.Rewrite{{At: at(1), Text: "47.61672"}, {At: at(2), Text: "8.50866"}}},
		{"one cell", capture("verbatimCoordinates", "8.50866, 47.61672"), "47.61672, 8.50866", nil},
		{"degrees and minutes apart", parts, "", nil},
	} {
		f := record.Finding{At: at(1), Suggestion: "47.61672, 8.50866"}
		rewrite(&f, c.capture)
		if f.Suggestion != c.suggestion || !slices.Equal(f.Rewrites, c.rewrites) || (len(f.Rewrites) > 0) != (f.Spread == record.Together) {
			t.Errorf("%s: %+v", c.name, f)
		}
	}
}

// A site tells where its captures are if enough of them have a place, and hardly any is
// far from the others.
func TestSites(t *testing.T) {
	spots := NewSpots()
	add := func(site string, n int, latitude float64) {
		for i := range n {
			c := &record.Capture{ID: fmt.Sprint(site, latitude, i)}
			c.Set(record.Value{Field: record.Of("locality"), Text: site})
			c.Set(record.Value{Field: record.Of("decimalLatitude"), Text: fmt.Sprint(latitude)})
			c.Set(record.Value{Field: record.Of("decimalLongitude"), Text: "-75.689"})
			spots.Add(c, Positions{})
		}
	}
	add("Heron Slough", 60, 45.412)
	add("Heron Slough", 1, 45.472)
	add("Mill Ditch", 9, 45.412)
	add("Pond 1", 60, 45.412)
	add("Pond 1", 5, 45.472)
	add("", 60, 45.412)
	sites := spots.Sites()
	for site, want := range map[string]bool{"Heron Slough": true, "Mill Ditch": false, "Pond 1": false, "": false} {
		c := &record.Capture{}
		c.Set(record.Value{Field: record.Of("locality"), Text: site})
		if r := sites[siteOf(c)]; (r != nil) != want {
			t.Errorf("%q: %+v", site, r)
		}
	}
}
