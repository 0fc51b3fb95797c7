package infer

import (
	"spadefoot/pipeline/record"
)

// Merge takes in what another training gathered.
func (t *Training) Merge(o Training) {
	for _, ch := range o.classes {
		for i := range ch.items {
			t.add(int(ch.items[i].n), &ch.items[i], exampleLesson)
		}
	}
	t.unsure += o.unsure
}

// Add takes capture n in if its identification is verified (or trusted), named
// to the species without qualifier, and not flagged by screening.
func (t *Training) Add(n int, c *record.Capture, flagged bool, s Settings) {
	reader := newReader()
	said := reader.read(c)
	k := (&lineages{settings: &s}).make(said.naming)
	e, teaches := s.teaches(c, &said, k, flagged, s.shapelyOf(nil, &said.taken))
	t.add(n, e, teaches)
}
