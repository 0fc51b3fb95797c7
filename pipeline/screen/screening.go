package screen

import (
	"strings"

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
// One pass is enough where no shared cause is found. Otherwise the parts are searched
// again until no slip of many is left. Judged by the survey as corrected, values that
// shifted into the next row or were exchanged with it are then put back, and the survey
// is learnt once more; a last pass judges by that. Bags left in, which only all parts
// together show, also take one more pass.
//
// It keeps no capture and no string of one: what it gathers is bounded by the
// observers, sessions, measurements, tables, instruments and taxa of the survey, and by
// the cells of shared causes. One goroutine may use it at a time; Part itself uses all
// cores.
type Screening struct {
	settings  Settings
	limits    limitTable
	find      knowledge // that slips of many are looked for by
	judge     knowledge // that captures are judged by, once those are corrected
	pass      pass
	causes    *Causes
	clean     map[partKey]bool      // parts without causes of their own, by what is known
	corrected map[partKey][][]int32 // rows of each part that the claims correct
	habits    *habits
	few       fewScreened
	pieces    []causePiece // of causes of many
	buffers   buffers
	done      bool // the survey is one part, which was judged to the end
	rejudges  bool // see Rejudges
}

// pass is what the parts are handed over for.
type pass uint8

const (
	judging   pass = iota // as long as no shared cause is found
	searching             // for more slips of many, and to learn the survey anew from the rows as corrected
	aligning              // by that, to learn it from the rows put right too
	finally               // judging by that
)

// knowledge is a summary and what follows from it.
type knowledge struct {
	sum *Summary
	f   *fitted
}

func known(sum *Summary, s Settings) knowledge { return knowledge{sum, sum.fitFor(s)} }

// partKey identifies a part: where it begins and how many captures it has.
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
	x := &Screening{settings: s, limits: tableOf(limits), find: k, judge: k, clean: map[partKey]bool{}, corrected: map[partKey][][]int32{}, causes: newCauses(s)}
	return x.afresh(judging)
}

// afresh is a screening for another pass.
func (x *Screening) afresh(p pass) *Screening {
	return &Screening{settings: x.settings, limits: x.limits, find: x.find, judge: x.judge, pass: p, clean: x.clean, corrected: x.corrected, causes: x.causes, rejudges: x.rejudges,
		habits: newHabits(), few: fewScreened{}}
}

// Summary is what captures are judged by: the survey as it was handed over or,
// after Again, as corrected.
func (x *Screening) Summary() *Summary { return x.judge.sum }

// Part judges captures of consecutive rows, in any order, by themselves and with
// those beside them: replicates, causes of many (slips down a column, values that
// shifted into the next row), and every capture. The findings are in the order of their
// addresses; End reports causes of many, and shared names the captures with cells that
// such a cause explains. A pass that is superseded returns nothing; but a part that is the
// whole survey is judged to the end at once. Findings share strings with captures.
func (x *Screening) Part(captures []*record.Capture, near Beside) (found []record.Finding, shared map[record.Address]bool) {
	captures = inOrder(captures)
	whole := x.pass == judging && len(captures) == x.find.sum.captures
	for {
		found, shared = x.part(captures, near)
		if !whole {
			return found, shared
		}
		y := x.Again()
		if y == nil {
			x.done = true
			return found, shared
		}
		*x = *y
	}
}

func (x *Screening) part(captures []*record.Capture, near Beside) (found []record.Finding, shared map[record.Address]bool) {
	if len(captures) == 0 {
		return nil, nil
	}
	p := x.replicates(captures)
	x.beside(p, near)
	defer x.buffers.close()
	c, first := x.causes, x.pass == judging
	key, searched := partKeyOf(captures), first || c.touch(p.all())
	if searched {
		x.corrected[key] = p.correctBlocks(x.find, c, first, x.corrected[key])
		defer p.many.adding.Wait()
		c.Corrects = c.Corrects || p.many.slipped // what follows is in vain
	}
	if x.pass == searching {
		c.learn(p.rows)
		return nil, nil
	}
	if first && c.Corrects {
		return nil, nil
	}
	if searched || !x.clean[key] {
		p.align(x.judge)
		x.clean[key] = !p.many.local
		c.Corrects = c.Corrects || p.many.local
	}
	if first && c.Corrects {
		return nil, nil
	}
	if p.many == nil {
		p.viewRows(x.judge)
	}
	if x.pass != finally {
		c.bags.add(p.many)
	}
	if x.pass == aligning {
		c.learn(p.rows)
		return nil, nil
	}
	return x.rest(p)
}

