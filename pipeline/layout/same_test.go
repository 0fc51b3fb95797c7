package layout_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// caught is one invented capture, as the property test writes it down.
type caught struct{ no, date, site, species, sex, svl1, svl2, tibia, gross, bag, notes string }

func (c *caught) fields() map[string]string {
	return map[string]string{"No": c.no, "Date": c.date, "Site": c.site, "Species": c.species, "Sex": c.sex,
		"SVL 1": c.svl1, "SVL 2": c.svl2, "Tibia": c.tibia, "Gross": c.gross, "Bag": c.bag, "Notes": c.notes}
}

var allHeadings = []string{"No", "Date", "Site", "Species", "Sex", "SVL 1", "SVL 2", "Tibia", "Gross", "Bag", "Notes"}

func without(headings []string, left ...string) []string {
	return slices.DeleteFunc(slices.Clone(headings), func(h string) bool { return slices.Contains(left, h) })
}

func row(c caught, headings []string) string {
	f := c.fields()
	var parts []string
	for _, h := range headings {
		parts = append(parts, f[h])
	}
	return strings.Join(parts, "|")
}

// someCaptures invents captures in the order in which they were written down:
// by site, then by species, then by date.
func someCaptures(r *rand.Rand) []caught {
	var out []caught
	for _, site := range []string{"Tern Slough", "Mead Pond", "Holm"}[:1+r.IntN(3)] {
		for _, species := range []string{"Rana luteiventris", "Anaxyrus boreas"}[r.IntN(2):] {
			day := 1 + r.IntN(9)
			for range 1 + r.IntN(4) {
				day += r.IntN(2)
				c := caught{no: fmt.Sprint(len(out) + 1), date: fmt.Sprintf("%d May 2021", day), site: site, species: species,
					sex: []string{"F", "M", "J", ""}[r.IntN(4)], svl1: fmt.Sprint(40 + r.IntN(40)), gross: fmt.Sprintf("%d.5", 20+r.IntN(30)),
					bag: "5.5", notes: []string{"", "", "toe clipped", "left eye dull"}[r.IntN(4)]}
				c.svl2, c.tibia = c.svl1+".5", fmt.Sprint(20+r.IntN(15))
				if r.IntN(5) == 0 {
					c.tibia = ""
				}
				out = append(out, c)
			}
		}
	}
	return out
}

// writers put the same captures on paper in one layout each.
var writers = map[string]func([]caught) []string{
	"plain": plain,
	"titled": func(cs []caught) []string {
		return append([]string{"Frogs of Marrow Creek", "Spring", ""}, shift(plain(cs), 2)...)
	},
	"headings of three rows": threeRows,
	"merged headings over numbers": func(cs []caught) []string {
		return append([]string{"No|Date|Site|Species|Sex|SVL||Tibia|Gross|Bag|Notes", "|||||1|2||||", "|||||mm|mm|mm|g|g|"}, plain(cs)[1:]...)
	},
	"side by side":                     sideBySide,
	"under another":                    func(cs []caught) []string { return underAnother(cs, "Species: ") },
	"under another, name beside":       func(cs []caught) []string { return underAnother(cs, "Species:|") },
	"named sections":                   func(cs []caught) []string { return sections(cs, "Site: ") },
	"plain sections":                   func(cs []caught) []string { return sections(cs, "") },
	"days as sections":                 daySections,
	"dittos":                           func(cs []caught) []string { return again(cs, `"`, "Date", "Site", "Species") },
	"blanks":                           func(cs []caught) []string { return again(cs, "", "Date", "Site", "Species") },
	"turned":                           turned,
	"turned in bands":                  bands,
	"names and values above":           aboveAll,
	"values below their names":         valuesBelow,
	"headings again, sums and remarks": interrupted,
}

func plain(cs []caught) []string {
	out := []string{strings.Join(allHeadings, "|")}
	for _, c := range cs {
		out = append(out, row(c, allHeadings))
	}
	return out
}

func shift(lines []string, n int) []string {
	out := slices.Clone(lines)
	for i := range out {
		out[i] = strings.Repeat("|", n) + out[i]
	}
	return out
}

