package screen

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"

	"spadefoot/pipeline/record"
)

// planted is one slip put into a survey on purpose.
type planted struct {
	kind    string
	capture string
	cells   []record.Address
	truth   string // what stood there before, "" where it is a pair
}

// planters write one slip into a capture; false where it does not offer itself.
var planters = []struct {
	kind string
	do   func(draw *rand.Rand, c *record.Capture) (planted, bool)
}{
	{"ten times too large", plantFactor(10)},
	{"ten times too small", plantFactor(0.1)},
	{"cm for mm", plantUnit(10)},
	{"inch for mm", plantUnit(inch)},
	{"ounce for gram", plantOunce},
	{"digits exchanged", plantRespelt(numeral.transposed)},
	{"digit misread", plantRespelt(numeral.misread)},
	{"tare not subtracted", plantTareLeftIn},
	{"gross and tare exchanged", plantGrossForTare},
	{"columns exchanged", plantColumns},
}

// lengthsOf returns the indices of the lengths of a capture.
func lengthsOf(c *record.Capture) []int {
	var at []int
	for i := range c.Readings {
		if c.Readings[i].Unit == "mm" {
			at = append(at, i)
		}
	}
	return at
}

func rewrite(c *record.Capture, i int, text string) planted {
	r := &c.Readings[i]
	p := planted{capture: c.Key, cells: []record.Address{r.From()}, truth: r.Text}
	*r = makeReading(c, r.Measurement, text, r.Unit, r.From().Column)
	return p
}

// plantFactor moves the decimal point of a length, or of a gross mass.
func plantFactor(by float64) func(*rand.Rand, *record.Capture) (planted, bool) {
	return func(draw *rand.Rand, c *record.Capture) (planted, bool) {
		at := lengthsOf(c)
		i := draw.IntN(len(at) + 1)
		if i < len(at) {
			r := c.Readings[at[i]]
			return rewrite(c, at[i], moved(r.Text, by)), true
		}
		if c.Weighing == nil || c.Weighing.Gross == nil {
			return planted{}, false
		}
		w := c.Weighing
		p := planted{capture: c.Key, cells: []record.Address{w.Gross.From()}, truth: w.Gross.Text}
		reweigh(c, moved(w.Gross.Text, by), w.Tare.Text)
		return p, true
	}
}

func moved(text string, by float64) string {
	v, _ := strconv.ParseFloat(text, 64)
	d := numeralIn(text).decimals
	if by > 1 {
		return strconv.FormatFloat(v*by, 'f', max(d-1, 0), 64)
	}
	return strconv.FormatFloat(v*by, 'f', d+1, 64)
}

func reweigh(c *record.Capture, gross, tare string) {
	c.Readings = slices.DeleteFunc(c.Readings, func(r record.Reading) bool { return r.Measurement == bodyMass })
	setWeighing(c, gross, tare, 0.5)
}

func plantUnit(by float64) func(*rand.Rand, *record.Capture) (planted, bool) {
	return func(draw *rand.Rand, c *record.Capture) (planted, bool) {
		at := lengthsOf(c)
		if len(at) == 0 {
			return planted{}, false
		}
		i := at[draw.IntN(len(at))]
		return rewrite(c, i, strconv.FormatFloat(c.Readings[i].Number/by, 'f', 2, 64)), true
	}
}

func plantOunce(_ *rand.Rand, c *record.Capture) (planted, bool) {
	w := c.Weighing
	if w == nil || w.Gross == nil {
		return planted{}, false
	}
	p := planted{capture: c.Key, cells: []record.Address{w.Gross.From()}, truth: w.Gross.Text}
	// The whole weighing was done in ounces and only the net written.
	net := c.Reading(bodyMass)
	if net == nil {
		return planted{}, false
	}
	p.truth = net.Text
	writeNet(c, strconv.FormatFloat(net.Number/ounce, 'f', 2, 64))
	return p, true
}

// writeNet replaces the weighing by a net mass as written.
func writeNet(c *record.Capture, text string) {
	c.Readings = slices.DeleteFunc(c.Readings, func(r record.Reading) bool { return r.Measurement == bodyMass })
	net := makeReading(c, bodyMass, text, "g", grossColumn)
	c.Readings = append(c.Readings, net)
	c.Weighing = &record.Weighing{Way: record.Zeroed, Net: &net}
}

func plantTareLeftIn(_ *rand.Rand, c *record.Capture) (planted, bool) {
	w := c.Weighing
	if w == nil || w.Gross == nil || c.Reading(bodyMass) == nil {
		return planted{}, false
	}
	p := planted{capture: c.Key, cells: []record.Address{w.Gross.From()}, truth: c.Reading(bodyMass).Text}
	writeNet(c, w.Gross.Text)
	return p, true
}

func plantGrossForTare(_ *rand.Rand, c *record.Capture) (planted, bool) {
	w := c.Weighing
	if w == nil || w.Gross == nil || c.Reading(bodyMass) == nil {
		return planted{}, false
	}
	p := planted{capture: c.Key, cells: []record.Address{w.Gross.From(), w.Tare.From()}}
	reweigh(c, w.Tare.Text, w.Gross.Text)
	return p, true
}

func plantRespelt(way func(numeral, func(numeral))) func(*rand.Rand, *record.Capture) (planted, bool) {
	return func(draw *rand.Rand, c *record.Capture) (planted, bool) {
		at := lengthsOf(c)
		if len(at) == 0 {
			return planted{}, false
		}
		i := at[draw.IntN(len(at))]
		texts := respelt(way, c.Readings[i].Text)
		if len(texts) == 0 {
			return planted{}, false
		}
		return rewrite(c, i, texts[draw.IntN(len(texts))]), true
	}
}

func plantColumns(draw *rand.Rand, c *record.Capture) (planted, bool) {
	at := lengthsOf(c)
	if len(at) < 2 {
		return planted{}, false
	}
	draw.Shuffle(len(at), func(i, j int) { at[i], at[j] = at[j], at[i] })
	a, b := at[0], at[1]
	ta, tb := c.Readings[a].Text, c.Readings[b].Text
	if math.Abs(c.Readings[a].Number-c.Readings[b].Number) < 0.05 {
		return planted{}, false
	}
	p, q := rewrite(c, a, tb), rewrite(c, b, ta)
	return planted{capture: c.Key, cells: []record.Address{p.cells[0], q.cells[0]}}, true
}

// plant puts each kind of slip into each captures of a survey, never two into
// one capture.
func plant(captures []*record.Capture, each int, seed uint64) []planted {
	draw := rand.New(rand.NewPCG(seed, 10))
	order := draw.Perm(len(captures))
	var all []planted
	for _, p := range planters {
		for n := 0; n < each && len(order) > 0; {
			c := captures[order[0]]
			order = order[1:]
			if got, ok := p.do(draw, c); ok {
				got.kind = p.kind
				all = append(all, got)
				n++
			}
		}
	}
	return all
}
