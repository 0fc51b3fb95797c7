package report

import (
	"cmp"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// maxHands bounds the observers with an instrument that last digits are
// counted for.
const maxHands = 1024

// hand is one observer with one instrument, and the last digits of what they
// read.
type hand struct {
	observer, instrument string
	n                    int          // readings
	by                   []lastDigits // by the number of decimals
}

// lastDigits counts plain numbers with as many decimals.
type lastDigits struct {
	n       int
	digits  [10]int
	inTable int // in a workbook, which stores 9.0 as 9
}

// observer is who read, with each instrument.
type observer struct {
	all   *hands
	name  string
	hands []*hand
}

// hands are all observers by their name as it is written.
type hands struct {
	written map[string]*observer
	named   map[string]*observer
	n       int
}

// of returns an observer, nil for none.
func (hs *hands) of(written string) *observer {
	if o, there := hs.written[written]; there {
		return o
	}
	if hs.written == nil {
		hs.written, hs.named = map[string]*observer{}, map[string]*observer{}
	}
	name := strings.Clone(strings.Join(strings.Fields(written), " "))
	o := hs.named[name]
	if o == nil && name != "" && hs.n < maxHands {
		o = &observer{all: hs, name: name}
		hs.named[name] = o
	}
	if len(hs.written) < 16*maxHands {
		hs.written[strings.Clone(written)] = o
	}
	return o
}

// with is the observer's hand with an instrument.
func (o *observer) with(instrument string) *hand {
	for _, h := range o.hands {
		if h.instrument == instrument {
			return h
		}
	}
	h := &hand{observer: o.name, instrument: strings.Clone(instrument)}
	if o.all.n < maxHands {
		o.hands = append(o.hands, h)
		o.all.n++
	}
	return h
}

// take counts a reading.
func (h *hand) take(r *record.Reading) {
	h.n++
	last, d, ok := writtenNumber(r.Verbatim)
	if !ok {
		return
	}
	for len(h.by) <= d {
		h.by = append(h.by, lastDigits{})
	}
	h.by[d].n++
	h.by[d].digits[last]++
	if r.From().Sheet != "" {
		h.by[d].inTable++
	}
}

// maxDecimals is more than any instrument shows.
const maxDecimals = 40

// writtenNumber returns the last digit and the number of decimals of the plain
// number that a cell holds; false where it holds more than that.
func writtenNumber(text string) (last byte, decimals int, ok bool) {
	text = strings.TrimSpace(text)
	point := -1
	for i := range len(text) {
		switch c := text[i]; {
		case c >= '0' && c <= '9':
		case (c == '.' || c == ',') && point < 0:
			point = i
		default:
			return 0, 0, false
		}
	}
	if text == "" || point == len(text)-1 || len(text) > 300 {
		return 0, 0, false
	}
	if point >= 0 {
		decimals = len(text) - 1 - point
	}
	return text[len(text)-1] - '0', decimals, decimals < maxDecimals
}

// digits counts the last digits of readings with as many decimals as the hand
// usually writes.
func (h *hand) digits() (counts [10]int, n int) {
	usual := 0
	for d := range h.by {
		if h.by[d].n > 0 && h.by[d].n >= h.by[usual].n {
			usual = d
		}
	}
	for d := range h.by[:min(len(h.by), usual)] {
		counts[0] += h.by[d].inTable
		n += h.by[d].inTable
	}
	if usual < len(h.by) {
		for k, c := range h.by[usual].digits {
			counts[k] += c
		}
		n += h.by[usual].n
	}
	return counts, n
}

// sorted lists the hands, those that read most first.
func (hs *hands) sorted() []*hand {
	var out []*hand
	for _, o := range hs.named {
		out = append(out, o.hands...)
	}
	sorting.Func(out, func(a, b *hand) int {
		return cmp.Or(b.n-a.n, strings.Compare(a.observer, b.observer), strings.Compare(a.instrument, b.instrument))
	})
	return out
}
