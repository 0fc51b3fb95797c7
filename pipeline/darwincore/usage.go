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
	with map[string]map[string]bool // instrument to labels of measurements
	ways map[record.WeighWay]bool
}

func (u *usage) add(c *record.Capture, label func(string) string) {
	for _, r := range published(c) {
		if r.Derived || r.Instrument == "" || Value(r) == "" {
			continue
		}
		if u.with == nil {
			u.with = map[string]map[string]bool{}
		}
		if u.with[r.Instrument] == nil {
			u.with[r.Instrument] = map[string]bool{}
		}
		name := r.Measurement
		if label != nil {
			name = firstOf(label(name), name)
		}
		u.with[r.Instrument][name] = true
	}
	if c.Weighing != nil && c.Weighing.Way != "" {
		if u.ways == nil {
			u.ways = map[record.WeighWay]bool{}
		}
		u.ways[c.Weighing.Way] = true
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

// steps describes the methods: a step per instrument, then one per way of
// weighing.
func (u *usage) steps(d *Dataset) []Step {
	var out []Step
	for _, name := range slices.Sorted(maps.Keys(u.with)) {
		i := d.instrument(name).String()
		out = append(out, Step{
			Text:        "Measured with " + i + ": " + strings.Join(slices.Sorted(maps.Keys(u.with[name])), ", ") + ".",
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
	return out
}
