package mapping

import (
	"maps"
	"slices"
	"strings"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// telling moves what the rows of a long table say of the animal itself ("Sex: F"
// among its measurements) into columns of the terms that the mapping names for
// it under words.
type telling struct {
	name, value int
	columns     map[string]int // by what the column of names says
}

// tell adds the columns and moves the cells of the first rows.
func (a *application) tell() {
	at := func(role record.Role) int {
		return slices.IndexFunc(a.t.Columns[:a.own], func(c record.Column) bool { return c.Meaning.Role == role })
	}
	name, value := at(record.NameColumn), at(record.ValueColumn)
	if name < 0 || value < 0 {
		return
	}
	know := draftKnowledge()
	words := a.t.Columns[value].Meaning.Vocabulary
	a.telling = telling{name, value, map[string]int{}}
	of := map[string]int{} // columns by term
	for _, called := range slices.Sorted(maps.Keys(words)) {
		term := words[called]
		if know.values[term].Term == "" {
			continue
		}
		if _, ok := of[term]; !ok {
			of[term] = len(a.t.Columns)
			a.t.Columns = append(a.t.Columns, record.Column{Heading: called, Parts: []string{called}, Number: a.t.Columns[value].Number,
				Meaning: record.Meaning{Role: record.Term, Term: term, Vocabulary: a.m.Words[term]}})
		}
		a.telling.columns[called] = of[term]
	}
	if len(of) == 0 {
		return
	}
	for r := range a.t.Rows {
		row := &a.t.Rows[r]
		row.Cells = append(slices.Clone(row.Cells), make([]record.Cell, len(of))...)
		a.telling.move(row)
	}
}

// move moves the value of a row that says something of the animal.
func (l *telling) move(row *record.TableRow) {
	if len(l.columns) == 0 {
		return
	}
	if k, ok := l.columns[strings.TrimSpace(row.Cells[l.name].Text)]; ok {
		row.Cells[k], row.Cells[l.value] = row.Cells[l.value], record.Cell{}
	}
}

// tellTerms finds the terms that rows of a long table are about by the headings
// that are known: Sex, Species. What names a measurement is none.
func (g *guesser) tellTerms() {
	name, value := g.withRole(record.NameColumn), g.withRole(record.ValueColumn)
	if name == nil || value == nil {
		return
	}
	said := map[string][]string{}
	for _, row := range g.table.Rows {
		called := strings.TrimSpace(row.Cells[name.columns[0]].Text)
		said[called] = append(said[called], strings.TrimSpace(row.Cells[value.columns[0]].Text))
	}
	words := map[string]string{}
	for called, texts := range said {
		if terms := g.know.termsCalled(called); len(terms) == 1 {
			words[called] = terms[0]
		} else if slices.Contains(terms, "scientificName") && !slices.ContainsFunc(texts, func(t string) bool { return t != "" && !g.know.latin(t) }) {
			words[called] = "scientificName"
		}
	}
	if len(words) > 0 {
		value.chosen.meaning.Vocabulary = words
	}
	g.carryAnimals()
}

// termsCalled returns the terms that a heading stands for; none for what may
// name a measurement.
func (k *knowledge) termsCalled(text string) (terms []string) {
	for _, h := range k.headings[vocabulary.Fold(text)] {
		switch {
		case h.Role != vocabulary.HeadingTerm || k.namesMeasurement(text):
			return nil
		case h.Weight >= 0.9 && !slices.Contains(terms, h.Value):
			terms = append(terms, h.Value)
		}
	}
	return terms
}

// namesMeasurement reports whether a text, less a unit, is what a measurement is
// called.
func (k *knowledge) namesMeasurement(text string) bool {
	if _, rest, ok := quantity.HeadingUnit(text); ok {
		text = rest
	}
	return len(vocabulary.MeasurementsCalled(text)) > 0
}

// carryAnimals lets a blank mean "as above" in the columns of a long table that
// say what is the same for all rows of an animal: those that are blank wherever
// one that tells animals apart is.
func (g *guesser) carryAnimals() {
	for _, id := range g.items {
		if id.chosen == nil || g.know.values[id.chosen.meaning.Term].Kind != kindIdentifier || !g.startsAnimals(id.columns[0]) {
			continue
		}
		for _, it := range g.items {
			if it.chosen != nil && it.chosen.meaning.Term != "" && g.blankWith(it.columns[0], id.columns[0]) {
				it.chosen.meaning.CarryDown = true
			}
		}
		return
	}
}

// startsAnimals reports whether a column holds something in its first row and
// nothing in a third of the others at least, and never the same twice in a row.
func (g *guesser) startsAnimals(column int) bool {
	filled, last := 0, ""
	for r, row := range g.table.Rows {
		text := strings.TrimSpace(row.Cells[column].Text)
		if r == 0 && text == "" || text != "" && text == last {
			return false
		}
		if text != "" {
			filled, last = filled+1, text
		}
	}
	return filled > 1 && 3*filled <= 2*len(g.table.Rows)
}

// blankWith reports whether a column is blank in every row in which another is,
// and holds something in the first.
func (g *guesser) blankWith(column, other int) bool {
	for r, row := range g.table.Rows {
		c := &row.Cells[column]
		if r == 0 && c.Empty() || row.Cells[other].Empty() && !c.Empty() && !c.Carried {
			return false
		}
	}
	return true
}
