package taxon

import (
	"iter"
	"slices"
)

// Accepted returns the rows of accepted names in the order of the file, for lists
// that people choose from. The caller may change them.
func (c *Checklist) Accepted() []Entry {
	var out []Entry
	for e := range c.accepted() {
		out = append(out, *e)
	}
	return out
}

// accepted are the rows of accepted names.
func (c *Checklist) accepted() iter.Seq[*Entry] {
	return func(yield func(*Entry) bool) {
		for i := range c.Len() {
			if e := &c.entries[i]; e.accepted == e && !yield(e) {
				return
			}
		}
	}
}

// Called returns the other names that the checklist has for a taxon: the accepted
// name, synonyms, everyday names and codes.
func (c *Checklist) Called(name string) []string {
	var out []string
	m := c.Match(name)
	for i := range c.Len() {
		if e := &c.entries[i]; m.State == Matched && e.accepted != nil && e.accepted.parsed.String() == m.ScientificName {
			out = append(out, e.words()...)
		}
	}
	return out
}

// Words returns all that the checklist has names for, and their authors, each once.
func (c *Checklist) Words() []string {
	var out []string
	for i := range c.Len() {
		e := &c.entries[i]
		out = append(append(out, e.words()...), e.Authorship, e.Kingdom, e.Phylum, e.Class, e.Order, e.Family, e.Rank)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func (e *Entry) words() []string {
	out := []string{e.parsed.String()}
	for _, field := range []string{e.Vernacular, e.Code} {
		out = slices.AppendSeq(out, bars(field))
	}
	return out
}
