package normalise

import (
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// besideTerm is one of them in a table.
type besideTerm struct {
	slot  slot
	words *vocabulary.List
}

func (p *plan) addBeside(x *Context) {
	for _, term := range vocabulary.BesideTerms {
		if words := x.Words[term]; words != nil {
			p.beside = append(p.beside, besideTerm{p.slot(term), words})
		}
	}
}

// said is a value that a text gives of one term.
type said struct {
	slot  slot
	value string
}

// several reads a text that says something of several terms: a word that
// belongs to another one, or words that are each known and each of a term of
// its own. It gives nil for any other.
func (p *plan) several(col *column, text string) []said {
	if !slices.Contains(vocabulary.BesideTerms, col.Meaning.Term) || len(col.Meaning.Vocabulary) > 0 && mapped(col.Meaning.Vocabulary, text) {
		return nil
	}
	pieces := vocabulary.Pieces(text)
	if len(pieces) > len(p.beside) || strings.Contains(text, "?") || vocabulary.Denies(text) {
		return nil
	}
	if len(pieces) == 1 {
		if both := p.glued(col, pieces[0]); both != nil {
			return both
		}
	}
	var out []said
	for _, piece := range pieces {
		one, ok := p.saysOf(col, piece)
		if !ok || slices.ContainsFunc(out, func(s said) bool { return s.slot == one.slot }) {
			return nil
		}
		out = append(out, one)
	}
	if len(out) == 1 && out[0].slot == col.slot {
		return nil // a plain word
	}
	return out
}

// glued reads a code of two or three capitals that the column's list does not
// have as the codes of two terms, as AF for an adult female, where there is one
// way only; else it gives nil.
func (p *plan) glued(col *column, code string) []said {
	if len(code) < 2 || len(code) > 3 || strings.Trim(code, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != "" || col.words.Elsewhere(code) != "" {
		return nil
	}
	if _, known, _ := col.words.Known(code, nil); known {
		return nil
	}
	var both []said
	for i := 1; i < len(code); i++ {
		a, one := p.codeOf(code[:i])
		b, two := p.codeOf(code[i:])
		switch {
		case !one || !two || a.slot == b.slot || a.slot != col.slot && b.slot != col.slot:
			continue
		case both != nil:
			return nil
		}
		both = []said{a, b}
	}
	return both
}

// codeOf tells of which one of the terms beside each other a code is.
func (p *plan) codeOf(code string) (of said, ok bool) {
	for _, b := range p.beside {
		if value, known, problem := b.words.Known(code, nil); known && problem == nil && value != "" {
			if ok {
				return of, false
			}
			of, ok = said{b.slot, value}, true
		}
	}
	return of, ok
}

func mapped(words map[string]string, text string) bool {
	_, ok := words[strings.TrimSpace(text)]
	return ok
}

// saysOf tells of which term a word is: of the column's own if it knows it,
// else of another one. A single letter counts as another's only where the
// column's list says so: "J" under Sex.
func (p *plan) saysOf(col *column, piece string) (said, bool) {
	if value, ok, problem := col.words.Known(piece, col.Meaning.Vocabulary); ok && problem == nil && value != "" {
		return said{col.slot, value}, true
	}
	other := col.words.Elsewhere(piece)
	for _, b := range p.beside {
		if b.slot == col.slot || other != "" && p.names[b.slot] != other || other == "" && len([]rune(vocabulary.Fold(piece))) < 3 {
			continue
		}
		if value, ok, problem := b.words.Known(piece, nil); ok && problem == nil && value != "" && !(col.Meaning.Term == "reproductiveCondition" && slices.Contains(unborn, value)) {
			return said{b.slot, value}, true
		}
	}
	return said{}, false
}

// unborn are the stages that are in a mother: "embryos" as her condition is not her stage.
var unborn = []string{"egg", "embryo"}

// saidBeside reports whether a value stands in the column of another term, so
// that a column of its own has the word.
func (r *row) saidBeside(col *column, v *record.Value) bool {
	i := r.cellAt(int(v.Row), v.Column.Column)
	return i >= 0 && r.plan.columns[i].Meaning.Role == record.Term && r.plan.columns[i].slot != col.slot
}

// fillBeside puts what a cell says of other terms, where they have no value of
// a cell of their own. Columns of their own that come later win.
func (r *row) fillBeside(col *column, several []said, c *record.Cell) {
	own := ""
	for _, s := range several {
		if s.slot == col.slot {
			own = s.value
			continue
		}
		if old := r.value(s.slot); old == nil || old.Text == "" || r.isDefault(old) {
			r.put(s.slot, s.value, c.Verbatim(), r.at(c))
		}
	}
	if old := r.value(col.slot); own == "" && old != nil && old.Text != "" && old.From().Row > 0 {
		return // another column has said it
	}
	r.put(col.slot, own, c.Verbatim(), r.at(c))
}