// learn takes in rows as corrected.
func (c *Causes) learn(rows []*row) {
	for _, r := range rows {
		c.Corrected.add(r)
	}
}

// touch reports whether any of these rows belongs to a block with an accepted claim, or
// with shifts to be added up.
func (c *Causes) touch(rows []*row) bool {
	if len(c.claims)+len(c.shifts) == 0 {
		return false
	}
	for _, r := range rows {
		of := blocks(r)
		for i := range c.claims {
			if c.claims[i].Block.holds(&of) {
				return true
			}
		}
		for key := range c.shifts {
			if key.Block.holds(&of) {
				return true
			}
		}
	}
	return false
}

func partKeyOf(captures []*record.Capture) partKey {
	at := captures[0].Address()
	return partKey{record.Address{File: strings.Clone(at.File), Sheet: strings.Clone(at.Sheet), Row: at.Row}, len(captures)}
}

// Superseded reports whether what the parts of this pass return is not the last word,
// since Again will ask for another.
func (x *Screening) Superseded() bool {
	return x.pass == searching || x.pass == aligning || x.pass == judging && x.causes.Corrects && !x.done
}

// Again returns the screening for another pass over all parts, nil where none is
// needed. It is needed where a shared cause was found: the survey is then
// judged by what is learnt from the rows as corrected, so that what is wrong in
// many cells does not blur what is right. What was found before is to be thrown
// away.
func (x *Screening) Again() *Screening {
	c := x.causes
	if x.done || x.pass == finally {
		return nil
	}
	corrected := c.Corrected
	if c.again(x.find.f, x.settings) {
		if !c.Aligned {
			return x.afresh(searching)
		}
		if len(c.claims) > 0 {
			x.judgeBy(corrected)
		}
		return x.afresh(aligning)
	}
	if c.Corrected != nil {
		x.judgeBy(c.Corrected)
	}
	if bags := c.bags.settle(x.judge.f); c.Corrected == nil && !bags {
		return nil
	}
	x.judge.f = x.judge.f.knowing(c.bags.share)
	return x.afresh(finally)
}

// judgeBy judges the parts by another summary.
func (x *Screening) judgeBy(sum *Summary) {
	x.judge, x.clean = known(sum, x.settings), map[partKey]bool{}
}

// again reports whether the parts are to be searched again, and makes ready for it: as
// long as slips of many are left, and once more to align their rows.
func (c *Causes) again(f *fitted, s Settings) bool {
	switch {
	case c.Aligned:
		return false
	case c.settle(f):
	case c.Round > 0 || c.Corrects:
		c.Aligned = true
	default:
		return false
	}
	c.Round++
	c.Corrected, c.bags = NewSummary(s), newBags(s)
	return true
}

// Untared reports whether the mass of a capture probably includes the bag, judging by
// the other masses of its session.
func (x *Screening) Untared(c *record.Capture) bool { return x.causes.bags.named[c.Address()] }

// End returns the findings on the survey as a whole, once all parts were judged: causes
// of many, sessions with bags left in, habits of observers (preferred digits, repeated
// values, masses that stop at the end of a scale, readings larger or smaller than those
// of others), and taxa in which nothing could be compared.
func (x *Screening) End() []record.Finding {
	findings := x.habits.findings(x.settings)
	findings = append(findings, x.few.findings(x.settings)...)
	findings = append(findings, x.causes.bags.findings...)
	findings = append(findings, x.shared()...)
	record.SortFindings(findings)
	return findings
}
