//go:build !onemachine

package screen

import "encoding/binary"

// The marks of a survey can be followed by several machines, each of which has the
// captures of some of them (Packed, AddPacked): all count (Count), all gather signs
// by the counts of all (Signs), all look for suspects by the signs of all
// (Suspects). FoundMarks is what they found.

// NumberSheets numbers the sheets of the survey alike on all machines, before any capture is
// added.
func (m *Marks) NumberSheets(sheets [][2]string) {
	for _, s := range sheets {
		m.sheets.of(s[0], s[1])
	}
}

// Packed returns what was added, in blocks by the first bits of the hashes of
// marks. Nothing must have gone to the file yet.
func (m *Marks) Packed(bits int) map[int][]byte {
	out := map[int][]byte{}
	for i := range m.spill.drawers {
		_ = eachMarked(m.spill.drawers[i].held, func(mark uint64, b []byte) error {
			at := int(mark >> 1 >> (63 - bits))
			out[at] = append(out[at], b...)
			return nil
		})
	}
	return out
}

// AddPacked adds a block of Packed of a machine that knows the same sheets.
func (m *Marks) AddPacked(block []byte) error { return eachMarked(block, m.spill.add) }

func eachMarked(b []byte, do func(mark uint64, b []byte) error) error {
	for len(b) > 0 {
		n := standingSize + 25
		n += 1 + int(b[n])
		n += 1 + int(b[n])*markedLengthSize
		if err := do(binary.LittleEndian.Uint64(b), b[:n]); err != nil {
			return err
		}
		b = b[n:]
	}
	return nil
}

// Count counts the pairs of neighbours that contradict each other.
func (m *Marks) Count() ([]byte, error) {
	if err := m.count(); err != nil {
		return nil, err
	}
	s := &m.scope
	return gobbed([]int{s.pairs, s.otherKind, s.apart, s.apartDiffer, s.together, s.closeDiffer, s.first})
}

// Within settles, by the counts of all machines, within what a mark names one
// animal.
func (m *Marks) Within(counts [][]byte) error {
	s := markScope{first: -1}
	for _, block := range counts {
		var n []int
		if err := ungobbed(block, &n); err != nil {
			return err
		}
		for i, to := range []*int{&s.pairs, &s.otherKind, &s.apart, &s.apartDiffer, &s.together, &s.closeDiffer} {
			*to += n[i]
		}
		if first := n[6]; first >= 0 && (s.first < 0 || first < s.first) {
			s.first = first
		}
	}
	s.settle()
	m.scope = s
	return nil
}

// Signs gathers what the recaptures show, after Within.
func (m *Marks) Signs() ([]byte, error) {
	g, err := m.signs()
	if err != nil {
		return nil, err
	}
	return gobbed(g)
}

// joinMarkSigns joins the signs of all machines, in the order of the hashes of their
// marks.
func joinMarkSigns(blocks [][]byte) (*markSigns, error) {
	g := newMarkSigns()
	for _, block := range blocks {
		var o markSigns
		if err := ungobbed(block, &o); err != nil {
			return nil, err
		}
		for n, sample := range o.Again {
			sampleOf(g.Again, n).Merge(sample)
		}
		for n, sample := range o.Rates {
			sampleOf(g.Rates, n).Merge(sample)
		}
		for taxon, r := range o.Grown {
			if g.Grown[taxon] == nil {
				g.Grown[taxon] = &recaptured{}
			}
			g.Grown[taxon].join(r)
		}
		for days, pairs := range o.Days {
			g.count(days, pairs)
		}
		for mark, seen := range o.Known {
			if len(g.Known) < maxMarks { // of so many none is looked for
				g.Known[mark] = seen
			}
		}
	}
	return g, nil
}

// Suspects are the pairs that Follow may find something in, and how many pairs
// there are, by the signs of all machines, after Within.
func (m *Marks) Suspects(signs [][]byte, sum *Summary, limits []Limit, s Settings) (pairs [][2]int, all int, err error) {
	g, err := joinMarkSigns(signs)
	if err != nil {
		return nil, 0, err
	}
	m.learn(g, sum, limits, s)
	return m.suspects()
}

// FoundMarks makes one of what was found by several machines.
func FoundMarks(counts, signs [][]byte, pairs [][2]int, all int) (*Marks, error) {
	g, err := joinMarkSigns(signs)
	if err != nil {
		return nil, err
	}
	inTurn(pairs)
	m := NewMarks("")
	m.found = &foundMarks{g, pairs, all}
	return m, m.Within(counts)
}

// Found are the pairs that FoundMarks was given.
func (m *Marks) Found() [][2]int { return m.found.pairs }
