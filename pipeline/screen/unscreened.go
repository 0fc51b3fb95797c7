package screen

import (
	"fmt"
	"strings"

	"spadefoot/pipeline/record"
)

// unscreened notes each taxon with too few captures for any comparison and no
// limits, at its first capture, so that silence is not taken for praise.
// Captures must be in the order of their addresses.
func unscreened(captures []*record.Capture, f *fitted, limits []Limit) []record.Finding {
	first := map[string]*record.Capture{}
	count := map[string]int{}
	var order []string
	for _, c := range captures {
		name := c.Get("scientificName")
		if f.models[name] != nil || len(rowOf(c).cells) == 0 || limited(limits, name) {
			continue
		}
		if first[name] == nil {
			first[name] = c
			order = append(order, name)
		}
		count[name]++
	}
	var findings []record.Finding
	for _, name := range order {
		c := first[name]
		said := name
		if name == "" {
			said = "animals without a name"
		}
		findings = append(findings, record.Finding{Rule: "group-too-small", Level: record.Note, At: c.Address(), Capture: c.Key,
			Field: "scientificName", Value: name, Group: fmt.Sprintf("%s, n = %d", said, count[name]),
			Figures: []record.Figure{{Name: "n", Value: float64(count[name])}, {Name: "threshold", Value: float64(f.settings.MinGroup)}},
			Reason: fmt.Sprintf("%d captures of %s are too few to compare measurements with each other (%d are needed), and there are no limits for it: only gross slips would show.",
				count[name], said, f.settings.MinGroup)})
	}
	return findings
}

func limited(limits []Limit, name string) bool {
	for i := range limits {
		if strings.EqualFold(limits[i].ScientificName, name) {
			return true
		}
	}
	return false
}
