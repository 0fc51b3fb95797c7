package screen

import (
	"spadefoot/pipeline/record"
)

// Screening judges a survey that is handed over part by part:
//
//	x := NewScreening(sum, limits, s)
//	for each part { x.Part(captures, beside) }
//	for y := x.Again(); y != nil; y = x.Again() {
//		x = y // forget what was found so far
//		for each part { x.Part(captures, beside) }
//	}
//	x.End()
//
// One pass is enough where no shared cause is found. Where one is, a second
// pass learns the survey from the rows as mended, and a third judges by that.
// Where masses of a session have the bag in, which only all parts together
// tell, the parts are judged by that once more.
//
// It keeps no capture and no string of one: what it gathers is bounded by the
// observers, measurements, tables, instruments and taxa of the survey. One
// goroutine may use it at a time; Part itself uses all cores.
type Screening struct {
	settings Settings
	limits   limitTable
	find     knowledge // that causes of many are looked for by
	judge    knowledge // that captures are judged by, once those are mended
	pass     pass
	mended   *Summary // of the rows as mended, in the second pass
	mends    bool     // a shared cause was found in the first
	clean    map[partKey]bool
	habits   *habits
	few      fewScreened
	bags     *bags
	buffers  buffers
	told     bool // of Finally
}

// pass is what the parts are handed over for.
type pass uint8

const (
	judging  pass = iota // as long as no shared cause is found
	learning             // the survey anew, from the rows as mended
	finally              // judging by that
)

// knowledge is a summary and what follows from it.
type knowledge struct {
	sum *Summary
	f   *fitted
}

func known(sum *Summary, s Settings) knowledge { return knowledge{sum, sum.fitFor(s)} }

// partKey tells a part from others: where it begins and how many captures it
// has.
type partKey struct {
	first record.Address
	n     int
}

// Learnt is the screening with nothing of the captures but their summary.
func (x *Screening) Learnt() *Screening {
	return &Screening{settings: x.settings, limits: x.limits, judge: x.judge}
}

// NewScreening starts the judgement of a survey; sum holds all of its captures.
func NewScreening(sum *Summary, limits []Limit, s Settings) *Screening {
	k := known(sum, s)
	return &Screening{settings: s, limits: tableOf(limits), find: k, judge: k,
		clean: map[partKey]bool{}, habits: newHabits(), few: fewScreened{}, bags: newBags(s)}
}

// Summary is what captures are judged by: the survey as it was handed over or,
// after Again, as mended.
func (x *Screening) Summary() *Summary { return x.judge.sum }

// Part judges captures of consecutive rows, in any order, by themselves and with
// those beside them: replicates, causes
// of many (slips down a column, values that shifted into the next row) within the
// part, and every capture. The findings are in the order of their addresses.
// Where the pass is in vain (see InVain) it gives nothing; but a part that is
// the whole survey is judged again at once. Findings share strings with
// captures.
func (x *Screening) Part(captures []*record.Capture, near Beside) []record.Finding {
	if len(captures) == 0 || x.mends {
		return nil
	}
	captures = inOrder(captures)
	p := x.replicates(captures)
	x.beside(p, near)
	defer x.buffers.close()
	if x.pass == judging && len(captures) == x.find.sum.captures {
		return x.whole(p)
	}
	p.partial = true
	key := partKeyOf(captures)
	if !x.clean[key] {
		p.search(x.find)
		x.clean[key] = p.many.told.size() == 0
	}
	switch x.pass {
	case judging:
		if x.mends = !x.clean[key]; x.mends {
			return nil
		}
		x.bags.add(p.many)
	case learning:
		if p.many != nil { // not taken in before
			x.bags.add(p.many)
		}
		for _, r := range p.rows {
			x.mended.add(r)
		}
		return nil
	}
	if p.many == nil || x.judge.f != p.many.f {
		p.look(x.judge)
	}
	return x.rest(p)
}

// whole judges the only part of a survey: it learns the survey again at once.
func (x *Screening) whole(p *part) []record.Finding {
	p.search(x.find)
	x.bags.add(p.many)
	x.bags.settle()
	if p.many.told.size() > 0 {
		sum := NewSummary(x.settings)
		for _, r := range p.rows {
			sum.add(r)
		}
		x.judge = known(sum, x.settings)
		p.look(x.judge)
	}
	return x.rest(p)
}

func partKeyOf(captures []*record.Capture) partKey {
	at := captures[0].Address()
	return partKey{record.Address{File: kept(at.File), Sheet: kept(at.Sheet), Row: at.Row}, len(captures)}
}

// InVain reports whether what the parts of this pass give is to be thrown away,
// since Again will ask for another.
func (x *Screening) InVain() bool { return x.pass == learning || x.mends }

// Again returns the screening for another pass over all parts, nil where none is
// needed. It is needed where a shared cause was found: the survey is then
// judged by what is learnt from the rows as mended, so that what is wrong in
// many cells does not blur what is right. What was found before is to be thrown
// away.
func (x *Screening) Again() *Screening {
	y := &Screening{settings: x.settings, limits: x.limits, find: x.find, judge: x.judge,
		clean: x.clean, habits: newHabits(), few: fewScreened{}, bags: x.bags}
	switch {
	case x.mends:
		y.pass, y.mended = learning, NewSummary(x.settings)
	case x.pass == learning:
		x.bags.settle()
		y.pass, y.judge = finally, known(x.mended, x.settings)
	case x.pass == judging && x.bags.settle():
		y.pass = finally
	default:
		return nil
	}
	return y
}

// Untared reports whether the mass of a capture probably has the bag in it, as
// the other masses of its session tell.
func (x *Screening) Untared(c *record.Capture) bool { return x.bags.named[c.Address()] }

// End returns what is said of the survey as a whole, once all parts were judged:
// sessions with bags left in, habits of hands (preferred digits, values that repeat, masses that stop at
// the end of a scale, observers who read larger or smaller), and taxa that
// nothing could be compared in.
func (x *Screening) End() []record.Finding {
	findings := x.habits.findings(x.settings)
	findings = append(findings, x.few.findings(x.settings)...)
	findings = append(findings, x.bags.findings...)
	record.SortFindings(findings)
	return findings
}
