package darwincore

import (
	"maps"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// usage is which measurements were really taken with which instruments, and
// which weighings were done how.
type usage struct {
	with distinct // of pairs: instrument and label of the measurement
	ways map[record.WeighWay]bool

	accurate bool // an accuracy is published
}

func (u *usage) add(c *record.Capture, label func(string) string) {
	for _, r := range published(c) {
		u.accurate = u.accurate || r.Accuracy > 0
		if r.Derived || r.Instrument == "" || Value(r) == "" {
			continue
		}
		name := r.Measurement
		if label != nil {
			name = firstOf(label(name), name)
		}
		u.measured(r.Instrument, name)
	}
	u.weighed(c)
}

func (u *usage) measured(instrument, kind string) {
	var buf [128]byte
	u.with.add(appendPart(appendPart(buf[:0], instrument), kind))
}

func (u *usage) weighed(c *record.Capture) {
	if c.Weighing != nil {
		u.way(string(c.Weighing.Way))
	}
}

func (u *usage) way(of string) {
	if of == "" || u.ways[record.WeighWay(of)] {
		return
	}
	if u.ways == nil {
		u.ways = map[record.WeighWay]bool{}
	}
	u.ways[record.WeighWay(strings.Clone(of))] = true
}

// join adds what another saw.
func (u *usage) join(o *usage) {
	u.with.join(&o.with)
	u.accurate = u.accurate || o.accurate
	for way := range o.ways {
		u.way(string(way))
	}
}

// Step is one step of the methods: what was done, and with which instruments.
type Step struct {
	Text        string
	Instruments []string
}

var wayTexts = map[record.WeighWay]string{
	record.SameRow:     "Animals were weighed in a bag and the empty bag was weighed with them; body mass is the difference.",
	record.BagTable:    "Animals were weighed in labelled bags whose empty mass was taken from a table; body mass is the difference.",
	record.SessionTare: "Animals were weighed in a bag; the mass of the empty bag was taken once for a session; body mass is the difference.",
	record.Zeroed:      "The scale was zeroed with the empty bag on it, so that it showed the body mass.",
	record.NoTare:      "Animals were weighed in a bag whose own mass is not known; only the mass of animal and bag is given.",
}

// accuracyText says what measurementAccuracy holds.
const accuracyText = "measurementAccuracy is the expanded uncertainty with coverage factor k = 2 (JCGM 100:2008), about 95 % of normally distributed errors. " +
	"In it are the parts that measurementRemarks names, combined in quadrature: the graduation of the scale, for each reading of it, as a rectangular distribution; its calibration where declared; " +
	"the spread between bags where one tare serves many; the repeatability of the measurement where known, with the step it was read in. " +
	"A ± that the observer wrote is kept as written. Where none of this is known it is empty, and the last digit shows the step in which the value was read, or else measurementRemarks gives it; " +
	"errors from posture, handling and wet skin are in it only as far as repeatability holds them."

// steps describes the methods: a step per instrument, then one per way of
// weighing.
func (u *usage) steps(d *Dataset) []Step {
	var out []Step
	kinds := map[string][]string{}
	for _, pair := range u.with.sorted() {
		p := parts(pair)
		kinds[p[0]] = append(kinds[p[0]], p[1])
	}
	for _, name := range slices.Sorted(maps.Keys(kinds)) {
		i := d.instrument(name).String()
		slices.Sort(kinds[name])
		out = append(out, Step{
			Text:        "Measured with " + i + ": " + strings.Join(kinds[name], ", ") + ".",
			Instruments: []string{i},
		})
	}
	var ways []string
	for w := range u.ways {
		if t := wayTexts[w]; t != "" {
			ways = append(ways, t)
		}
	}
	slices.Sort(ways)
	for _, t := range ways {
		out = append(out, Step{Text: t})
	}
	if u.accurate {
		out = append(out, Step{Text: accuracyText})
	}
	return out
}
