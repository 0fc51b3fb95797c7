package screen

import (
	"cmp"
	"encoding/binary"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
	"spadefoot/pipeline/record/succession"
)

// maxTogether is the number of captures of one taxon and day that are compared
// with each other; where there are more, as in a large survey without dates,
// only captures that stand within so many are.
const maxTogether = 20000

// Duplicates looks for captures that were entered twice, in the whole survey: the
// same taxon and day, and every reading of both the same (at least three), or
// all but one (at least four the same), if that and all else that was written of
// them is hardly to be had from two animals. Each capture is added with its ordinal
// in the survey; Pairs then names the pairs that are to be fetched and handed
// to Finding. It keeps some fifty bytes per capture, in a file once they are
// many.
type Duplicates struct {
	spill     spill
	sheets    sheets
	positions succession.Keys[position]
	hashes    []uint32 // of the positions
	record    []byte
	f         *fitted
	pairs     [][2]int
	company   map[uint64]int // captures of the taxon and day, where any are alike
}

// position is a column of readings: a measurement and which time it was taken.
type position struct {
	measurement string
	side        string
	replicate   int
}

// NewDuplicates starts the search. Files are made in the folder; without one
// everything is kept in memory.
func NewDuplicates(folder string) *Duplicates {
	return &Duplicates{spill: spill{folder: folder, most: maxHeld}}
}

// Add takes a capture in. Ordinals are the caller's and need not be in order.
func (d *Duplicates) Add(ordinal int, c *record.Capture) error {
	day := dayOf(c)
	b := appendStanding(d.record[:0], day, ordinal, &d.sheets, c)
	b = append(b, 0)
	n := 0
	for i := range c.Readings {
		if r := &c.Readings[i]; !r.Derived && r.Usable() && dimensionOf(r.Unit) != neither && n < 255 {
			b = binary.LittleEndian.AppendUint32(b, d.position(r))
			b = binary.LittleEndian.AppendUint32(b, uint32(digest.Spread(hash(r.Text))))
			n++
		}
	}
	d.record = b
	if n < minSame {
		return nil
	}
	b[standingSize] = byte(n)
	return d.spill.add(day, b)
}

// dayOf is a hash of the taxon and day of a capture.
func dayOf(c *record.Capture) uint64 {
	return digest.Spread(hash(c.Kind(), c.Get("eventDate")))
}

func (d *Duplicates) position(r *record.Reading) uint32 {
	at := d.positions.Find(position{r.Measurement, r.Side, r.Replicate})
	if at < 0 {
		at = d.positions.Add(position{strings.Clone(r.Measurement), strings.Clone(r.Side), r.Replicate})
		d.hashes = append(d.hashes, uint32(digest.Spread(hash(r.Measurement, r.Side+strconv.Itoa(r.Replicate)))))
	}
	return d.hashes[at]
}

// candidate is one capture as it is compared with others.
type candidate struct {
	standing
	marks []uint64 // position and text of each reading
}

// Pairs lists the pairs of ordinals that look like one capture entered twice,
// in the order of the survey. Of each pair the one with the lower address comes
// first: it is the capture of the same taxon and day that has most readings in
// common with the other and stands above it, of equals the first. sum is what
// Finding compares by.
func (d *Duplicates) Pairs(sum *Summary, s Settings) ([][2]int, error) {
	var err error
	if d.company == nil { // else they were found elsewhere
		d.pairs, d.company, err = d.Alike()
	}
	d.f = sum.fitFor(s)
	return d.pairs, err
}

// Found makes one whose pairs were found by Alike of others, which had the
// captures of some taxa and days each.
func Found(pairs [][2]int, company map[uint64]int) *Duplicates {
	inTurn(pairs)
	return &Duplicates{pairs: pairs, company: company}
}

// Alike returns the pairs of Pairs, and how many captures there are of the taxa
// and days, by their hashes, that any of them is of.
func (d *Duplicates) Alike() ([][2]int, map[uint64]int, error) {
	company := map[uint64]int{}
	ranks := d.sheets.ranks()
	var pairs [][2]int
	var all []candidate
	var sorted []*candidate
	var marks []uint64
	index := newMarkIndex()
	err := d.spill.each(func(b []byte) {
		all, marks = parseCandidate(b, ranks, all[:0], marks[:0])
		sorted = sorted[:0]
		for i := range all {
			sorted = append(sorted, &all[i])
		}
		slices.SortFunc(sorted, func(a, b *candidate) int {
			if a.group != b.group {
				return cmp.Compare(a.group, b.group)
			}
			return a.compareRows(&b.standing)
		})
		for from := 0; from < len(sorted); {
			day := sorted[from].group
			to := from + 1
			for to < len(sorted) && sorted[to].group == day && to-from < maxTogether {
				to++
			}
			before := len(pairs)
			if pairs = index.alikeIn(sorted[from:to], pairs); len(pairs) > before {
				company[day] += to - from
			}
			from = to
		}
	})
	inTurn(pairs)
	return pairs, company, err
}

// NumberSheets numbers the sheets of the survey alike on all machines, before any capture is
// added.
func (d *Duplicates) NumberSheets(sheets [][2]string) {
	for _, s := range sheets {
		d.sheets.of(s[0], s[1])
	}
}

// Packed returns what was added, in blocks by the first bits of the hashes of
// taxon and day. Nothing must have gone to the file yet.
func (d *Duplicates) Packed(bits int) map[int][]byte {
	out := map[int][]byte{}
	for i := range d.spill.drawers {
		eachRecord(d.spill.drawers[i].held, func(day uint64, b []byte) error {
			at := int(day >> 1 >> (63 - bits))
			out[at] = append(out[at], b...)
			return nil
		})
	}
	return out
}

// AddPacked adds a block of Packed of a machine that knows the same sheets.
func (d *Duplicates) AddPacked(block []byte) error { return eachRecord(block, d.spill.add) }

func eachRecord(b []byte, do func(day uint64, b []byte) error) error {
	for len(b) > 0 {
		n := standingSize + 1 + 8*int(b[standingSize])
		if err := do(binary.LittleEndian.Uint64(b), b[:n]); err != nil {
			return err
		}
		b = b[n:]
	}
	return nil
}

func parseCandidate(b []byte, ranks []int, all []candidate, marks []uint64) ([]candidate, []uint64) {
	marks = slices.Grow(marks, len(b)/8+1) // they must not move
	for len(b) > 0 {
		c := candidate{standing: standingOf(b, ranks)}
		n := int(b[standingSize])
		b = b[standingSize+1:]
		from := len(marks)
		for range n {
			marks = append(marks, uint64(binary.LittleEndian.Uint32(b))<<32|uint64(binary.LittleEndian.Uint32(b[4:])))
			b = b[8:]
		}
		c.marks = marks[from:]
		all = append(all, c)
	}
	return all, marks
}

// Finding reports whether b looks like another entry of a, and how.
func (d *Duplicates) Finding(a, b *record.Capture) (record.Finding, bool) {
	return d.f.sameCapture(a, b, d.company[dayOf(b)])
}

// Close removes the file, if there is one.
func (d *Duplicates) Close() error { return d.spill.Close() }
