package remedy

import (
	"iter"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/schemas"
)

// Wish says which findings get a proposal.
type Wish struct {
	Level record.Level                 // and above
	Veil  func(at record.Address) bool // cells whose text must not be written down; may be nil
	// Nameless are cells of captures whose key must not be written down; may be nil.
	Nameless func(at record.Address) bool
}

// Proposal is a row for a person to decide on: a remedy without an action, with
// the doubt's sentence, and the suggestion as replacement.
type Proposal struct {
	Remedy
	Level  record.Level
	Row    []Beside // the row of the first cell, as the sheet has it
	Before []string // captures of the same animal before this one, a line each
}

// RowSaid writes the row of the sheet as one text, a cell a line.
func (p *Proposal) RowSaid() string {
	said := make([]string, len(p.Row))
	for i, c := range p.Row {
		said[i] = c.Heading + ": " + c.Text
	}
	return short(strings.Join(said, "\n"))
}

// Beside is a cell of the row that a proposal is about.
type Beside struct {
	Cell     string // letters of its column
	Heading  string
	Text     string // as written
	Doubtful bool   // the proposal is about it
	At       record.Address
}

// Cells are the cells that rows may be proposed for, of the findings that get
// one.
func (w Wish) Cells(f *record.Finding) []record.Address {
	if f.Level < w.Level || f.At.Row == 0 {
		return nil
	}
	return f.Cells()
}

// Propose makes rows for a person to decide on: one for the cells of a finding
// that are decided on as one, with what is there and what the suggestion
// would make of it, and no action. What the survey has a row for already is left
// out. The search has been for the remedies given and for the cells of the
// findings, in tables as they are after the remedies.
func Propose(fs iter.Seq2[record.Finding, error], s *Search, w Wish) ([]Proposal, error) {
	have := map[Answer]bool{}
	for i := range s.remedies {
		r := &s.remedies[i]
		found, _ := s.find(i)
		for _, at := range append(found, r.At) {
			have[Answer{r.Rule, at}] = true
		}
	}
	var out []Proposal
	for f, err := range fs {
		if err != nil {
			return nil, err
		}
		cells := w.Cells(&f)
		if len(cells) == 0 || f.Spread == record.Together && have[Answer{f.Rule, f.At}] {
			continue
		}
		cells = slices.DeleteFunc(cells, func(at record.Address) bool { return have[Answer{f.Rule, at}] })
		for _, at := range cells {
			have[Answer{f.Rule, at}] = true
		}
		stage := schemas.RuleOf()[f.Rule].Stage // words and names are decided on word by word
		for _, some := range s.rowsOf(cells, (stage == "vocabulary" || stage == "taxon") && f.Spread == record.Each) {
			if r, ok := s.propose(&f, some, &w); ok {
				out = append(out, Proposal{Remedy: r, Level: f.Level})
			}
		}
	}
	sorting.StableFunc(out, func(a, b Proposal) int { return a.At.Compare(b.At) })
	return out, nil
}

// rowsOf parts cells so that each part goes into one row of the table: those of
// one sheet, where it is asked those with one word, and no more than its cells
// can hold.
func (s *Search) rowsOf(cells []record.Address, byWord bool) [][]record.Address {
	type group struct{ file, sheet, word string }
	var out [][]record.Address
	open, size := map[group]int{}, map[group]int{}
	for _, at := range cells {
		g := group{file: at.File, sheet: at.Sheet}
		long := len(" ; XFD1048576")
		if c := s.cell(at); c != nil {
			long = max(long, len(c.text)+len(" | "))
			if byWord {
				g.word = c.text
			}
		}
		i, is := open[g]
		if size[g] += long; !is || size[g] > maxText || at.Column == 0 {
			i = len(out)
			open[g], size[g] = i, long
			out = append(out, nil)
		}
		out[i] = append(out[i], at)
	}
	return out
}

// propose makes the row of some cells. A finding that is of no cell of a table
// can only be confirmed.
func (s *Search) propose(f *record.Finding, cells []record.Address, w *Wish) (Remedy, bool) {
	at := cells[0]
	r := Remedy{At: at, Rule: f.Rule, Doubt: f.Reason}
	c := s.cell(at)
	if c == nil {
		r.Found = f.Value
		return r, at.Column > 0
	}
	if len(cells) > 1 {
		r.Also = cells[1:]
	}
	if w.Veil != nil && slices.ContainsFunc(cells, w.Veil) {
		return r, true
	}
	if len(cells) > 1 {
		r.Found, r.Replacement = s.texts(f, cells)
		return r, true
	}
	r.Found, r.Replacement = c.text, f.Suggestion
	if at.Column == 0 {
		r.Replacement = ""
	}
	if c.key != "" && len(c.rows) == 1 && (w.Nameless == nil || !w.Nameless(at)) {
		if r.Capture = c.key; at.Column > 0 {
			r.Field = c.field
		}
	}
	return r, true
}

// texts are what several cells contain, and what they would be if all of them
// followed the suggestion.
func (s *Search) texts(f *record.Finding, cells []record.Address) (found, replacement string) {
	corrects := map[record.Address]string{}
	for _, m := range f.Rewrites {
		corrects[m.At] = m.Text
	}
	held, corrected := make([]string, len(cells)), make([]string, len(cells))
	all := len(f.Rewrites) > 0
	for i, at := range cells {
		if c := s.cell(at); c != nil {
			held[i] = c.text
		}
		text, is := corrects[at]
		corrected[i], all = text, all && is
	}
	found = List(held)
	switch {
	case all:
		return found, List(corrected)
	case f.Spread == record.Each && !slices.ContainsFunc(held, func(t string) bool { return t != held[0] }):
		return found, listEscape.Replace(f.Suggestion)
	}
	return found, ""
}
