package taxon

import (
	"cmp"
	"fmt"
	"iter"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
)

// Checklist is a checked list of names. It does not change once read and may
// be shared; the nil Checklist knows no name and only parses.
type Checklist struct {
	entries    []Entry
	names      map[string]*Entry   // key of the name to its row
	vernacular map[string][]*Entry // letters of the vernacular name to accepted entries
	codes      map[string]*Entry   // letters of the code to an accepted entry
	genera     map[string][]*Entry // key of the genus to accepted entries below it
	epithets   map[string][]*Entry // key of epithets to the rows that bear them
	higher     map[string]*Entry   // key of a family, order, … to an entry cut down to it
	spelt      []spelling          // what a near spelling may be
}

// spelling is one way in which an entry may be written.
type spelling struct {
	key   string
	text  string
	entry *Entry // accepted
}

// Len returns the number of rows.
func (c *Checklist) Len() int {
	if c == nil {
		return 0
	}
	return len(c.entries)
}

type builder struct {
	file     string
	columns  map[string]int
	mistakes []error
	c        *Checklist
}

func (b *builder) mistake(e *Entry, column, format string, args ...any) {
	b.mistakes = append(b.mistakes, &lines.Error{File: b.file, Line: e.line, Column: record.ColumnLetters(b.columns[column]), Reason: fmt.Sprintf(format, args...)})
}

// build checks the entries and indexes them. It goes on after a mistake so
// that all are reported at once.
func (b *builder) build(entries []Entry) *Checklist {
	b.c = &Checklist{entries: entries, names: map[string]*Entry{}, vernacular: map[string][]*Entry{}, codes: map[string]*Entry{},
		genera: map[string][]*Entry{}, epithets: map[string][]*Entry{}, higher: map[string]*Entry{}}
	for i := range entries {
		b.addName(&entries[i])
	}
	for i := range entries {
		b.resolve(&entries[i])
	}
	for i := range entries {
		if e := &entries[i]; e.accepted != nil {
			b.addWords(e)
			b.addGroups(e)
		}
	}
	return b.c
}

// addName parses the name of a row and enters it.
func (b *builder) addName(e *Entry) {
	n, ok := parse(e.Name, false)
	switch {
	case e.Name == "":
		b.mistake(e, "scientificName", "the name is missing; write it or remove the row")
		return
	case !ok, n.short, n.doubt != certain, n.unnamed:
		b.mistake(e, "scientificName", "%q is not a full scientific name; write genus and species without qualifiers", e.Name)
		return
	}
	e.parsed = n
	e.Authorship, e.Rank = cmp.Or(e.Authorship, n.author), cmp.Or(e.Rank, n.rank())
	if first, twice := b.c.names[n.key()]; twice {
		b.mistake(e, "scientificName", "%s is already in line %d; keep one of the two rows", n, first.line)
		return
	}
	b.c.names[n.key()] = e
}

// resolve finds the accepted entry of a row.
func (b *builder) resolve(e *Entry) {
	if e.parsed.genus == "" {
		return
	}
	if e.AcceptedName == "" {
		e.accepted = e
		return
	}
	n, _ := parse(e.AcceptedName, false)
	target := b.c.names[n.key()]
	switch {
	case target == nil:
		b.mistake(e, "acceptedNameUsage", "%q is not a name of this checklist; add a row for it or correct the spelling", e.AcceptedName)
	case target == e:
		e.accepted = e
	case target.AcceptedName != "" && keyOf(target.AcceptedName) != target.parsed.key():
		b.mistake(e, "acceptedNameUsage", "%s is itself a synonym (line %d, of %s); give the accepted name", target.parsed, target.line, target.AcceptedName)
	default:
		e.accepted = target
	}
}

func keyOf(text string) string {
	n, _ := parse(text, false)
	return n.key()
}

// addWords enters the vernacular names and codes of a row; those of a synonym
// stand for its accepted name.
func (b *builder) addWords(e *Entry) {
	c := b.c
	for word := range bars(e.Vernacular) {
		k := letters(word)
		if k != "" && !slices.Contains(c.vernacular[k], e.accepted) {
			c.vernacular[k] = append(c.vernacular[k], e.accepted)
			c.spelt = append(c.spelt, spelling{k, word, e.accepted})
		}
	}
	for code := range bars(e.Code) {
		k := letters(code)
		if other := c.codes[k]; other != nil && other != e.accepted {
			b.mistake(e, "code", "the code %s already means %s (line %d); give each name its own", code, other.parsed, other.line)
			continue
		}
		if k != "" {
			c.codes[k] = e.accepted
		}
	}
	c.spelt = append(c.spelt, spelling{e.parsed.key(), e.parsed.String(), e.accepted})
}

func bars(field string) iter.Seq[string] {
	return func(yield func(string) bool) {
		for word := range strings.SplitSeq(field, "|") {
			if word = strings.TrimSpace(word); word != "" && !yield(word) {
				return
			}
		}
	}
}

// addGroups enters the genus of a row and the groups above it.
func (b *builder) addGroups(e *Entry) {
	c := b.c
	if e.parsed.species != "" {
		k := key(e.parsed.species, e.parsed.infra)
		c.epithets[k] = append(c.epithets[k], e)
	}
	if e.accepted != e {
		return
	}
	if e.parsed.species != "" {
		k := key(e.parsed.genus)
		c.genera[k] = append(c.genera[k], e)
	}
	var cut Groups
	for i, group := range e.ranked() {
		*cut.ranked()[i].name = *group.name
		if n, ok := parse(*group.name, false); ok && n.species == "" && c.higher[n.key()] == nil {
			c.higher[n.key()] = &Entry{Name: n.genus, Rank: group.rank, Groups: cut, parsed: name{genus: n.genus}}
		}
	}
}
