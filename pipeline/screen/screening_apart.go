//go:build !onemachine

package screen

import (
	"slices"

	"spadefoot/pipeline/record"
)

// A survey whose parts are judged on several machines is handed over like this; the
// causes of the parts are joined in between, in any order:
//
//	x := NewScreening(sum, limits, s)   every part: Part, with what is beside it; Causes
//	Relearn                             every part, Rounds times; nothing where nothing is left to be found
//	x := Finally(sum, limits, s, causes) every part, if Rejudges: Part; Contribution
//	x := Finally(sum, limits, s, causes) one machine: Take; End

// Rounds is how often the parts are searched anew at most.
const Rounds = maxRounds + 1 // once to align rows

// Causes returns the evidence of the parts so far.
func (x *Screening) Causes() *Causes { return x.causes }

type sentCauses struct {
	Round                     int
	Aligned, Corrects, Learnt bool
	Corrected                 *Summary
	Bags                      *bags
	Sums                      map[uint64]*blockSum
	Reach                     map[uint64]correctionSet
	Claims                    []claim
	Shifts                    map[claimKey]*shiftSum
}

// GobEncode writes the causes down, and GobDecode reads them.
func (c *Causes) GobEncode() ([]byte, error) {
	return gobbed(&sentCauses{c.Round, c.Aligned, c.Corrects, c.Corrected != nil, c.Corrected, c.bags, c.sums, c.reach, c.claims, c.shifts})
}

// GobDecode reads what GobEncode wrote.
func (c *Causes) GobDecode(b []byte) error {
	var in sentCauses
	err := ungobbed(b, &in)
	*c = Causes{Round: in.Round, Aligned: in.Aligned, Corrects: in.Corrects, Corrected: in.Corrected, bags: in.Bags, sums: in.Sums, reach: in.Reach, claims: in.Claims, fresh: len(in.Claims), shifts: in.Shifts}
	if c.sums == nil {
		c.sums = map[uint64]*blockSum{}
	}
	if c.reach == nil {
		c.reach = map[uint64]correctionSet{}
	}
	if c.shifts == nil {
		c.shifts = map[claimKey]*shiftSum{}
	}
	return err
}

// Relearn searches a part anew by the causes of all parts, and returns its contribution;
// nil where nothing is left to be found. Clean: Part found no shifted or exchanged rows in
// it.
func Relearn(sum *Summary, limits []Limit, s Settings, c *Causes, captures []*record.Capture, near Beside, clean bool) *Causes {
	x := NewScreening(sum, limits, s)
	if x.causes = c.next(x.find.f, s); x.causes == nil {
		return nil
	}
	x.pass = searching
	if len(captures) > 0 && clean {
		x.clean[partKeyOf(inOrder(captures))] = true
	}
	if x.causes.Aligned {
		x.pass = aligning
		if len(c.claims) > 0 {
			x.judgeBy(c.Corrected.Under(s))
		}
	}
	x.Part(captures, near)
	return x.causes
}

// More reports whether parts are to be searched anew.
func (c *Causes) More(sum *Summary, s Settings) bool { return c.next(sum.fitFor(s), s) != nil }

// next is what a part adds to in the next round, nil where there is none.
func (c *Causes) next(f *fitted, s Settings) *Causes {
	own := *c
	own.claims = slices.Clip(c.claims)
	if !own.again(f, s) {
		return nil
	}
	own.sums, own.reach, own.last = map[uint64]*blockSum{}, map[uint64]correctionSet{}, [len(blockKinds)]lastBlock{}
	shifts := map[claimKey]*shiftSum{}
	for key := range own.shifts {
		shifts[key] = &shiftSum{}
	}
	own.shifts = shifts
	return &own
}

// Finally returns the screening that knows the causes of all parts. Others that are
// made of it by Another judge the parts.
func Finally(sum *Summary, limits []Limit, s Settings, c *Causes) *Screening {
	x := NewScreening(sum, limits, s)
	x.pass = finally
	if c.Corrected != nil {
		x.judgeBy(c.Corrected.Under(s))
	}
	own := *c
	own.fresh = len(own.claims)
	if own.bags == nil {
		own.bags = newBags(s)
	}
	own.bags.settings = s
	x.causes = &own
	x.rejudges = own.bags.settle(x.judge.f) || c.Corrected != nil
	x.judge.f = x.judge.f.knowing(own.bags.share)
	return x
}

// Another returns a screening by the same knowledge, for a part. Many goroutines may
// make them of one.
func (x *Screening) Another() *Screening {
	y := x.afresh(x.pass)
	y.clean, y.corrected = map[partKey]bool{}, map[partKey][][]int32{}
	c := *x.causes
	y.causes = &c
	return y
}

// Under sets the settings that a summary from another machine is judged by.
func (s *Summary) Under(settings Settings) *Summary {
	s.settings = settings
	return s
}

// Rejudges reports whether causes were found that require all parts to be judged again.
func (x *Screening) Rejudges() bool { return x.rejudges }

// Contribution is what is known of parts once they were judged, for End: habits of
// observers, taxa that nothing was compared in, and pieces of causes of many. Those of
// different parts join in any order.
type Contribution struct {
	Habits *habits
	Few    fewScreened
	Pieces []causePiece
}

// Contribution returns what Take takes of a part that was judged with what is beside it.
func (x *Screening) Contribution(near Beside) *Contribution {
	tables := map[tableKey]bool{}
	for _, c := range slices.Concat(near.Before, near.After) {
		tables[tableOfCapture(c)] = true
	}
	x.habits.Columns.handOver(tables)
	return &Contribution{x.habits, x.few, x.pieces}
}

type sentContribution Contribution

// GobEncode writes contributions down, and GobDecode reads them.
func (d *Contribution) GobEncode() ([]byte, error) { return gobbed((*sentContribution)(d)) }

// GobDecode reads what GobEncode wrote.
func (d *Contribution) GobDecode(b []byte) error {
	*d = Contribution{newHabits(), fewScreened{}, nil}
	return ungobbed(b, (*sentContribution)(d))
}

// Join adds those of other parts.
func (d *Contribution) Join(o *Contribution) {
	d.Habits.join(o.Habits)
	d.Few.join(o.Few)
	d.Pieces = append(d.Pieces, o.Pieces...)
}

// Take takes in parts that were judged elsewhere, for what End says.
func (x *Screening) Take(from *Contribution) {
	(&Contribution{x.habits, x.few, nil}).Join(from)
	x.pieces = append(x.pieces, from.Pieces...)
}
