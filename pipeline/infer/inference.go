package infer

import (
	"cmp"
	"fmt"
	"iter"
	"runtime"
	"slices"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"spadefoot/pipeline/parallel"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// Inputs are the facts that the stage goes by, beside the captures.
type Inputs struct {
	Rules     []SexRule  // usually those of Rules
	Specimens []Specimen // reference specimens, if the survey has a table of them
}

// Result is what the stage concludes. Everything is in the order of capture ID.
type Result struct {
	Findings    []record.Finding // in the order of the outputs
	Indications []Indication     // one a capture
	Models      []*Model         // one a life stage; those with Missing declined
	Placements  []Placement      // of captures with enough measurements
	Groups      []ConditionGroup
	Derived     []Derived
}

// Inference runs the stage over a survey that is handed over part by part. Its
// passes come in this order:
//
//	Add, for every part
//	Learn
//	Judge, for every part, only where Learn said so
//	Settle
//	Readings, for every capture
//
// Parts can be added on several machines: what each of them has seen joins in any
// order (sent.go).
//
// Captures are numbered from 0 in the order in which Add gets them. The result
// is the same however the survey is cut into parts. From one pass to the next
// two or three bytes are kept of every capture; besides, what grows with the
// number of taxa, groups and names of measurements, and what lines and models
// are learnt from: 20,000 captures of a group at most (48 bytes each) and of a
// taxon and life stage (some 300 bytes each, verified captures only). What is
// kept is copied, so that the captures may go.
type Inference struct {
	settings    Settings
	verified    sexRule // the words of notes that verify a sex
	specimens   []Specimen
	lineages    lineages
	names       numbering
	first       int // number of the first capture that it looks at
	all         int // captures that all parts together have
	kept        kept
	conditions  conditions
	training    Training
	comparisons comparisons
	overlaps    overlaps
	texts       numbering // of characters and their units
	compared    Compared  // what Judge said
	models      []*Model
	byStage     map[string]*Model
	learnt      bool
	overlapping bool // the sexes of some species can be compared
	placeable   int  // captures that the models place
	judged      int  // captures that Judge has seen
	most        int
	whole       *Result // what is said of every capture, where it is wanted
	idle        sync.Pool
}

// New prepares for a survey.
func New(in Inputs, s Settings) *Inference {
	x := &Inference{settings: s, verified: prepared([]SexRule{{Sign: strings.Join(s.SexVerified, "|")}})[0], specimens: in.Specimens, comparisons: comparisons{}, overlaps: overlaps{}, most: most}
	x.lineages = lineages{settings: &x.settings, rules: prepared(in.Rules), known: map[naming]*lineage{}}
	return x
}

// Indicated is what the first pass says of a part.
type Indicated struct {
	Findings []record.Finding     // in the order of the captures
	Fills    map[int]record.Value // values to fill in, by index in the part
}

// Add is the first pass: it indicates the sexes of a part, and gathers what
// species and condition are learnt from. Flagged tells the captures of the part
// with findings from screening, by index, and may be called from many
// goroutines: nothing is learnt from them and they get no condition index. The
// captures are not changed.
func (x *Inference) Add(captures []*record.Capture, flagged func(i int) bool) Indicated {
	var out Indicated
	i := 0
	_ = parallel.InOrder(numbers(len(captures)), func(part []int) *worker {
		l, ok := x.idle.Get().(*worker)
		if !ok {
			l = &worker{Inference: x, reader: newReader()}
		}
		clear(l.sights)
		l.sights = slices.Grow(l.sights[:0], len(part))[:len(part)]
		for j, at := range part {
			l.see(&l.sights[j], captures[at], flagged(at))
		}
		return l
	}, func(l *worker) error {
		defer x.idle.Put(l)
		for j := range l.sights {
			s := &l.sights[j]
			x.gather(captures[i], s)
			out.Findings = append(out.Findings, s.findings...)
			if fill := s.fill; fill != nil {
				if out.Fills == nil {
					out.Fills = map[int]record.Value{}
				}
				out.Fills[i] = *fill
			}
			i++
		}
		return nil
	})
	return out
}

// numbers returns 0 to n-1.
func numbers(n int) iter.Seq[int] {
	return func(yield func(int) bool) {
		for i := range n {
			if !yield(i) {
				return
			}
		}
	}
}

// gather takes what was seen of one capture into the summaries.
func (x *Inference) gather(c *record.Capture, s *sight) {
	n, group := x.first+x.kept.n, -1
	x.all++
	if s.massed {
		group = x.conditions.group(s.lineage, s.sex)
		x.conditions.groups[group].add(c, s.weighed, n, s.doubt, x.most)
	}
	x.kept.add(s.doubt, group)
	x.training.add(n, s.example, s.lesson)
	if s.shaped {
		x.comparisons.add(c, s.lineage, s.set)
	}
	if s.verified != "" {
		x.overlaps.add(n, c, s.lineage.species, s.verified, s.characters, x)
	}
	if x.whole != nil {
		x.whole.Indications = append(x.whole.Indications, *s.indication)
	}
}

// Learn ends the first pass: it makes the models of the species, and reports
// whether captures are to be compared with them, so that the second pass is
// needed.
func (x *Inference) Learn() (compares bool) {
	x.learn()
	return x.overlapping || slices.ContainsFunc(x.models, func(m *Model) bool { return m.Missing == "" })
}

func (x *Inference) learn() {
	if x.learnt {
		return
	}
	x.learnt = true
	for _, p := range x.specimens {
		x.training.AddSpecimen(p, x.settings)
	}
	x.models = x.training.Models(x.settings)
	x.training.classes = nil
	x.byStage = map[string]*Model{}
	for _, m := range x.models {
		x.byStage[m.Stage] = m
	}
	x.overlapping = x.overlaps.settle(&x.settings, x.most)
	x.placeable = x.comparisons.placeable(x.byStage, &x.names)
}

// Settle fits the lines of condition, and returns what is said of the survey as a
// whole: of what was not compared, and who gets no index.
func (x *Inference) Settle() []record.Finding {
	x.learn()
	out := x.comparisons.declined(x.byStage, x.training.unsure, x.settings)
	gone := map[uint32]bool{} // from the lines
	for _, d := range x.compared.Doubted {
		x.conditions.groups[x.conditions.byName[d.Group]].redoubt(d.Of, d.From, speciesDoubt)
		gone[d.N] = true
	}
	x.overlaps.take(x.compared.Unsexed)
	groups := x.groups()
	var fits errgroup.Group
	fits.SetLimit(runtime.GOMAXPROCS(0))
	for from := 0; from < len(groups); {
		to := from + 1
		for to < len(groups) && groups[to].species == groups[from].species {
			to++
		}
		one := groups[from:to]
		fits.Go(func() error {
			fitSpecies(one, &x.settings, gone, x.most)
			return nil
		})
		from = to
	}
	_ = fits.Wait() // nothing fails
	return append(append(out, declined(groups)...), x.overlaps.findings()...)
}

// declined is one note of all captures that get no condition index, and why.
func declined(groups []*ConditionGroup) []record.Finding {
	var why [doubts]int
	var missing []string
	without, n := 0, 0
	out := record.Finding{Rule: "condition-declined", Level: record.Note, Field: ScaledMassIndex, Reference: "Peig and Green 2009"}
	for i, g := range groups {
		n += g.n
		if g.Missing == "" {
			for d, count := range g.counts {
				if doubt(d) != noDoubt {
					why[d], without = why[d]+count, without+count
				}
			}
		} else if without += g.n; i == 0 || groups[i-1].species != g.species {
			missing = append(missing, fmt.Sprintf("%s (%s)", g.species, g.Missing))
		}
		if out.At.File == "" || g.at.Before(out.At) {
			out.At = g.at
		}
	}
	if without == 0 {
		return nil
	}
	var parts []string
	for d, count := range why {
		if count > 0 {
			parts = append(parts, fmt.Sprintf("%s (%d)", doubtTexts[d], count))
		}
	}
	slices.Sort(parts)
	if len(missing) > 0 {
		more := ""
		if n := len(missing) - maxDeclined; n > 0 {
			more = fmt.Sprintf(" and %d other species", n)
		}
		parts = append(parts, "no line for "+strings.Join(missing[:min(len(missing), maxDeclined)], ", ")+more)
	}
	out.Figures = figures("value", float64(without), "n", float64(n))
	out.Reason = fmt.Sprintf("no condition index for %d of %d captures with length and mass: %s", without, n, strings.Join(parts, "; "))
	return []record.Finding{out}
}

// maxDeclined is the number of species that the note names.
const maxDeclined = 12

// groups returns the groups in the order of their species and names.
func (x *Inference) groups() []*ConditionGroup {
	return sorting.SortedFunc(slices.Values(x.conditions.groups), func(a, b *ConditionGroup) int {
		return cmp.Or(strings.Compare(a.species, b.species), strings.Compare(a.Name, b.Name))
	})
}

// Readings is the third pass: it gives the derived readings of one capture by
// its number, none where it has no index. It may be used by many goroutines,
// and in any order.
func (x *Inference) Readings(n int, c *record.Capture) []record.Reading {
	return x.AppendReadings(nil, n, c)
}

// AppendReadings appends what Readings gives.
func (x *Inference) AppendReadings(to []record.Reading, n int, c *record.Capture) []record.Reading {
	at := x.kept.group(n)
	if at < 0 || x.kept.doubt(n) != noDoubt || x.conditions.groups[at].Missing != "" {
		return to
	}
	t := takenOf(c)
	m, ok := x.settings.massedOf(&t)
	if !ok {
		return to
	}
	return x.conditions.groups[at].readings(to, &m)
}

// Kinds gives, once Settle has fitted the lines, the readings that any capture
// may get: their names and units.
func (x *Inference) Kinds() []record.Reading {
	var out []record.Reading
	for _, g := range x.groups() {
		if g.Missing == "" {
			out = append(out, record.Reading{Series: scaledSeries(g.massUnit)}, record.Reading{Series: residualSeries})
		}
	}
	return out
}

// Models returns the models that Learn made, one a life stage in the order of
// their names; those with Missing declined.
func (x *Inference) Models() []*Model { return x.models }
