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
	weighed    weighed
	shaped     bool // two measurements or more
	set        measuredSet
	lesson     lesson
	example    *example
	verified   string  // the sex, where it is verified
	characters []sexed // of an animal of verified sex
	findings   []record.Finding
	fill       *record.Value
	indication *Indication // where all are wanted
}

// worker is one of many that add captures: it has memory of its own, and need
// not ask for the names that it has met.
type worker struct {
	*Inference
	reader reader
	sights []sight // of the captures that were looked at last
	shapes []shapely
	met    []numbered
}

// see looks at one capture.
func (l *worker) see(s *sight, c *record.Capture, flagged bool) {
	said := l.reader.read(c)
	s.lineage = l.lineages.of(&said)
	s.sex = said.sex
	l.seeSex(s, c, &said)
	body, massed := l.settings.massedOf(&said.taken)
	s.weighed, s.massed = body.weighed(), massed && s.lineage.species != ""
	switch {
	case flagged:
		s.doubt = flaggedDoubt
	case slices.ContainsFunc(s.findings, func(f record.Finding) bool { return f.Level > record.Note }):
		s.doubt = sexDoubt
	case s.massed:
		s.doubt = body.doubtOf(&said, s.lineage)
	}
	l.shapes = l.settings.shapelyOf(l.shapes[:0], &said.taken)
	if s.shaped = len(l.shapes) >= 2; s.shaped {
		for i := range l.shapes {
			own := l.number(l.shapes[i].name)
			l.shapes[i].name = own.name // the capture goes
			s.set.add(own.number)
		}
	}
	if s.doubt != flaggedDoubt && s.doubt != sexDoubt {
		if s.verified = l.verifiedSex(c, &said, s.lineage); s.verified != "" {
			s.characters = l.settings.charactersOf(&said, s.lineage)
		}
	}
	s.example, s.lesson = l.settings.teaches(c, &said, s.lineage, flagged, l.shapes)
}

func (l *worker) number(name string) numbered {
	for i := range l.met {
		if l.met[i].name == name {
			return l.met[i]
		}
	}
	found := l.names.of(name)
	if len(l.met) < 32 {
		l.met = append(l.met, found)
	}
	return found
}

func (x *Inference) seeSex(s *sight, c *record.Capture, said *clues) {
	if x.whole == nil && uneventful(c, said, s.lineage, &x.settings) {
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
