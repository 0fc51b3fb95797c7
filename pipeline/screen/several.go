package screen

import (
	"fmt"
	"math"
	"slices"

	"spadefoot/pipeline/record"
)

// otherUnit is a unit that the lengths of an animal may have been read in, beside those
// of their columns, with the slip, and in words.
type otherUnit struct {
	unit  string
	slip  slip
	words string
}

var otherUnits = [...]otherUnit{{"cm", inCentimetres, "cm"}, {"[in_i]", inInches, "inches"}, {"mm", inMillimetres, "mm"}}

// several lists, of every unit, the likeliest account by which two or more lengths of the
// animal were read in it, as by an observer who changed rulers. Any number of them
// may have been, and of that number any.
func (f *fitted) several(v *view, list []hypothesis) []hypothesis {
	prior := math.Log(f.settings.Odds.Unit / float64(len(otherUnits)-1))
	for _, other := range otherUnits {
		s := shifting{view: v}
		unit, by := "", 0.0 // of the last cell, and how it shifts
		for i, c := range v.cells {
			if own := unitOf(c.first()); own != unit {
				if unit, by = own, 0; sizes[own] > 0 {
					by = math.Log(sizes[other.unit] / sizes[own])
				}
			}
			if c.kind == length && by != 0 {
				s.add(i, by)
			}
		}
		s.prior = prior - math.Log(float64(s.n-1))
		if cells, square, score := s.likeliest(); len(cells) > 1 {
			list = append(list, hypothesis{slip: other.slip, cells: cells, square: square, score: score,
				back: square <= f.cuts.distance[len(v.cells)].suspect})
		}
	}
	return list
}

// unitOf is the unit that a reading was written in (UCUM code).
func unitOf(r *record.Reading) string {
	if r.WrittenUnit != "" {
		return r.WrittenUnit
	}
	return r.Unit
}

// shifting looks for those of some cells of a view that have been shifted.
type shifting struct {
	view  *view
	prior float64 // of so many that are shifted, whichever and however many they are
	n     int
	at    [maxDims]int // the cells
	by    [maxDims]float64
}

func (s *shifting) add(cell int, by float64) {
	s.at[s.n], s.by[s.n] = cell, by
	s.n++
}

// likeliest starts from each cell by itself and from all, and shifts cells, or shifts
// them back, as long as that makes it likelier.
func (s *shifting) likeliest() (cells []int, square, score float64) {
	if s.n < 2 {
		return nil, 0, 0
	}
	var best shifted
	score = math.Inf(-1)
	for start := -1; start < s.n; start++ {
		x := shifted{square: s.view.square}
		copy(x.gained[:], s.view.gained)
		for i := range s.n {
			if start < 0 || i == start {
				s.toggle(&x, i)
			}
		}
		own := s.climb(&x)
		if x.n > 1 && own > score {
			best, score = x, own
		}
	}
	for i := range s.n {
		if best.in[i] {
			cells = append(cells, s.at[i])
		}
	}
	return cells, best.square, score
}

// climb shifts one cell after the other, or shifts it back, as long as that makes the
// shifts likelier.
func (s *shifting) climb(x *shifted) (score float64) {
	score = s.score(x.square, x.n)
	for range s.n {
		next := -1
		for _, i := range s.nearest(x) {
			if i < 0 {
				continue
			}
			if to := s.score(s.toggled(x, i)); to > score {
				next, score = i, to
			}
		}
		if next < 0 {
			break
		}
		s.toggle(x, next)
	}
	return score
}

// nearest returns, of the cells that are shifted and of those that are not, the one by
// which the row comes nearest to its group; -1 where there is none.
func (s *shifting) nearest(x *shifted) (at [2]int) {
	at = [2]int{-1, -1}
	least := [2]float64{math.Inf(1), math.Inf(1)}
	for i := range s.n {
		side := 0
		if x.in[i] {
			side = 1
		}
		if square, _ := s.toggled(x, i); square < least[side] {
			at[side], least[side] = i, square
		}
	}
	return at
}

