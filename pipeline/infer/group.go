package infer

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"spadefoot/pipeline/record"
)

// binomial returns "Genus epithet" of the recorded name, and whether it was
// recorded without a qualifier such as "cf.". It is "" for a name above the
// species.
func (n *naming) binomial() (name string, sure bool) {
	genus, epithet := n.genus, n.epithet
	sure = n.qualifier == ""
	var plain []string
	for _, w := range strings.Fields(n.name) {
		switch strings.ToLower(strings.TrimSuffix(w, ".")) {
		case "cf", "aff", "nr", "near", "?":
			sure = false
		default:
			plain = append(plain, w)
		}
	}
	if genus == "" || epithet == "" {
		if len(plain) < 2 || !isEpithet(plain[1]) {
			return "", sure
		}
		genus, epithet = plain[0], plain[1]
	}
	return genus + " " + epithet, sure
}

func isEpithet(w string) bool {
	if w == "sp" || w == "spp" {
		return false
	}
	for _, r := range w {
		if !unicode.IsLower(r) && r != '-' {
			return false
		}
	}
	return w != ""
}

// taxa returns the recorded species and what is above it, lowest first.
func (n *naming) taxa() []string {
	var out []string
	name, _ := n.binomial()
	genus := n.genus
	if genus == "" {
		genus, _, _ = strings.Cut(cmp.Or(name, n.name), " ")
	}
	for _, t := range []string{name, genus, n.family, n.order, n.class} {
		if t != "" && !slices.Contains(out, t) {
			out = append(out, t)
		}
	}
	return out
}

// stageOf returns the life stage for grouping: each young stage by name, and
// "grown" for adults and for captures with no stage.
func (s *Settings) stageOf(lifeStage string) string {
	if stage := strings.ToLower(lifeStage); s.young(stage) {
		return stage
	}
	return "grown"
}

func (s *Settings) young(lifeStage string) bool {
	return slices.ContainsFunc(s.YoungStages, func(y string) bool { return strings.EqualFold(y, lifeStage) })
}

// valueAddress is the cell of a term, or the row where it was not written.
func valueAddress(c *record.Capture, term string) record.Address {
	if v := c.Value(term); v != nil && v.From().File != "" {
		return v.From()
	}
	return c.Address()
}

// written is what the person wrote for a term.
func written(c *record.Capture, term string) string {
	v := c.Value(term)
	if v == nil {
		return ""
	}
	return cmp.Or(v.Verbatim, v.Text)
}
