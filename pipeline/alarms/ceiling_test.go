package alarms

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"
)

// The ceiling of what can be found of slips that move a value little: an oracle that
// knows how the population was made (shapes, scatter, growth, the bias, steps and
// repeats of each observer, which slips there are and how often) and nothing of the
// single animal. By the lemma of Neyman and Pearson (1933) no other test of single
// rows finds more slips at the same rate of false alarms than the likelihood ratio.

// subtleSlips are the kinds whose slips may move a value little.
var subtleSlips = []slipKind{slipKinds[5], slipKinds[6], slipKinds[7], slipKinds[9]}

// oracle weighs rows of a sheet.
type oracle struct {
	w     *fieldwork
	sizes [2][]float64 // share of log lengths over that of the species, in steps; of young, of grown
}

const (
	sizeStep  = 0.008
	middle    = 300  // step of an animal as long as its species
	legSpread = 0.02 // of what the parts of a leg have in common, as in caught
	stoutness = 0.099
)

// legs are the nodes and weights of Gauss and Hermite for a normal distribution.
var legs = [...][2]float64{{-2.857, 0.0113}, {-1.356, 0.2221}, {0, 0.5333}, {1.356, 0.2221}, {2.857, 0.0113}}

func newOracle(w *fieldwork) *oracle {
	o := &oracle{w: w, sizes: [2][]float64{make([]float64, 400), make([]float64, 400)}}
	draw := rand.New(rand.NewPCG(1, 1))
	const draws = 400_000
	for range draws {
		most := 1.08 * math.Exp(0.05*draw.NormFloat64())
		years := 1.2 + 3*draw.Float64()
		if draw.Float64() < 0.2 {
			years = 0.05 + 0.6*draw.Float64()
		}
		length, grown := most*(1-0.68*math.Exp(-(0.7+0.5*draw.Float64())*years)), 0
		if length > 0.72*most {
			grown = 1
		}
		o.sizes[grown][middle+int(math.Round(math.Log(length)/sizeStep))] += 1.0 / draws
	}
	return o
}

// node is one animal that a row may be of.
type node struct {
	weight float64
	mean   [7]float64 // of the log lengths as this observer reads them, and their scatter
	spread [7]float64
	mass   float64 // mean log
	gravid float64 // probability
}

// nodes are the animals that a row may be of, by what it says beside the numbers.
func (o *oracle) nodes(row []string, who *observer) (out []node) {
	at := slices.IndexFunc(frogs, func(f frog) bool { return f.name == row[3] })
	day, _ := time.Parse(time.DateOnly, row[atDate])
	for grown, sizes := range o.sizes {
		blank := 1.0
		switch {
		case grown == 0 && (row[5] == "adult" || row[atSex] != ""), grown == 1 && row[5] == "juvenile":
			continue
		case grown == 1 && row[atSex] == "":
			blank = 0.3
		}
		for _, sex := range []string{"female", "male"} {
			if row[atSex] != "" && row[atSex] != sex {
				continue
			}
			a := &animal{frog: frogs[at], sex: sex, form: make([]float64, len(limbs))}
			size := a.svl
			if sex == "male" {
				size *= a.male
			}
			gravid := 0.0
			if grown == 1 && sex == "female" && day.Month() < time.June {
				if gravid = 0.25; row[atRemarks] != "" {
					gravid = 1
				}
			}
			for step, share := range sizes {
				if share == 0 {
					continue
				}
				length := size * math.Exp(float64(step-middle)*sizeStep)
				for _, leg := range legs {
					n := node{weight: blank * share * leg[1], mass: math.Log(a.frog.mass * math.Pow(length/a.svl, 3)), gravid: gravid}
					v := length
					for k := range n.mean {
						cv, shared := 0.0, 0.0
						if k > 0 {
							l := limbs[k-1]
							v, cv = o.w.limbOf(a, k-1, length, l), l.cv
							if k == 1 || k == 2 || k == 6 {
								shared = legSpread * leg[0]
							}
						}
						n.mean[k] = math.Log(v) + shared + who.bias[k]
						n.spread[k] = math.Sqrt(cv*cv + who.repeat*who.repeat + who.jitter*who.jitter/(v*v))
					}
					out = append(out, n)
				}
			}
		}
	}
	return out
}