// shifted says which cells are shifted, and how the row then looks.
type shifted struct {
	in     [maxDims]bool
	n      int
	square float64
	gained [maxDims]float64 // inverse · depart
}

// score is that of so many shifted cells.
func (s *shifting) score(square float64, n int) float64 {
	return s.prior - choices(s.n, n) + s.view.likelihood(max(0, square), len(s.view.cells))
}

// choices is the log of how many ways there are to choose some of n.
func choices(n, some int) float64 { return factorials[n] - factorials[some] - factorials[n-some] }

// factorials are the logs of those of the first numbers.
var factorials = func() (of [maxDims + 1]float64) {
	for n := range of {
		of[n], _ = math.Lgamma(float64(n + 1))
	}
	return of
}()

// toggled is the squared distance after one more cell is shifted, or shifted back, and
// how many then are.
func (s *shifting) toggled(x *shifted, i int) (float64, int) {
	by, n := s.by[i], x.n+1
	if x.in[i] {
		by, n = -by, x.n-1
	}
	at, k := s.at[i], len(s.view.cells)
	return x.square + by*(2*x.gained[at]+by*s.view.inverse[at*k+at]), n
}

func (s *shifting) toggle(x *shifted, i int) {
	by := s.by[i]
	if x.in[i] {
		by = -by
	}
	x.square, x.n = s.toggled(x, i)
	x.in[i] = !x.in[i]
	at, k := s.at[i], len(s.view.cells)
	for j := range k {
		x.gained[j] += by * s.view.inverse[at*k+j]
	}
}

// ofSeveral reports whether an account has several lengths read in another unit.
func (h *hypothesis) ofSeveral() bool {
	return len(h.cells) > 1 && h.slip != columnsSwapped && h.slip != bothWrong
}

// ofSeveral reports whether such an account is the likeliest.
func (d *verdict) ofSeveral() bool { return len(d.accounts) > 0 && d.accounts[0].ofSeveral() }

// reportSeveral writes the finding on lengths of an animal that were read in another unit:
// at the first of them, with the others beside it.
func (f *fitted) reportSeveral(d verdict, level record.Level) record.Finding {
	v, best := d.view, d.accounts[0]
	first := v.cells[d.cells[0]]
	e := v.amongOthers(d.cells[0], f)
	out := record.Finding{Rule: "lengths-in-other-unit", Level: level, Spread: record.Together, Capture: v.row.capture.Key, Field: first.measurement,
		At: first.first().From(), Value: first.first().Verbatim, Group: e.group, Reference: e.reference,
		Figures: append(e.figures(first.value), record.Figure{Name: "posterior", Value: d.share})}
	unit := &otherUnits[slices.IndexFunc(otherUnits[:], func(u otherUnit) bool { return u.slip == best.slip })]
	var names, would []string
	for _, i := range d.cells {
		c := v.cells[i]
		names = append(names, v.cellText(i))
		for n, r := range c.readings {
			text := unit.readIn(r)
			if n == 0 {
				would = append(would, text)
			}
			if r != first.first() {
				out.Also = append(out.Also, r.From())
			}
			if best.posterior >= f.settings.SuggestAbove {
				out.Rewrites = append(out.Rewrites, record.Rewrite{At: r.From(), Text: text})
			}
		}
	}
	if best.posterior >= f.settings.SuggestAbove {
		out.Suggestion = would[0]
	}
	out.Reason = fmt.Sprintf("%s do not fit together with the rest of this animal: squared robust distance of its %d measurements %.3g (limit %.3g). %s would fit: they were read in %s (probability %s).",
		record.Capital(record.Enumerated(names)), len(v.cells), v.square, e.threshold, record.Enumerated(would), unit.words, percent(best.posterior))
	if out.Suggestion == "" {
		out.Reason += " That is not certain enough to suggest."
	}
	return out
}

// readIn writes a reading as it would stand had it not been read in another unit.
func (u *otherUnit) readIn(r *record.Reading) string {
	w, by := writtenOf(r), sizes[u.unit]/sizes[unitOf(r)]
	return w.as(w.value*by, w.decimals-int(math.Round(math.Log10(by))))
}
