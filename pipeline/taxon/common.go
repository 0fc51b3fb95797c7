package taxon

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// common fills in the lowest taxon that all entries belong to, which is certain
// where none of them is. The match stays unread.
func (m *Match) common(entries []*Entry, who, why string) {
	if len(entries) == 0 {
		return
	}
	shared := (&Checklist{}).genus(entries)
	for _, e := range entries {
		if e.parsed.species == "" || e.parsed.genus != shared.parsed.genus {
			shared.Rank, shared.parsed = "", name{}
			break
		}
	}
	m.Groups = shared.Groups
	m.ScientificName, m.Rank = shared.parsed.genus, shared.Rank
	m.Genus = m.ScientificName
	if m.ScientificName == "" {
		m.ScientificName, m.Rank = m.lowestGroup()
	}
	if m.ScientificName == "" {
		return
	}
	m.Remark = fmt.Sprintf("%s is the lowest taxon that the possible names share: %s", m.ScientificName, why)
	m.Problems[len(m.Problems)-1].Reason += fmt.Sprintf("; %s, the lowest taxon that %s share, is published", m.ScientificName, who)
}

// likeACode reports whether a text has the form of the codes of the checklist: it
// is as long as one of them.
func (c *Checklist) likeACode(text string) bool {
	word := letters(text)
	if len(c.codes) < 2 || strings.Contains(text, " ") {
		return false
	}
	for code := range c.codes {
		if utf8.RuneCountInString(code) == utf8.RuneCountInString(word) {
			return true
		}
	}
	return false
}
