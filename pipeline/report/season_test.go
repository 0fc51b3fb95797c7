package report_test

import (
	"fmt"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	results "spadefoot/pipeline/season"
)

// The section has the numbers of the tables, says how many captures it leaves
// out, and draws each species with enough animals.
func TestSeasonSection(t *testing.T) {
	g := results.Begin(t.TempDir(), results.Defaults())
	defer g.Close()
	var doubts results.Doubts
	doubts.Add([]record.Finding{{Rule: "taxon-unmatched", Level: record.Warning, At: record.Address{File: "frogs.csv", Row: 9, Column: 1}}})
	for n := range 40 {
		at := func(column int) record.Address { return record.Address{File: "frogs.csv", Row: n + 2, Column: column} }
		c := &record.Capture{Key: fmt.Sprint("MC", n), File: "frogs.csv", Row: n + 2}
		for i, v := range []string{"scientificName=Lithobates clamitans", "sex=" + []string{"male", "female"}[n%2], "locality=Tern Slough", fmt.Sprintf("eventDate=%d-05-%02d", 2023+n%3, 1+n%28), fmt.Sprintf("organismID=F-%03d", n%39)} {
			term, text, _ := strings.Cut(v, "=")
			c.Set(record.Value{Field: record.Of(term), Text: text}.At(at(i + 1)))
		}
		c.Readings = []record.Reading{record.Reading{Series: &record.Series{Measurement: "snoutVentLength", Unit: "mm"}, Number: 55 + float64(n*7%20)}.At(at(6))}
		if n == 0 || n == 39 {
			g.Follow([]*record.Capture{c, c}, []int{0, 39})
		}
		if err := g.Add(n, c, &doubts); err != nil {
			t.Fatal(err)
		}
	}
	r, err := g.Write(nil, func(names []string) []string { return names })
	if err != nil {
		t.Fatal(err)
	}
	section, err := report.SeasonHTML(r, nil, func(names []string) []string { return names }, "results")
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{
		"40 captures were read; 2 of them are left out here", // one in doubt, one caught before in the season
		"The scientific name is not in the checklist", "Lithobates clamitans, sizes", "Lithobates clamitans, season by season", "Lithobates clamitans, growth", "Lithobates clamitans, night by night", "classes of 1 mm", "<th scope=\"row\">F-000</th>",
		"the folder <code>results</code>",
	} {
		if !strings.Contains(string(section), part) {
			t.Errorf("the section does not say %q", part)
		}
	}
	if strings.Contains(string(section), "ffort") {
		t.Error("the section speaks of effort, and nobody stated any")
	}
	caught := 0
	for _, n := range r.Nights {
		caught += n.N
	}
	if caught != 39 { // but for the one in doubt
		t.Errorf("%d captures in the nights: %+v", caught, r.Nights)
	}
	for _, z := range r.Sizes {
		row := fmt.Sprintf(`<td data-l="Season">%s</td><td data-l="n" class="n">%d</td><td data-l="Mean" class="n">%s</td>`, z.Season, z.N, results.FigureOf(z.Mean, 4))
		if !strings.Contains(string(section), row) {
			t.Errorf("no row of %+v", z)
		}
	}
}
