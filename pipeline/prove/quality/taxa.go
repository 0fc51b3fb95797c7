package quality

import (
	"errors"
	"io"
	"slices"
	"strings"
)

// Taxa is a list of names: a Darwin Core Taxon table.
type Taxa struct {
	Name   string // of the list, for comments
	taxa   []*taxon
	byName map[string][]*taxon // by name without author
	byID   map[string][]*taxon
	ranked map[string]map[string][]*taxon // rows by rank and the name that they have at it
}

// taxon is a row of the list.
type taxon struct {
	name, author, rank   string
	id, nameID, accepted string // accepted is an identifier or a name; "" where the row is accepted
	parent               string
	at                   map[string]string // names of the classification by rank
}

// classification is the ranks that Darwin Core has terms for, highest first.
var classification = strings.Fields("kingdom phylum class order superfamily family subfamily tribe subtribe genus")

// ReadTaxa reads a table with the heading scientificName and, where they are
// known, scientificNameAuthorship, taxonRank, taxonID, scientificNameID,
// acceptedNameUsage or acceptedNameUsageID, parentNameUsageID and the terms of
// the classification.
func ReadTaxa(r io.Reader, name string) (*Taxa, error) {
	t := &Taxa{Name: name, byName: map[string][]*taxon{}, byID: map[string][]*taxon{}, ranked: map[string]map[string][]*taxon{}}
	err := readTable(r, func(_ int, row Record) error {
		if row.has("scientificName") {
			t.add(row)
		}
		return nil
	})
	if err == nil && len(t.taxa) == 0 {
		err = errors.New("no row has a scientificName")
	}
	if err != nil {
		return nil, err
	}
	for _, x := range t.taxa {
		t.inherit(x)
	}
	for _, x := range t.taxa {
		for rank, name := range x.at {
			if t.ranked[rank] == nil {
				t.ranked[rank] = map[string][]*taxon{}
			}
			t.ranked[rank][name] = append(t.ranked[rank][name], x)
		}
	}
	return t, nil
}

func (t *Taxa) add(row Record) {
	x := &taxon{author: oneSpaced(row("scientificNameAuthorship")), rank: strings.ToLower(row.first("taxonRank")),
		id: row.first("taxonID"), nameID: row.first("scientificNameID"), parent: row.first("parentNameUsageID"),
		accepted: row.first("acceptedNameUsageID", "acceptedNameUsage"), at: map[string]string{}}
	x.name, x.author = splitAuthor(oneSpaced(row("scientificName")), x.author)
	for _, rank := range classification {
		if row.has(rank) {
			x.at[rank] = trim(row(rank))
		}
	}
	if x.accepted == x.id || x.accepted == x.name {
		x.accepted = ""
	}
	if slices.Contains(classification, x.rank) {
		x.at[x.rank] = x.name
	}
	t.taxa = append(t.taxa, x)
	t.byName[x.name] = append(t.byName[x.name], x)
	for _, id := range []string{x.id, x.nameID} {
		if id != "" && !slices.Contains(t.byID[id], x) {
			t.byID[id] = append(t.byID[id], x)
		}
	}
}

// inherit fills in what the parents of a taxon say of its classification.
func (t *Taxa) inherit(x *taxon) {
	for up, steps := t.one(x.parent), 0; up != nil && steps < 40; up, steps = t.one(up.parent), steps+1 {
		for rank, name := range up.at {
			if _, own := x.at[rank]; !own {
				x.at[rank] = name
			}
		}
	}
}

// one returns the taxon with an identifier, if there is one only.
func (t *Taxa) one(id string) *taxon {
	if found := t.byID[id]; id != "" && len(found) == 1 {
		return found[0]
	}
	return nil
}

func oneSpaced(text string) string { return strings.Join(strings.Fields(text), " ") }

// splitAuthor takes the author off a name. Where none is given beside, the
// words of the name end before the first that is neither the first word, an
// epithet, a rank mark nor a subgenus in brackets.
func splitAuthor(name, author string) (string, string) {
	if author != "" {
		return strings.TrimSpace(strings.TrimSuffix(name, author)), author
	}
	words := strings.Fields(name)
	n := 1
	for ; n < len(words); n++ {
		w := words[n]
		subgenus := n == 1 && len(words) > 2 && strings.HasPrefix(w, "(") && strings.HasSuffix(w, ")") && isEpithet(words[2])
		if !subgenus && w != "×" && !rankMarks[strings.TrimSuffix(w, ".")] && (!isEpithet(w) || authorWords[w]) {
			break
		}
	}
	n = min(n, len(words))
	return strings.Join(words[:n], " "), strings.Join(words[n:], " ")
}

// sameAuthor compares authors and allows for abbreviation ("Adans." for
// Adanson) and for a year that one of them leaves out.
func sameAuthor(a, b string) bool {
	x, y := authorNames(a), authorNames(b)
	if len(x.names) != len(y.names) || x.year != "" && y.year != "" && x.year != y.year {
		return false
	}
	for i := range x.names {
		p, q := x.names[i], y.names[i]
		short := strings.HasSuffix(p, ".") && strings.HasPrefix(q, strings.TrimSuffix(p, ".")) ||
			strings.HasSuffix(q, ".") && strings.HasPrefix(p, strings.TrimSuffix(q, "."))
		if p != q && !short {
			return false
		}
	}
	return true
}

type author struct {
	names []string
	year  string
}

func authorNames(text string) author {
	var out author
	for _, w := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return strings.ContainsRune(" ,()[]&;", r) }) {
		switch _, isYear := integer(w); {
		case isYear:
			out.year = w
		case w != "and" && w != "et":
			out.names = append(out.names, w)
		}
	}
	return out
}

// matches returns the taxa that a name means: by its words, and by its author
// where one is given.
func (t *Taxa) matches(name, given string) []*taxon {
	words, own := splitAuthor(oneSpaced(name), "")
	if given = oneSpaced(given); given == "" {
		given = own
	}
	found := t.byName[words]
	if given == "" {
		return found
	}
	return slices.DeleteFunc(slices.Clone(found), func(x *taxon) bool { return x.author != "" && !sameAuthor(x.author, given) })
}

// agreeing leaves of some taxa those that what a record says of its
// classification does not contradict.
func (t *Taxa) agreeing(found []*taxon, r Record) []*taxon {
	return slices.DeleteFunc(slices.Clone(found), func(x *taxon) bool { return !t.agrees(x, r, classification) })
}

func (t *Taxa) agrees(x *taxon, r Record, ranks []string) bool {
	for _, rank := range ranks {
		said, known := trim(r(rank)), x.at[rank]
		if said != "" && known != "" && said != known && t.acceptedAt(rank, said) != known {
			return false
		}
	}
	return true
}

// acceptedAt returns the accepted name of a synonym at a rank.
func (t *Taxa) acceptedAt(rank, name string) string {
	for _, x := range t.byName[name] {
		if x.rank != rank || x.accepted == "" {
			continue
		}
		if a := t.one(x.accepted); a != nil {
			return a.name
		}
		accepted, _ := splitAuthor(oneSpaced(x.accepted), "")
		return accepted
	}
	return name
}
