package survey

import (
	"slices"
	"strings"
)

// What a draft writes where somebody has to write something.
const (
	NoAddress     = ".invalid/dataset" // the end of an identifier
	NoDescription = "A draft that nobody has described yet."
	NoLicence     = "to be decided"
	NoName        = "to be named"
)

// Undescribed names the keys under dataset that still hold what a draft put
// there: id, description, licence and creators at most.
func (s *Survey) Undescribed() []string {
	d := &s.Dataset
	var keys []string
	for _, k := range []struct {
		name    string
		drafted bool
	}{
		{"id", strings.HasSuffix(d.ID, NoAddress)},
		{"description", d.Description == NoDescription},
		{"licence", d.Licence == NoLicence},
		{"creators", slices.ContainsFunc(d.Creators, func(p Person) bool { return p.Family == NoName })},
	} {
		if k.drafted {
			keys = append(keys, k.name)
		}
	}
	return keys
}
