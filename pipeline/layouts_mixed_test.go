package pipeline_test

import (
	"math/rand/v2"
	"testing"
)

// mixedLayouts put several habits of writing into one sheet.
var mixedLayouts = []struct {
	name  string
	write func([]caught) pageOf
}{
	{"title+sections+unit row+ditto", func(all []caught) (p pageOf) {
		p.add("Book 4, Marrow Creek")
		p.add("Observer:", observer)
		p.add()
		p.add("Field No", "Date", "Species", "Sex", "SVL", "Tibia", "Gross", "Bag")
		p.add("", "", "", "", "(mm)", "(mm)", "(g)", "(g)")
		for _, part := range bySite(all) {
			p.add("Site: " + part[0].site)
			for i, c := range part {
				row := without(c.row(), 2)
				if i > 0 && row[2] == part[i-1].species {
					row[2] = "\""
				}
				p.add(row...)
			}
		}
		return p
	}},
	{"per site tables with group headings and means", func(all []caught) (p pageOf) {
		p.add("Observer: " + observer)
		p.add()
		for _, part := range bySite(all) {
			p.add("Site: " + part[0].site)
			p.add("Field No", "Date", "Species", "Sex", "Lengths (mm)", "", "Mass (g)", "")
			p.add("", "", "", "", "SVL", "Tibia", "Gross", "Bag")
			for _, c := range part {
				p.add(without(c.row(), 2)...)
			}
			p.add("Mean", "", "", "", "60.1", "30.2", "", "")
			p.add()
		}
		p.add("End of the book.")
		return p
	}},
	{"no blank between tables", func(all []caught) (p pageOf) {
		for _, part := range bySite(all) {
			p.add("Site: " + part[0].site)
			p.add(without(headed("Observer"), 2)...)
			for _, c := range part {
				p.add(without(append(c.row(), observer), 2)...)
			}
		}
		return p
	}},
	{"site and observer in two cells above each", func(all []caught) (p pageOf) {
		for _, part := range bySite(all) {
			p.add("Site", part[0].site)
			p.add("Observer", observer)
			p.add(without(caughtColumns, 2)...)
			for _, c := range part {
				p.add(without(c.row(), 2)...)
			}
			p.add()
		}
		return p
	}},
	{"date and site sections", func(all []caught) (p pageOf) {
		p.add(without(headed("Observer"), 1, 2)...)
		last := ""
		for i, c := range all {
			if i == 0 || c.site != all[i-1].site {
				p.add("Site: " + c.site)
				last = ""
			}
			if c.date != last {
				p.add("Date: " + c.date)
				last = c.date
			}
			p.add(without(append(c.row(), observer), 1, 2)...)
		}
		return p
	}},
	{"transposed with title and observer", func(all []caught) pageOf {
		p := pageOf{{"Book 4"}, {"Observer:", observer}, {}}
		for k, h := range caughtColumns {
			r := []string{h}
			for _, c := range all {
				r = append(r, c.row()[k])
			}
			p.add(r...)
		}
		return p
	}},
	{"ditto in every repeated cell", func(all []caught) (p pageOf) {
		p.add(headed("Observer")...)
		for i, c := range all {
			row := append(c.row(), observer)
			for k := 1; k < 5; k++ {
				if i > 0 && row[k] == append(all[i-1].row(), observer)[k] {
					row[k] = "\""
				}
			}
			p.add(row...)
		}
		return p
	}},
	{"blank rows within", func(all []caught) (p pageOf) {
		p.add(headed("Observer")...)
		for i, c := range all {
			if i > 0 && i%5 == 0 {
				p.add()
			}
			p.add(append(c.row(), observer)...)
		}
		return p
	}},
	{"long with sections", func(all []caught) (p pageOf) {
		p.add("Field No", "Date", "Species", "Sex", "Observer", "Trait", "Value", "Unit")
		for _, part := range bySite(all) {
			p.add("Site: " + part[0].site)
			for _, c := range part {
				for _, m := range [][3]string{{"SVL", c.svl, "mm"}, {"Tibia", c.tibia, "mm"}, {"gross", c.gross, "g"}, {"tare", c.bag, "g"}} {
					p.add(c.number, c.date, c.species, c.sex, observer, m[0], m[1], m[2])
				}
			}
		}
		return p
	}},
	{"long, names carried", func(all []caught) (p pageOf) {
		p.add("Field No", "Date", "Site", "Species", "Sex", "Observer", "Trait", "Value", "Unit")
		for _, c := range all {
			for i, m := range [][3]string{{"SVL", c.svl, "mm"}, {"Tibia", c.tibia, "mm"}, {"gross", c.gross, "g"}, {"tare", c.bag, "g"}} {
				if i == 0 {
					p.add(c.number, c.date, c.site, c.species, c.sex, observer, m[0], m[1], m[2])
				} else {
					p.add("\"", "\"", "\"", "\"", "\"", "\"", m[0], m[1], m[2])
				}
			}
		}
		return p
	}},
}

func TestMixedLayoutsDoNotMatter(t *testing.T) {
	all := catch(rand.New(rand.NewPCG(5, 1993)))
	want := archiveOf(t, csvOf(t, layouts[0].write(all)))
	for _, l := range mixedLayouts {
		t.Run(l.name, func(t *testing.T) { sameArchive(t, want, archiveOf(t, csvOf(t, l.write(all)))) })
	}
}
