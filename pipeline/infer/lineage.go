package infer

import (
	"strings"
	"sync"

	"spadefoot/pipeline/record"
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

func (s *clues) read(c *record.Capture) {
	*s = clues{taken: takenOf(c)}
	for i := len(c.Values) - 1; i >= 0; i-- { // the first of a term counts
		v := &c.Values[i]
		switch v.Term {
		case "scientificName":
			s.name = v.Text
		case "genus":
			s.genus = v.Text
		case "specificEpithet":
			s.epithet = v.Text
		case "identificationQualifier":
			s.qualifier = v.Text
		case "family":
			s.family = v.Text
		case "order":
			s.order = v.Text
		case "class":
			s.class = v.Text
		case "lifeStage":
			s.lifeStage = v.Text
		case "sex":
			s.sex = v.Text
		case "identificationVerificationStatus":
			s.verification = v.Text
		case "reproductiveCondition":
			s.notes[0] = v
		case "occurrenceRemarks":
			s.notes[1] = v
		case "organismRemarks":
			s.notes[2] = v
		case "fieldNotes":
			s.notes[3] = v
		case "vitality":
			s.vitality = v.Text
		}
	}
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
