package infer

import (
	"slices"
	"strings"
	"sync"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/succession"
)

// clues are the texts of a capture that this stage goes by, and what was measured.
type clues struct {
	naming
	taken
	sex, verification, vitality string
	notes                       [len(usualTerms)]*record.Value // nil where nothing was written
}

func (s *clues) reproductive() string {
	if v := s.notes[0]; v != nil {
		return v.Text
	}
	return ""
}

// naming is what was written of the taxon and the life stage: the same few
// texts over and over.
type naming struct {
	name, genus, epithet, qualifier, family, order, class, lifeStage string
}

// clueIndex is the place of a term among the texts and notes of read, -1 for none.
var clueIndex = record.NewNames(append([]string{"scientificName", "genus", "specificEpithet", "identificationQualifier", "family", "order", "class", "lifeStage",
	"sex", "identificationVerificationStatus", "vitality"}, usualTerms[:]...)).Place

// reader reads clues, of one capture after another.
type reader struct{ terms succession.Terms }

func newReader() reader { return reader{succession.By(clueIndex)} }

func (r *reader) read(c *record.Capture) (s clues) {
	s.taken = takenOf(c)
	texts := [...]*string{&s.name, &s.genus, &s.epithet, &s.qualifier, &s.family, &s.order, &s.class, &s.lifeStage, &s.sex, &s.verification, &s.vitality}
	for i, at := range slices.Backward(r.terms.Of(c)) { // the first of a term counts
		switch v := &c.Values[i]; {
		case at < 0:
		case at < len(texts):
			*texts[at] = v.Text
		default:
			s.notes[at-len(texts)] = v
		}
	}
	return s
}

// lineage is what follows from the naming alone.
type lineage struct {
	species   string // "Genus epithet", "" for a name above the species
	sure      bool   // named without a qualifier
	lifeStage string // as recorded
	young     bool
	stage     string // for the comparison of species, see Settings.stageOf
	rules     []*sexRule
	kept      bool // the same for all captures of the naming
}

// lineages remembers those of a survey. It may be used by many goroutines.
type lineages struct {
	settings *Settings
	rules    []sexRule
	mu       sync.RWMutex
	known    map[naming]*lineage
}

// maxLineages bounds what is remembered where nearly every capture has a name of
// its own.
const maxLineages = 1 << 14

func (k *lineages) of(s *clues) *lineage {
	k.mu.RLock()
	found := k.known[s.naming]
	k.mu.RUnlock()
	if found != nil {
		return found
	}
	own := s.naming.clone()
	made := k.make(own)
	k.mu.Lock()
	defer k.mu.Unlock()
	if found := k.known[own]; found != nil {
		return found
	}
	if len(k.known) < maxLineages {
		made.kept = true
		k.known[own] = made
	}
	return made
}

func (k *lineages) make(n naming) *lineage {
	out := &lineage{lifeStage: n.lifeStage, young: k.settings.young(n.lifeStage), stage: k.settings.stageOf(n.lifeStage)}
	out.species, out.sure = n.binomial()
	if !out.young {
		out.rules = rulesFor(n.taxa(), k.rules)
	}
	return out
}

func (n naming) clone() naming {
	for _, text := range []*string{&n.name, &n.genus, &n.epithet, &n.qualifier, &n.family, &n.order, &n.class, &n.lifeStage} {
		*text = strings.Clone(*text)
	}
	return n
}