// reads is the probability that an observer writes a number for a length.
func (n *node) reads(k int, v float64, who *observer) float64 {
	within := func(step float64) float64 {
		if math.Abs(v/step-math.Round(v/step)) > 1e-6 || v < step {
			return 0
		}
		of := func(end float64) float64 {
			return math.Erfc(-(math.Log(end)-n.mean[k])/n.spread[k]/math.Sqrt2) / 2
		}
		return of(v+step/2) - of(v-step/2)
	}
	p := (1 - who.heaps) * within(who.step)
	if who.heaps > 0 {
		p += who.heaps * within(0.5)
	}
	return p
}

// weighs is the density of a mass, as of its log, times a step of 1 g.
func (n *node) weighs(mass float64) float64 {
	if !(mass > 0) {
		return 0
	}
	s := math.Hypot(stoutness, 0.1/mass)
	at := func(mean float64) float64 {
		z := (math.Log(mass) - mean) / s
		return math.Exp(-z*z/2) / (s * mass)
	}
	return (1-n.gravid)*at(n.mass) + n.gravid*at(n.mass+math.Log(1.17))
}

// ratio is the log of the likelihood ratio of one of the subtle slips in a row
// against none.
func (o *oracle) ratio(row []string) float64 {
	who := &o.w.people[slices.IndexFunc(o.w.people, func(p observer) bool { return p.name == row[17] })]
	nodes, cells := o.nodes(row, who), lengthCells(row)
	net, weighed := netOf(row)
	own := make([][]float64, len(nodes)) // by node: the probabilities of the lengths, and of the mass
	most := 0.0                          // of what a node says of all cells but two
	without := make([]float64, len(nodes))
	for i := range nodes {
		n, p := &nodes[i], make([]float64, len(cells)+1)
		own[i] = p
		least := [2]float64{1, 1} // the smallest first
		without[i] = n.weight
		for k, c := range cells {
			p[k] = n.reads(c-atSVL, number(row[c]), who)
			switch {
			case p[k] < least[0]:
				least = [2]float64{p[k], least[0]}
			case p[k] < least[1]:
				least[1] = p[k]
			}
		}
		for _, x := range p[:len(cells)] {
			if x > least[1] {
				without[i] *= x
			}
		}
		if p[len(cells)] = 1; weighed {
			p[len(cells)] = n.weighs(number(net))
		}
		most = max(most, without[i])
	}
	spellings := make([][]original, len(cells))
	for k, c := range cells {
		spellings[k] = o.originals(row[c], who.trimmed)
	}
	clean, slips := 0.0, 0.0
	alone := 1 / float64(max(1, len(cells)))
	for i := range nodes {
		if without[i] < 1e-5*most {
			continue
		}
		n, p := &nodes[i], own[i]
		product := func(without ...int) float64 {
			v := n.weight
			for k, x := range p {
				if !slices.Contains(without, k) {
					v *= x
				}
			}
			return v
		}
		clean += product()
		for k, c := range cells {
			rest := product(k)
			for _, spelled := range spellings[k] {
				slips += alone * spelled.share * rest * n.reads(c-atSVL, number(spelled.text), who)
			}
		}
		pairs := float64(len(cells)*(len(cells)-1)) / 2
		for k, c := range cells {
			for l, d := range cells[:k] {
				if rest := product(k, l); rest > 0 && row[c] != row[d] {
					slips += rest / pairs * n.reads(c-atSVL, number(row[d]), who) * n.reads(d-atSVL, number(row[c]), who)
				}
			}
		}
		if weighed && row[atNet] != "" { // a gross mass that was written as net; 15 of 100 masses are net
			rest := product(len(cells))
			for _, bag := range [...][2]float64{{-0.25, 0.25}, {0, 0.4}, {0.25, 0.25}, {0.5, 0.1}} {
				for _, size := range [...]float64{2.4, 6.1} {
					if m := number(net) - size - bag[0]; m > 20 == (size > 6) {
						slips += rest / 0.15 * bag[1] * n.weighs(m)
					}
				}
			}
		}
	}
	return math.Log(slips) - math.Log(clean)
}

