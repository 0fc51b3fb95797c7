package infer

import (
	"strings"

	"spadefoot/pipeline/parallel"
	"spadefoot/pipeline/record"
)

// Judge is the second pass: it compares the captures of a part with the models,
// in the same order as Add. How rare a shape must be to look like none depends
// on how many captures are compared; that was counted by Add, by what was
// measured of each.
func (x *Inference) Judge(captures []*record.Capture) []record.Finding {
	x.learn()
	first, placeable := x.judged, x.placeable
	x.judged += len(captures)
	x.weighSexes(captures, first)
	placed := x.place(captures, first)
	if first == 0 && len(captures) == x.all { // all are here: what was placed can be counted
		placeable = 0
		for i := range placed {
			if placed[i] != nil {
				placeable++
			}
		}
	}
	var out []record.Finding
	for i, c := range captures {
		p := placed[i]
		if p == nil {
			continue
		}
		if x.whole != nil {
			x.whole.Placements = append(x.whole.Placements, *p)
		}
		n := first + i
		fs := x.byStage[p.Stage].Judge(c, *p, x.kept.doubt(n) == flaggedDoubt, placeable)
		if len(fs) > 0 {
			out = append(out, fs...)
			x.doubtSpecies(n, c)
		}
	}
	return out
}

// weighSexes tells what animals without a sex probably are.
func (x *Inference) weighSexes(captures []*record.Capture, first int) {
	if !x.overlapping {
		return
	}
	reader := newReader()
	for i, c := range captures {
		if x.kept.doubt(first+i) == flaggedDoubt {
			continue
		}
		said := reader.read(c)
		x.overlaps.weigh(c, &said, x.lineages.of(&said), &x.settings, &x.compared)
	}
}

// place places the captures of a part, the first of which has a number, on all
// processors. Those that can't be placed are nil.
func (x *Inference) place(captures []*record.Capture, first int) []*Placement {
	out := make([]*Placement, 0, len(captures))
	_ = parallel.InOrder(numbers(len(captures)), func(part []int) []*Placement {
		placed := make([]*Placement, len(part))
		reader := newReader()
		var buf [16]shapely
		for i, at := range part {
			c := captures[at]
			said := reader.read(c)
			k := x.lineages.of(&said)
			m := x.byStage[k.stage]
			if m == nil || m.Missing != "" {
				continue
			}
			e := example{n: int32(x.first + first + at), logs: logsOf(x.settings.shapelyOf(buf[:0], &said.taken))}
			if p, ok := m.place(&e, k.species); ok {
				p.Capture = c.ID
				placed[i] = &p
			}
		}
		return placed
	}, func(placed []*Placement) error {
		out = append(out, placed...)
		return nil
	})
	return out
}

// Compared is what Judge says of captures beside its findings, for Settle. That of
// different parts goes together in the order of the parts.
type Compared struct {
	Doubted []doubted
	Unsexed map[string]*unsexed // by species
}

// doubted is a capture that does not tell the line of its group any more.
type doubted struct {
	N     uint32
	Group string
	From  doubt
	Of    weighed
}

// doubtSpecies notes that the shape of a capture does not fit its name.
func (x *Inference) doubtSpecies(n int, c *record.Capture) {
	old := x.kept.doubt(n)
	if old == flaggedDoubt || old == sexDoubt {
		return
	}
	x.kept.setDoubt(n, speciesDoubt)
	if g := x.kept.group(n); g >= 0 {
		t := takenOf(c)
		m, _ := x.settings.massedOf(&t)
		of := m.weighed()
		of.LengthUnit, of.MassUnit = strings.Clone(of.LengthUnit), strings.Clone(of.MassUnit)
		x.compared.Doubted = append(x.compared.Doubted, doubted{uint32(x.first + n), x.conditions.groups[g].Name, old, of})
	}
}