func threeRows(cs []caught) []string {
	return append([]string{"|||||Lengths|||Masses||", "No|Date|Site|Species|Sex|SVL 1|SVL 2|Tibia|Gross|Bag|Notes", "|||||(mm)|(mm)|(mm)|g|g|"}, plain(cs)[1:]...)
}

// groups parts captures by one field, in the order of their first.
func groups(cs []caught, field string) (names []string, by map[string][]caught) {
	by = map[string][]caught{}
	for _, c := range cs {
		k := c.fields()[field]
		if by[k] == nil {
			names = append(names, k)
		}
		by[k] = append(by[k], c)
	}
	return names, by
}

func sideBySide(cs []caught) []string {
	hs := without(allHeadings, "Species")
	names, by := groups(cs, "Species")
	var lines []string
	at := 0
	put := func(i int, text string) {
		for len(lines) <= i {
			lines = append(lines, "")
		}
		if gap := at - strings.Count(lines[i], "|"); gap > 0 {
			lines[i] += strings.Repeat("|", gap)
		}
		lines[i] += text
	}
	for _, name := range names {
		put(0, "Species: "+name)
		put(1, strings.Join(hs, "|"))
		for i, c := range by[name] {
			put(i+2, row(c, hs))
		}
		at += len(hs) + 1
	}
	return lines
}

func underAnother(cs []caught, label string) []string {
	hs := without(allHeadings, "Species")
	names, by := groups(cs, "Species")
	var lines []string
	for _, name := range names {
		lines = append(lines, label+name, strings.Join(hs, "|"))
		for _, c := range by[name] {
			lines = append(lines, row(c, hs))
		}
		lines = append(lines, "")
	}
	return lines
}

func sections(cs []caught, label string) []string {
	hs := without(allHeadings, "Site")
	lines := []string{strings.Join(hs, "|")}
	last := ""
	for _, c := range cs {
		if c.site != last {
			lines = append(lines, label+c.site)
			last = c.site
		}
		lines = append(lines, row(c, hs))
	}
	return lines
}

func daySections(cs []caught) []string {
	hs := without(allHeadings, "Date")
	lines := []string{strings.Join(hs, "|")}
	last := ""
	for _, c := range cs {
		if c.date != last {
			lines = append(lines, c.date)
			last = c.date
		}
		lines = append(lines, row(c, hs))
	}
	return lines
}

// again writes mark where a field says the same as in the row before.
func again(cs []caught, mark string, fields ...string) []string {
	lines := []string{strings.Join(allHeadings, "|")}
	for i, c := range cs {
		parts := strings.Split(row(c, allHeadings), "|")
		for k, h := range allHeadings {
			if i > 0 && slices.Contains(fields, h) && parts[k] == cs[i-1].fields()[h] {
				parts[k] = mark
			}
		}
		lines = append(lines, strings.Join(parts, "|"))
	}
	return lines
}

func turned(cs []caught) []string {
	var lines []string
	for _, h := range allHeadings {
		parts := []string{h}
		for _, c := range cs {
			parts = append(parts, c.fields()[h])
		}
		lines = append(lines, strings.Join(parts, "|"))
	}
	return lines
}

func bands(cs []caught) []string {
	var lines []string
	for part := range slices.Chunk(cs, 4) {
		lines = append(append(lines, turned(part)...), "")
	}
	return lines
}

// aboveAll writes a table for each site, with its names and values above.
func aboveAll(cs []caught) []string {
	hs := without(allHeadings, "Site", "Bag")
	names, by := groups(cs, "Site")
	var lines []string
	for _, name := range names {
		lines = append(lines, "Site: "+name+"|||Bag: 5.5 g", "Weather:|clear", "", strings.Join(hs, "|"))
		for _, c := range by[name] {
			lines = append(lines, row(c, hs))
		}
		lines = append(lines, "", "")
	}
	return lines
}

func valuesBelow(cs []caught) []string {
	hs := without(allHeadings, "Site", "Date")
	var lines []string
	names, by := groups(cs, "Site")
	for _, name := range names {
		dates, on := groups(by[name], "Date")
		for _, date := range dates {
			lines = append(lines, "Site|Date", name+"|"+date, "", strings.Join(hs, "|"))
			for _, c := range on[date] {
				lines = append(lines, row(c, hs))
			}
			lines = append(lines, "")
		}
	}
	return lines
}

