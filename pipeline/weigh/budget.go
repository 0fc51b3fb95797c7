package weigh

import (
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// budget combines what makes a mass uncertain: independent standard
// uncertainties in quadrature (JCGM 100:2008, 5.1.2). The readings of one scale
// share its calibration, so that of a difference is rather less than counted
// here (5.2.2).
type budget struct {
	squares float64
	said    []string // the parts, each once
	open    bool     // a part that is there is not known
}

func square(u float64) float64 { return u * u }

func (b *budget) say(part string) {
	if !slices.Contains(b.said, part) {
		b.said = append(b.said, part)
	}
}

// reading adds what one reading of a scale brings.
func (b *budget) reading(r *record.Reading, g scaleOf) {
	b.squares += square(standard(r, g)) + square(g.calibration/coverage)
	if g.name == "" {
		b.open = true
		return
	}
	b.say("graduation " + plain(g.graduation) + " g of " + g.name)
	if g.calibration > 0 {
		b.say("calibration ±" + plain(g.calibration) + " g")
	}
}

// setting adds the setting of a scale to zero.
func (b *budget) setting(g scaleOf) { b.squares += square(g.graduation) / 12 }

// bags adds the spread between the bags that one tare stands for.
func (b *budget) bags(w *record.Weighing) {
	switch {
	case w.Way != record.SessionTare:
	case w.Spread > 0:
		b.squares += square(w.Spread)
		b.say("spread between bags " + plain(w.Spread) + " g")
	default:
		b.open = true
		b.say("spread between bags not known")
	}
}

// repeats adds how well weighings of one animal by one person agree.
func (b *budget) repeats(s *record.Repeatability, value float64) {
	if s != nil {
		b.squares += square(s.Of(value))
		b.say(s.Said)
	}
}

func (b *budget) expanded() float64 { return coverage * math.Sqrt(b.squares) }

// settle gives a mass its accuracy, if all that belongs in it is known, and the
// parts in its remark. It returns what the known parts come to.
func (b *budget) settle(r *record.Reading) float64 {
	r.Accuracy = 0
	if !b.open {
		r.Accuracy = significant(b.expanded(), 2)
	}
	r.SetRemark(joined(r.Remark(), strings.Join(b.said, "; ")))
	return b.expanded()
}
