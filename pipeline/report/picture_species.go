package report

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/plot/vg"

	"spadefoot/pipeline/record"
)

// Fewest complete animals of a taxon for the picture of species, and the share
// of animals that must have a measurement for it to be used.
const (
	fewestForSpecies = 8
	shareForSpecies  = 0.7
)

// specimen is an animal with all the measurements that are used.
type specimen struct {
	c     *record.Capture
	taxon int
	logs  []float64
	no    int
}

// species draws the taxa along the directions that part them best. Animals with
// a doubtful measurement say nothing about species and are left out; those
// whose name or whole is in doubt are drawn.
func (s *studio) species() album {
	a := album{ID: "species", Name: "Species by their measurements",
		Look: "Each mark is one animal, placed by all its measurements together along the directions that part the recorded names best (linear discriminant axes of the logarithms). Look for a mark of one name among those of another. Measurements alone settle no identification: calls, genetics and a second pair of eyes do."}
	taxa, names, animals := s.specimens()
	if len(taxa) < 2 {
		return a
	}
	axes := discriminantAxes(animals, len(taxa))
	if axes == nil {
		return a
	}
	a.add(s.speciesScene(taxa, names, animals, axes))
	return a
}

// specimens gathers the taxa and the measurements that there is enough of.
func (s *studio) specimens() (taxa, names []string, animals []specimen) {
	byTaxon := map[string][]*record.Capture{}
	for _, c := range s.page.Captures {
		if name := c.Get("scientificName"); strings.Contains(name, " ") {
			byTaxon[name] = append(byTaxon[name], c)
		}
	}
	have, n := map[string]int{}, 0
	for _, name := range byNumber(byTaxon) {
		if len(byTaxon[name]) < fewestForSpecies || len(taxa) == mostTaxa {
			continue
		}
		taxa = append(taxa, name)
		for _, c := range byTaxon[name] {
			n++
			for _, m := range sizesOf(c, s.page) {
				have[m]++
			}
		}
	}
	for _, m := range slices.Sorted(maps.Keys(have)) {
		if float64(have[m]) >= shareForSpecies*float64(n) {
			names = append(names, m)
		}
	}
	slices.Sort(taxa)
	var kept []string
	for _, name := range taxa {
		var complete []specimen
		clean := 0
		for _, c := range byTaxon[name] {
			if sp, ok := s.specimen(c, names); ok {
				sp.taxon = len(kept)
				complete = append(complete, sp)
				clean += truth(sp.no == 0)
			}
		}
		if clean >= fewestForSpecies {
			kept = append(kept, name)
			animals = append(animals, complete...)
		}
	}
	return kept, names, animals
}

// sizesOf names the lengths and the mass of a capture.
func sizesOf(c *record.Capture, p *Page) []string {
	out := lengthsOf(c, p)
	if r := c.Reading(bodyMass); r != nil && r.Number > 0 {
		out = append(out, bodyMass)
	}
	return out
}

func (s *studio) specimen(c *record.Capture, names []string) (specimen, bool) {
	sp := specimen{c: c, no: least(s.flags.fieldNo(c, "scientificName"), s.flags.whole[c])}
	for _, name := range names {
		r := c.Reading(name)
		if r == nil || !(r.Number > 0) {
			return sp, false
		}
		sp.logs = append(sp.logs, math.Log(r.Number))
		if no := s.flags.readingNo(c, r); no != 0 && no != s.flags.whole[c] {
			return sp, false
		}
	}
	return sp, len(names) >= 2
}

func (s *studio) speciesScene(taxa, names []string, animals []specimen, axes *mat.Dense) scene {
	_, dims := axes.Dims()
	labels := make([]string, len(names))
	for i, n := range names {
		labels[i] = s.page.measure(n).Label
	}
	sc := scene{title: "Axes of " + plural(len(taxa), "name"), height: 300, heading: []string{"capture", "scientificName", "axis1", "axis2"},
		x: axis{label: "first axis (standard deviations within a name)"}, y: axis{label: "second axis"}}
	sc.look = fmt.Sprintf("%s that have %s, none of them in doubt.", plural(len(animals), "animal"), list(labels))
	sc.desc = fmt.Sprintf("Animals of %s on their discriminant axes.", list(taxa))
	origin := meanLogs(animals)
	score := func(logs []float64, k int) float64 {
		sum := 0.0
		for j, v := range logs {
			sum += (v - origin[j]) * axes.At(j, k)
		}
		return sum
	}
	rows := make([]int, len(taxa))
	for _, a := range animals {
		m := mark{x: score(a.logs, 0), style: series[a.taxon], no: a.no, say: a.c.Key + ", recorded as " + taxa[a.taxon]}
		second := ""
		if dims > 1 {
			m.y = score(a.logs, 1)
			second = figure(m.y)
		} else {
			m.y = float64(len(taxa)-1-a.taxon) + jitter(rows[a.taxon])
			rows[a.taxon]++
		}
		m.line = []string{a.c.Key, taxa[a.taxon], figure(m.x), second}
		sc.marks = append(sc.marks, m)
	}
	for i, name := range taxa {
		if dims > 1 {
			sc.key = append(sc.key, keyItem{series[i], s.names[name]})
		} else {
			sc.rows = append(sc.rows, rowLabel{float64(len(taxa) - 1 - i), []span{{text: s.names[name], italic: true}}})
		}
	}
	if dims == 1 {
		sc.y = axis{lo: -0.6, hi: float64(len(taxa)) - 0.4, hidden: true}
		sc.height = vg.Length(56 + 40*len(taxa))
	} else if len(taxa) > 3 {
		sc.height += topLine
	}
	return sc
}

// meanLogs is the mean of the animals without a doubt.
func meanLogs(animals []specimen) []float64 {
	mean, n := make([]float64, len(animals[0].logs)), 0.0
	for _, a := range animals {
		if a.no == 0 {
			n++
			for j, v := range a.logs {
				mean[j] += v
			}
		}
	}
	for j := range mean {
		mean[j] /= n
	}
	return mean
}

// list joins words: "a, b and c".
func list(words []string) string {
	switch n := len(words); n {
	case 0:
		return ""
	case 1:
		return words[0]
	default:
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
}