func interrupted(cs []caught) []string {
	lines := []string{strings.Join(allHeadings, "|")}
	for i, c := range cs {
		lines = append(lines, row(c, allHeadings))
		switch i % 3 {
		case 1:
			lines = append(lines, "mean|||||55|55.5|25|30||", "", strings.Join(allHeadings, "|"))
		case 2:
			lines = append(lines, "rain stopped all work for an hour")
		}
	}
	return append(lines, "Total|||||||||"+fmt.Sprint(len(cs))+"|", "typed by N. Okafor")
}

const marrow = `key: [recordNumber]
headings:
  - {heading: "No", term: recordNumber}
  - {heading: Date, term: eventDate, carryDown: true}
  - {heading: Site, also: [section], term: locality, carryDown: true}
  - {heading: Species, term: scientificName, carryDown: true}
  - {heading: Sex, term: sex}
  - {heading: SVL, pattern: 'svl (?P<replicate>\d)', measurement: snoutVentLength, unit: mm}
  - {heading: Tibia, measurement: tibiaLength, unit: mm}
  - {heading: Gross, weighing: gross, unit: g}
  - {heading: Bag, weighing: tare, unit: g}
  - {heading: Notes, term: occurrenceRemarks}
  - {heading: Weather, aside: not published}
`

// rowsAfter returns what each row of the tables says by meaning, by number of
// the animal. For a draft the layout is found without the mapping.
func rowsAfter(t *testing.T, lines []string, draft bool) map[string]map[string]string {
	t.Helper()
	doc, err := config.Parse("marrow.yaml", []byte(marrow))
	if err != nil {
		t.Fatal(err)
	}
	known := mapping.Known{HeadingParts: quantity.HeadingUnit}
	m, err := mapping.Parse(doc, known)
	if err != nil {
		t.Fatal(err)
	}
	o := layout.Options{IsHeading: m.Matcher(known), KeepBlank: m.KeepsBlank(known)}
	if draft {
		o = layout.Options{}
	}
	tables, findings := layout.Find(paper(lines...), o)
	if out := lost(paper(lines...), layout.Options{}, tables, findings); len(out) > 0 {
		t.Errorf("lost %v", out)
	}
	out := map[string]map[string]string{}
	for i := range tables {
		fs, err := mapping.Apply(m, &tables[i], known)
		if err != nil {
			t.Fatalf("%v\n%s", err, draw(tables, findings))
		}
		for _, f := range fs {
			if f.Level > record.Note {
				t.Errorf("%s: %s %q", f.Rule, f.Reason, f.Value)
			}
		}
		for _, r := range tables[i].Rows {
			says := map[string]string{}
			for k, c := range r.Cells {
				x := tables[i].Columns[k].Meaning
				if what := fmt.Sprint(x.Term, x.Measurement, x.Part, x.Replicate); !c.Empty() && x.Role != record.SetAside && x.Role != record.Unmatched { // titles are kept, and mean nothing
					says[what] = strings.TrimSuffix(c.Text, " g")
				}
			}
			out[says["recordNumber0"]] = says
		}
	}
	return out
}

// TestSameCapturesInAnyLayout writes the same captures in every layout and
// reads the same rows from each, whether or not the mapping is known when the
// layout is found.
func TestSameCapturesInAnyLayout(t *testing.T) {
	for seed := range uint64(need.Times(12, 25)) {
		r := rand.New(rand.NewPCG(seed, 7))
		cs := someCaptures(r)
		want := rowsAfter(t, plain(cs), false)
		if len(want) != len(cs) {
			t.Fatalf("%d captures, %d rows", len(cs), len(want))
		}
		for name, write := range writers {
			t.Run(fmt.Sprintf("%s/%d", name, seed), func(t *testing.T) {
				lines := write(cs)
				for _, draft := range []bool{false, true} {
					if d := cmp.Diff(want, rowsAfter(t, lines, draft)); d != "" {
						t.Errorf("without the mapping %t: %s\n%s\n%s", draft, d, strings.Join(lines, "\n"), find(lines, layout.Options{}))
					}
				}
			})
		}
	}
}
