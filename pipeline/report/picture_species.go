package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/report/plot"
)

// Fewest complete animals of a taxon for the picture of species, and the share
// of animals that must have a measurement for it to be used.
const (
	fewestForSpecies = 8
	shareForSpecies  = 0.7
)

// specimen is an animal with all the measurements that are used.
type specimen struct {
	c     *sketch
	taxon int
	logs  []float64
	no    int
}

// species draws the taxa along the directions that part them best. Animals with
// a doubtful measurement say nothing about species and are left out; those
// whose name or whole is in doubt are drawn.
func (s *studio) species() album {
	a := album{large: s.large, ID: "species", Name: "Species by their measurements",
		Hint: "Each mark is one animal, placed by all its measurements together along the directions that best separate the recorded names (linear discriminant axes of the logarithms). Look for a mark of one name among those of another. Measurements alone do not settle an identification: calls, genetics and a second pair of eyes do."}
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
func (s *studio) specimens() (taxa []string, names []*measured, animals []specimen) {
	counted := map[string]int{}
	for name, t := range s.taxa {
		if strings.Contains(name, " ") {
			counted[name] = t.n
		}
	}
	have, n := make([]int, len(s.measured)), 0
	for _, name := range frequent(counted) {
		if counted[name] < fewestForSpecies || len(taxa) == maxTaxa {
			continue
		}
		taxa = append(taxa, name)
		n += counted[name]
		for i, k := range s.taxa[name].sizes {
			have[i] += k
		}
	}
	for i, k := range have {
		if k > 0 && float64(k) >= shareForSpecies*float64(n) {
			names = append(names, s.measured[i])
		}
	}
	sorting.Func(names, func(a, b *measured) int { return strings.Compare(a.name, b.name) })
	slices.Sort(taxa)
	complete, clean := map[*taxon][]specimen{}, map[*taxon]int{}
	for _, c := range s.kept {
		if _, used := slices.BinarySearch(taxa, c.group.taxon); !used {
			continue
		}
		if sp, ok := s.specimen(c, names); ok && drawn(c, sp.no, c.group.of.limit) {
			complete[c.group.of] = append(complete[c.group.of], sp)
			clean[c.group.of] += truth(sp.no == 0)
		}
	}
	var kept []string
	for _, name := range taxa {
		if t := s.taxa[name]; clean[t] >= fewestForSpecies {
			for _, sp := range complete[t] {
				sp.taxon = len(kept)
				animals = append(animals, sp)
			}
			kept = append(kept, name)
		}
	}
	return kept, names, animals
}

// specimen takes the logarithms of an animal that has every measurement, none
// of them in doubt but as a whole.
func (s *studio) specimen(c *sketch, names []*measured) (specimen, bool) {
	whole := c.wholeNo()
	sp := specimen{c: c, no: least(c.fieldNo("scientificName", c.nameAt), whole), logs: make([]float64, len(names))}
	for i, m := range names {
		r := c.first(m.index)
		if r == nil || !(r.number > 0) {
			return sp, false
		}
		sp.logs[i] = math.Log(r.number)
		if no := s.readingNo(c, r); no != 0 && no != whole {
			return sp, false
		}
	}
	return sp, len(names) >= 2
}

func (s *studio) speciesScene(taxa []string, names []*measured, animals []specimen, axes [][]float64) plot.Scene {
	dims := len(axes)
	labels := make([]string, len(names))
	for i, n := range names {
		labels[i] = n.Label
	}
	sc := plot.Scene{Title: "Axes of " + record.Plural(len(taxa), "name"), Height: 300, Heading: []string{"capture", "scientificName", "axis1", "axis2"},
		X: plot.Axis{Label: "first axis (standard deviations within a name)"}, Y: plot.Axis{Label: "second axis"}}
	from := ""
	if s.large {
		from = " of the sample"
	}
	sc.Caption = fmt.Sprintf("%s%s that have %s, none of them in doubt.", record.Plural(len(animals), "animal"), from, record.Enumerated(labels))
	sc.Desc = fmt.Sprintf("Animals of %s on their discriminant axes.", record.Enumerated(taxa))
	origin := meanLogs(animals)
	score := func(logs []float64, k int) float64 {
		sum := 0.0
		for j, v := range logs {
			sum += (v - origin[j]) * axes[k][j]
		}
		return sum
	}
	rows := make([]int, len(taxa))
	for _, a := range animals {
		m, second := plot.Mark{X: score(a.logs, 0), Style: plot.Series[a.taxon], No: a.no}, ""
		if dims > 1 {
			m.Y = score(a.logs, 1)
			second = figure(m.Y)
		} else {
			m.Y = float64(len(taxa)-1-a.taxon) + jitter(rows[a.taxon])
			rows[a.taxon]++
		}
		m.Note = func() plot.Note {
			name := a.c.group.taxon
			return plot.Note{Text: a.c.key + ", recorded as " + name, Line: []string{a.c.key, name, figure(m.X), second}}
		}
		sc.Marks = append(sc.Marks, m)
	}
	for i, name := range taxa {
		if dims > 1 {
			sc.Key = append(sc.Key, plot.KeyItem{Style: plot.Series[i], Text: s.names.of(name)})
		} else {
			sc.Rows = append(sc.Rows, plot.RowLabel{Y: float64(len(taxa) - 1 - i), Spans: []plot.Span{{Text: s.names.of(name), Italic: true}}})
		}
	}
	if dims == 1 {
		sc.Y = plot.Axis{Lo: -0.6, Hi: float64(len(taxa)) - 0.4, Hidden: true}
		sc.Height = float64(56 + 40*len(taxa))
	} else if len(taxa) > 3 {
		sc.Height += plot.TopLine
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
