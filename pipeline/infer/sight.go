package infer

import (
	"slices"

	"spadefoot/pipeline/record"
)

// sight is what the first pass sees of one capture, before it is gathered.
type sight struct {
	lineage    *lineage
	sex        string // as recorded or filled in
	doubt      doubt
	massed     bool
	body       massed
	shaped     bool // two measurements or more
	set        measuredSet
	lesson     lesson
	example    example
	findings   []record.Finding
	fill       *record.Value
	indication *Indication // where all are wanted
}

// see looks at one capture. It gives the room back, for the next.
func (x *Inference) see(s *sight, c *record.Capture, flagged bool, room []shapely) []shapely {
	var said spoken
	said.read(c)
	s.lineage = x.lineages.of(&said)
	s.sex = said.sex
	x.seeSex(s, c, &said)
	if s.body, s.massed = x.settings.massedOf(c); s.lineage.species == "" {
		s.massed = false
	}
	switch {
	case flagged:
		s.doubt = flaggedDoubt
	case slices.ContainsFunc(s.findings, func(f record.Finding) bool { return f.Level > record.Note }):
		s.doubt = sexDoubt
	case s.massed:
		s.doubt = s.body.doubtOf(&said, s.lineage)
	}
	shape := x.settings.shapelyOf(room, c)
	if s.shaped = len(shape) >= 2; s.shaped {
		for i := range shape {
			number := x.names.of(shape[i].name)
			shape[i].name = x.names.name(number) // of our own: the capture goes
			s.set.add(number)
		}
	}
	s.example, s.lesson = x.settings.teaches(c, &said, s.lineage, flagged, shape)
	return shape
}

func (x *Inference) seeSex(s *sight, c *record.Capture, said *spoken) {
	if x.whole == nil && nothingToSay(c, said, s.lineage, &x.settings) {
		return
	}
	var ind Indication
	ind, s.findings = indicate(c, said, s.lineage, &x.settings)
	if s.fill = ind.Fill; s.fill != nil {
		s.sex = ind.Sex
	}
	if x.whole != nil {
		s.indication = &ind
	}
}
