package withhold

import (
	"strings"
	"unicode/utf8"

	edlib "github.com/hbollon/go-edlib"

	"spadefoot/pipeline/record"
)

// Lineage is what a checklist knows of a name, by Darwin Core term:
// scientificName and the ranks above it.
type Lineage map[string]string

// ranks are the terms of the groups that a taxon lies in.
var ranks = []string{"genus", "family", "order", "class", "phylum", "kingdom"}

// named are the terms that a taxon may be named in.
var named = append([]string{"scientificName", "acceptedNameUsage", "originalNameUsage", "parentNameUsage", "genericName",
	"subgenus", "subtribe", "tribe", "subfamily", "superfamily", "vernacularName"}, ranks...)

// loose are terms with free text that a taxon may be named in.
var loose = []string{"verbatimIdentification", "previousIdentifications", "identificationQualifier", "higherClassification"}

// taxon is a rule with the names and groups that it is known by.
type taxon struct {
	*Rule
	names   []string // folded
	phrases []phrase
	above   map[string]bool // folded names of the groups that hold it
	known   bool            // to the checklist
}

func newTaxon(r *Rule, lookup func(string) (Lineage, bool)) taxon {
	t := taxon{Rule: r, names: []string{fold(r.Taxon)}, above: map[string]bool{}}
	if genus, _, species := strings.Cut(fold(r.Taxon), " "); species {
		t.above[genus] = true
	}
	if lookup != nil {
		l, known := lookup(r.Taxon)
		t.known = known
		if name := fold(l["scientificName"]); known && name != "" && name != t.names[0] {
			t.names = append(t.names, name)
		}
		for _, rank := range ranks {
			if g := fold(l[rank]); known && g != "" && g != t.names[0] {
				t.above[g] = true
			}
		}
	}
	for _, n := range t.names {
		t.phrases = append(t.phrases, phraseOf(n))
	}
	return t
}

// verdict says how sure it is that a capture is of a taxon.
type verdict uint8

const (
	other verdict = iota
	maybe         // the name is too coarse, misspelled or unread
	sure
)

// namedBy is all that a capture is judged by.
func namedBy(c *record.Capture) string {
	var b strings.Builder
	for _, terms := range [][]string{named, loose, {"specificEpithet", "taxonRank"}} {
		for _, term := range terms {
			b.WriteString(c.Get(term))
			b.WriteByte('\x1f')
		}
	}
	if v := c.Value("scientificName"); v != nil {
		b.WriteString(v.Verbatim)
	}
	return b.String()
}

// judge compares the names of a capture with the taxon.
func (t *taxon) judge(c *record.Capture, lookup func(string) (Lineage, bool)) verdict {
	for _, term := range named {
		if t.is(c.Get(term)) {
			return sure
		}
	}
	for _, text := range t.texts(c) {
		if t.is(text) || contains(tokens(text), t.phrases) {
			return sure
		}
		if lookup != nil {
			if l, known := lookup(text); known && t.is(l["scientificName"]) {
				return sure // an older name, or a code
			}
		}
	}
	name := fold(c.Get("scientificName"))
	if name == "" {
		return maybe
	}
	first, rest, _ := strings.Cut(name, " ")
	if coarse(c, rest) && (t.above[first] || t.above[name] || t.unplaced(c)) {
		return maybe
	}
	known := false
	if lookup != nil {
		_, known = lookup(c.Get("scientificName"))
	}
	if !known && t.near(name, lookup != nil) {
		return maybe
	}
	return other
}

// texts are the free texts that may name the taxon, as written too.
func (t *taxon) texts(c *record.Capture) []string {
	var out []string
	for _, term := range loose {
		if s := c.Get(term); s != "" {
			out = append(out, s)
		}
	}
	if v := c.Value("scientificName"); v != nil && v.Verbatim != "" {
		out = append(out, v.Verbatim)
	}
	return out
}

// is reports whether a text is a name of the taxon or of something within it.
func (t *taxon) is(text string) bool {
	text = fold(text)
	for _, n := range t.names {
		if text == n || strings.HasPrefix(text, n+" ") {
			return true
		}
	}
	return false
}

// coarse reports whether a name is of a genus or a larger group.
func coarse(c *record.Capture, rest string) bool {
	return c.Get("specificEpithet") == "" && (rest == "" || !isEpithet(rest))
}

// isEpithet reports whether what follows a genus begins like the name of a
// species, and not like "sp." or "cf.".
func isEpithet(rest string) bool {
	word, _, _ := strings.Cut(rest, " ")
	switch word {
	case "sp", "spp", "ssp", "cf", "aff", "nr", "indet":
		return false
	}
	return utf8.RuneCountInString(word) > 2 && !strings.ContainsAny(word, ".()?,&")
}

// unplaced reports whether a coarse name may hold the taxon because nothing is
// known of the groups that the taxon lies in.
func (t *taxon) unplaced(c *record.Capture) bool {
	if t.known {
		return false
	}
	switch strings.ToLower(c.Get("taxonRank")) {
	case "genus", "subgenus", "species", "subspecies":
		return false
	}
	name := fold(c.Get("scientificName"))
	return c.Get("genus") == "" || !strings.HasPrefix(name, fold(c.Get("genus")))
}

// near reports whether a name that no checklist settles may be a misspelling
// of the taxon: a quarter of its letters may differ where there is a
// checklist, else two.
func (t *taxon) near(name string, checked bool) bool {
	for _, n := range t.names {
		d := edlib.OSADamerauLevenshteinDistance(name, n)
		if checked && d*4 <= max(utf8.RuneCountInString(name), utf8.RuneCountInString(n)) || d <= 2 {
			return true
		}
	}
	return false
}
