package layout

import (
	"cmp"
	"strings"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// Section is the name of a label that came from a line without a name of its
// own: a section row, or a title that is all that tells tables apart. A mapping
// may give it a meaning like any heading. A line that is a date is named
// SectionDate, and what it says of that day SectionRemarks.
const (
	Section        = "section"
	SectionDate    = "date"
	SectionRemarks = "event remarks"
)

// firstLabel is a label above the first table.
type firstLabel struct {
	record.Label
	apart bool // a blank row parts it from what is nearest to the headings
}

// inherit returns a further table the labels above the first that hold for the
// whole sheet: those that stand apart from the headings; and where the further
// table says some of the names anew ("Species: …"), those that it does not say
// ("Site: …"). A table under the same headings with no names of its own has
// them all, and where fewer lines without a name are above it, those that tell
// of the whole sheet: sentences, and what states a unit.
func (f *finder) inherit(h head, out [][]record.Label, own []placed) {
	if h.main == f.heads[0].main {
		return
	}
	said, anew, named, lines := map[string]bool{}, false, false, 0
	for _, p := range own {
		said[fold(p.Name)] = true
		named = named || p.Name != ""
		if p.Name == "" {
			lines++
		}
	}
	for name := range f.firstNames {
		anew = anew || said[name]
	}
	goesOn := !named && f.saysAs(h, f.heads[0])
	for _, l := range f.first {
		switch {
		case l.Name == "":
			if !goesOn || lines >= f.firstLines || !tellsOfAll(l.Cell.Text) {
				continue
			}
		case said[fold(l.Name)] || !(l.apart || anew || goesOn):
			continue
		}
		for t := range out {
			out[t] = append(out[t], l.Label)
		}
		f.note("label-shared", f.at(&l.Cell), l.Cell.Text, "%q is above the first table and also applies to the one with its headings in %s", cmp.Or(l.Name, l.Cell.Text), f.place(h.main))
	}
}

// tellsOfAll reports whether a line without a name is a sentence or states a unit.
func tellsOfAll(text string) bool {
	_, _, unit := quantity.HeadingUnit(text)
	return unit || isSentence(text)
}

// saysAs reports whether at least half of the headings of h are headings of
// the other.
func (f *finder) saysAs(h, other head) bool {
	g := f.grid
	had := map[string]bool{}
	for _, c := range g.filled(other.main, g.all) {
		had[fold(g.text(other.main, c))] = true
	}
	n := 0
	cols := g.filled(h.main, g.all)
	for _, c := range cols {
		if had[fold(g.text(h.main, c))] {
			n++
		}
	}
	return n*2 >= len(cols)
}

// nameSections turns the titles of tables with the same headings into labels
// where nothing else tells the tables apart: "Pond A" over one and "Pond B"
// over the other is what their rows differ in. A sentence names nothing.
func (f *finder) nameSections() {
	same := map[string][]int{}
	for i := range f.out {
		var parts []string
		for _, c := range f.out[i].Columns {
			parts = append(parts, fold(c.Heading))
		}
		k := strings.Join(parts, "\x1f")
		same[k] = append(same[k], i)
	}
	for _, tables := range same {
		if len(tables) < 2 {
			continue
		}
		titles := make([]*record.Label, len(tables))
		differ := true
		seen := map[string]bool{}
		for k, i := range tables {
			titles[k] = title(&f.out[i])
			if titles[k] == nil || isSentence(titles[k].Cell.Text) || seen[fold(titles[k].Cell.Text)] {
				differ = false
				break
			}
			seen[fold(titles[k].Cell.Text)] = true
		}
		for _, l := range titles {
			if differ {
				*l = sectionLabel(l.Cell)
			}
		}
	}
}

// title is the last line without a name above a table.
func title(t *record.Table) *record.Label {
	for i := len(t.Labels) - 1; i >= 0; i-- {
		if t.Labels[i].Name == "" {
			return &t.Labels[i]
		}
	}
	return nil
}

func sectionLabel(c record.Cell) record.Label {
	if isDay(&c) {
		return record.Label{Name: SectionDate, Cell: c}
	}
	return record.Label{Name: Section, Cell: c}
}