type original struct {
	text  string
	share float64
}

// originals are the numbers that one of the slips of digits makes this text of, with
// how likely each does.
func (o *oracle) originals(text string, trimmed bool) (out []original) {
	add := func(was string, ways []string) {
		if was == text || written(number(was), trimmed) != was {
			return
		}
		n := 0
		for _, w := range ways {
			if w == text {
				n++
			}
		}
		if n > 0 {
			out = append(out, original{was, float64(n) / float64(len(ways))})
		}
	}
	for _, was := range exchangedDigits(text) {
		add(was, exchangedDigits(was))
	}
	for _, i := range digitsAt(text) {
		for d := '0'; d <= '9'; d++ {
			was := text[:i] + string(d) + text[i+1:]
			add(was, misreadDigits(was))
		}
	}
	return out
}

// ceilingTally counts, by kind and by how far the slip moved the value, slips that
// the program and the oracle find.
type ceilingTally struct{ planted, found, could int }

var movedFrom = [...]float64{0.4, 0.2, 0.1, 0.05, 0.02, 0}

// The table of what can be found in DEVELOPERS.md.
func TestCeiling(t *testing.T) {
	if os.Getenv("SPADEFOOT_LONG") != "1" {
		t.Skip("long; set SPADEFOOT_LONG=1")
	}
	total := capturesOr(t, 10000)
	for _, heaped := range []bool{false, true} {
		for _, n := range []int{100, 500, 2000} {
			t.Run(fmt.Sprintf("%d captures, heaped %v", n, heaped), func(t *testing.T) { ceilingOf(t, n, total, heaped) })
		}
	}
}

func ceilingOf(t *testing.T, n, total int, heaped bool) {
	var cleanRatios []float64
	type planted struct {
		slip
		moved, ratio float64
		found        bool
	}
	var all []planted
	c := newReckoning()
	for s := range uint64(max(1, total/n)) {
		seed := 100*uint64(n) + s
		w := c.cleanSurvey(t, n, len(frogs), heaped, seed)
		o := newOracle(w)
		before := make([][]string, len(w.rows))
		for i, row := range w.rows {
			before[i] = slices.Clone(row)
			cleanRatios = append(cleanRatios, o.ratio(row))
		}
		slips := plantSlips(w.rows, subtleSlips, 25, seed)
		told := examine(t, w.sheet())
		for _, s := range slips {
			p := planted{slip: s, ratio: o.ratio(w.rows[s.row-2])}
			at := s.cells[0] - 1
			was := before[s.row-2][at]
			if was == "" {
				was = s.truth
			}
			p.moved = math.Abs(math.Log(number(w.rows[s.row-2][at]) / number(was)))
			for _, f := range told {
				p.found = p.found || s.at(f.At.Row, f.At.Column)
				for _, a := range f.Also {
					p.found = p.found || s.at(a.Row, a.Column)
				}
			}
			all = append(all, p)
		}
	}
	slices.Sort(cleanRatios)
	false := 0
	for _, k := range c.false {
		false += k
	}
	limit := cleanRatios[len(cleanRatios)-1-false]
	table := map[string]*ceilingTally{}
	count := func(key string, p *planted) {
		if table[key] == nil {
			table[key] = &ceilingTally{}
		}
		k := table[key]
		k.planted++
		if p.found {
			k.found++
		}
		if p.ratio > limit {
			k.could++
		}
	}
	for i := range all {
		p := &all[i]
		at := slices.IndexFunc(movedFrom[:], func(from float64) bool { return p.moved >= from })
		count(p.kind, p)
		count(fmt.Sprintf("%s, by %.2f and more", p.kind, movedFrom[at]), p)
	}
	fmt.Printf("n = %d, heaped %v: %d false alarms on %d clean captures, log likelihood ratio from %.2f\n", n, heaped, false, len(cleanRatios), limit)
	var keys []string
	for key := range table {
		keys = append(keys, key)
	}
	slices.SortFunc(keys, strings.Compare)
	for _, key := range keys {
		k := table[key]
		fmt.Printf("  %-45s %4d planted, found %.3f, could be %.3f\n", key, k.planted, float64(k.found)/float64(k.planted), float64(k.could)/float64(k.planted))
	}
}
