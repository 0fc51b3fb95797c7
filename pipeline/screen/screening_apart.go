//go:build !onemachine

package screen

import "spadefoot/pipeline/record"

// A survey whose parts are judged on several machines is handed over like this;
// what the parts say of causes is joined in between, in any order:
//
//	x := NewScreening(sum, limits, s)   every part: Part, with what is beside it; Causes
//	Relearn                             every part, where a cause of many was found
//	x := Finally(sum, limits, s, causes) every part where Told says so: Part; Departures
//	x := Finally(sum, limits, s, causes) one machine, part by part in their order: Take; End

// Causes is what parts say of causes that only all of them together tell.
type Causes struct {
	Mends  bool     // slips of many cells were found: the survey is to be learnt again
	Mended *Summary // from the rows as mended; nil as long as it is not
	bags   *bags
}

// Causes returns what the parts so far say of causes.
func (x *Screening) Causes() *Causes {
	c := &Causes{Mends: x.mends, Mended: x.mended, bags: x.bags}
	if x.judge.sum != x.find.sum {
		c.Mended = x.judge.sum // of a part that is the whole survey
	}
	return c
}

type sentCauses struct {
	Mends, Learnt bool
	Mended        *Summary
	Bags          *bags
}

// GobEncode writes the causes down, and GobDecode reads them.
func (c *Causes) GobEncode() ([]byte, error) {
	return gobbed(&sentCauses{c.Mends, c.Mended != nil, c.Mended, c.bags})
}

// GobDecode reads what GobEncode wrote.
func (c *Causes) GobDecode(b []byte) error {
	var in sentCauses
	err := ungobbed(b, &in)
	c.Mends, c.Mended, c.bags = in.Mends, in.Mended, in.Bags
	return err
}

// Join adds what other parts say.
func (c *Causes) Join(o *Causes) {
	c.Mends = c.Mends || o.Mends
	if c.Mended == nil {
		c.Mended = o.Mended
	} else if o.Mended != nil {
		c.Mended.Merge(o.Mended)
	}
	if c.bags == nil {
		c.bags = o.bags
	} else if o.bags != nil {
		c.bags.merge(o.bags)
	}
}

// merge takes in the masses of other parts.
func (b *bags) merge(o *bags) {
	for mark, from := range o.sessions {
		if u := b.sessions[mark]; u != nil {
			u.masses = append(u.masses, from.masses...)
		} else {
			b.sessions[mark] = from
		}
		b.masses += len(from.masses)
	}
	b.chosen = min(b.chosen, o.chosen)
	b.choose()
}

// Relearn learns a part as mended, after a cause of many was found in any part.
// Clean says that Part found none in this one.
func Relearn(sum *Summary, limits []Limit, s Settings, captures []*record.Capture, near Beside, clean bool) *Causes {
	x := NewScreening(sum, limits, s)
	x.pass, x.mended = learning, NewSummary(s)
	if len(captures) > 0 && clean {
		x.clean[partKeyOf(inOrder(captures))] = true
	}
	x.Part(captures, near)
	return x.Causes()
}

// Finally returns the screening that knows the causes of all parts. Others that are
// made of it by Another judge the parts.
func Finally(sum *Summary, limits []Limit, s Settings, c *Causes) *Screening {
	x := NewScreening(sum, limits, s)
	x.pass = finally
	if c.Mended != nil {
		x.judge = known(c.Mended.Under(s), s)
	}
	if c.bags != nil {
		c.bags.settings = s
		x.bags = c.bags
	}
	x.told = x.bags.settle() || c.Mends
	return x
}

// Another returns a screening by the same knowledge, for a part. Many goroutines may
// make them of one.
func (x *Screening) Another() *Screening {
	return &Screening{settings: x.settings, limits: x.limits, find: x.find, judge: x.judge, pass: x.pass,
		clean: map[partKey]bool{}, habits: newHabits(), few: fewScreened{}, bags: x.bags, told: x.told}
}

// Under sets the settings that a summary from another machine is judged by.
func (s *Summary) Under(settings Settings) *Summary {
	s.settings = settings
	return s
}

// Told reports whether causes were found by which the parts are judged again.
func (x *Screening) Told() bool { return x.told }

// Departures returns how the captures of the part that was judged lie beside what
// is expected of them, by observer, for Take.
func (x *Screening) Departures() ([]byte, error) { return x.habits.bias.GobEncode() }

// Take takes in a part that was judged elsewhere, for what End says.
func (x *Screening) Take(captures []*record.Capture, departures []byte) error {
	captures = inOrder(captures)
	x.buffers.open(len(captures))
	defer x.buffers.close()
	for from := 0; from < len(captures); from += rowsAtOnce {
		some := captures[from:min(from+rowsAtOnce, len(captures))]
		buf := x.buffers.of(from)
		rows := buf.rowsFor(some)
		for i, c := range some {
			rows[i] = buf.builder.row(c)
			x.buffers.rows[from+i] = &rows[i]
		}
	}
	x.habits.add(x.buffers.rows)
	x.few.add(x.buffers.rows, x.judge.f, x.limits)
	return x.habits.bias.GobDecode(departures)
}
