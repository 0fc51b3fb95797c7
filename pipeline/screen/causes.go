package screen

import (
	"cmp"
	"math"
	"slices"

	"spadefoot/pipeline/record/digest"
	"spadefoot/pipeline/record/sorting"
)

// Causes gathers the evidence of all parts for causes of many cells. Each capture
// contributes its gain from each slip of each of its blocks, in whole numbers, so that
// neither the number of parts nor their order matters; settle accepts the likeliest
// slips. The captures that these correct contribute anew, and so on.
type Causes struct {
	Round     int      // how often parts were searched again
	Aligned   bool     // the last time to align their rows
	Corrects  bool     // parts have shifted or exchanged rows
	Corrected *Summary // from the rows as corrected; nil as long as it is not
	bags      *bags
	sums      map[uint64]*blockSum       // by digest of the block
	last      [len(blockKinds)]lastBlock // where the capture before was added, by kind of block
	reach     map[uint64]correctionSet   // the corrections that could change a capture, by their digest
	claims    []claim                    // that are accepted, in the order in which they are corrected
	fresh     int                        // the first of them that the sums do not reflect
	shifts    map[claimKey]*shiftSum
}

// maxRounds bounds how often parts are searched again, and maxClaims the causes of many
// in a survey.
const (
	maxRounds = 8
	maxClaims = 200
)

// blockKey names a block: its kind and the hash of what it is called. Of a run of
// rows the hash is that of the table, and From and To are its first and its last
// stretch.
type blockKey struct {
	Kind     int8
	Mark     uint64
	From, To int32
}

// holds reports whether a capture belongs to a block, or stands in the stretch before
// or behind a run, where its first and its last rows may be.
func (k *blockKey) holds(of *blocksOf) bool {
	return of.marks[k.Kind] == k.Mark && (k.Kind != runOfRows || k.From-1 <= of.stretch && of.stretch <= k.To+1)
}

// beside reports whether a capture that a block holds stands before or behind it.
func (k *blockKey) beside(of *blocksOf) bool {
	return k.Kind == runOfRows && (of.stretch < k.From || of.stretch > k.To)
}

// claimKey is a correction of a block.
type claimKey struct {
	Block      blockKey
	Correction int
}

// claim is a correction of a block with its log posterior odds.
type claim struct {
	Block      blockKey
	Correction int
	Odds       float64
}

// digest is the number that a block goes by.
func (k *blockKey) digest() uint64 {
	return digest.Spread(k.Mark + digest.Spread(uint64(k.Kind)+uint64(k.From)<<8+uint64(k.To)<<36))
}

// blockSum adds up the contributions of the captures of a block.
type blockSum struct {
	Block   blockKey
	Reached []reached
	Gains   []gainSum // of corrections with more than the least gain
}

// lastBlock is a block beside its sum, which need not be looked at to know it.
type lastBlock struct {
	key blockKey
	sum *blockSum
}

// newBlockSum makes one in the same piece of memory as what most blocks hold: they
// are many, and small.
func newBlockSum(block blockKey) *blockSum {
	b := &struct {
		blockSum
		reached [2]reached
		gains   [2]gainSum
	}{blockSum: blockSum{Block: block}}
	b.Reached, b.Gains = b.reached[:0], b.gains[:0]
	return &b.blockSum
}

// reached is how many captures of a block the same corrections could change.
type reached struct {
	Reach uint64 // digest of these
	N     int32
}

// gainSum adds up the gains from one correction.
type gainSum struct {
	Correction int16
	Corrects   int32 // captures
	Gain       int64 // above minGain of each
}

// shiftSum adds up, for each shift, how likely the captures of a block are if all their
// masses are larger or smaller by it.
type shiftSum [2*maxBlockShift + 1]int64

// minEach is the least mean gain of the captures of a block, as a log: over many
// thousands, small errors of a model would add up to a swap of two columns that are
// nearly alike.
const minEach = 0.25

// gainUnit is the unit that gains are added in.
const gainUnit = 1 << 20

func whole(gain float64) int64 { return int64(math.Round(gain * gainUnit)) }

func newCauses(s Settings) *Causes {
	return &Causes{bags: newBags(s), sums: map[uint64]*blockSum{}, reach: map[uint64]correctionSet{}, shifts: map[claimKey]*shiftSum{}}
}

// contribution is that of one capture: the corrections that could change it, and the
// gains above the least.
type contribution struct {
	reach    uint64 // digest of the corrections
	possible correctionSet
	gains    []correctionGain
}

// correctionSet is a set of corrections, each a bit.
type correctionSet []uint64

func (s correctionSet) add(correction int) { s[correction/64] |= 1 << (correction % 64) }

func (s correctionSet) holds(correction int16) bool {
	return int(correction) < 64*len(s) && s[correction/64]&(1<<(correction%64)) != 0
}

func (s correctionSet) digest() (d uint64) {
	for _, bits := range s {
		d = digest.Spread(d + bits)
	}
	return d
}

// correctionGain is what one capture gains from one correction.
type correctionGain struct {
	correction, corrects int16
	gain                 int64
}

// add adds the contributions of captures, or takes them back with a sign of -1.
func (c *Causes) add(of []blocksOf, all []contribution, sign int) {
	for i := range all {
		if own := &all[i]; c.reach[own.reach] == nil {
			c.reach[own.reach] = slices.Clone(own.possible)
		}
	}
	blocks := make([]*blockSum, len(all))
	for kind := range blockKinds {
		for i := range blocks {
			blocks[i] = c.block(of[i].key(kind))
		}
		for i, b := range blocks { // apart, since most are not in the processor's cache
			if b != nil {
				b.add(&all[i], sign)
			}
		}
	}
}

// key names the block of a kind that a capture belongs to.
func (of *blocksOf) key(kind int) blockKey {
	key := blockKey{Kind: int8(kind), Mark: of.marks[kind]}
	if kind == runOfRows {
		key.From, key.To = of.stretch, of.stretch
	}
	return key
}

func (b *blockSum) add(own *contribution, sign int) {
	b.reached(own.reach).N += int32(sign)
	for _, g := range own.gains {
		s := b.gainOf(g.correction)
		s.Corrects += int32(sign) * int32(g.corrects)
		s.Gain += int64(sign) * g.gain
	}
}

// block returns the sum of a block, nil where there is none.
func (c *Causes) block(key blockKey) *blockSum {
	if key.Mark == 0 {
		return nil
	}
	last := &c.last[key.Kind]
	if last.key != key {
		at := key.digest()
		b := c.sums[at]
		if b == nil {
			b = newBlockSum(key)
			c.sums[at] = b
		}
		*last = lastBlock{key, b}
	}
	return last.sum
}

func (b *blockSum) reached(reach uint64) *reached {
	for i := range b.Reached {
		if b.Reached[i].Reach == reach {
			return &b.Reached[i]
		}
	}
	b.Reached = append(b.Reached, reached{Reach: reach})
	return &b.Reached[len(b.Reached)-1]
}

// couldChange counts the captures of a block that a correction could change, and all.
func (c *Causes) couldChange(b *blockSum, correction int16) (n, rows int) {
	for _, r := range b.Reached {
		rows += int(r.N)
		if c.reach[r.Reach].holds(correction) {
			n += int(r.N)
		}
	}
	return n, rows
}

func (b *blockSum) gainOf(correction int16) *gainSum {
	for i := range b.Gains {
		if b.Gains[i].Correction == correction {
			return &b.Gains[i]
		}
	}
	b.Gains = append(b.Gains, gainSum{Correction: correction})
	return &b.Gains[len(b.Gains)-1]
}

// Join adds the contributions of other parts. Rows as corrected come from the later
// round.
func (c *Causes) Join(o *Causes) {
	c.Corrects = c.Corrects || o.Corrects
	switch {
	case o.Round > c.Round:
		c.Round, c.Aligned, c.Corrected, c.bags, c.claims, c.fresh, c.shifts = o.Round, o.Aligned, o.Corrected, o.bags, o.claims, o.fresh, o.shifts
	case o.Round < c.Round:
	default:
		c.joinRound(o)
	}
	for key, from := range o.sums {
		to := c.sums[key]
		if to == nil {
			c.sums[key] = from
			continue
		}
		for _, r := range from.Reached {
			to.reached(r.Reach).N += r.N
		}
		for _, s := range from.Gains {
			own := to.gainOf(s.Correction)
			own.Corrects += s.Corrects
			own.Gain += s.Gain
		}
	}
	for reach, could := range o.reach {
		c.reach[reach] = could
	}
}

// joinRound adds what other parts contributed in the same round.
func (c *Causes) joinRound(o *Causes) {
	if c.Corrected == nil {
		c.Corrected = o.Corrected
	} else if o.Corrected != nil {
		c.Corrected.Merge(o.Corrected)
	}
	if c.bags == nil {
		c.bags = o.bags
	} else if o.bags != nil {
		c.bags.merge(o.bags)
	}
	if len(o.claims) > len(c.claims) {
		c.claims, c.fresh = o.claims, o.fresh
	}
	for key, from := range o.shifts {
		if to := c.shifts[key]; to != nil {
			for i := range to {
				to[i] += from[i]
			}
		} else {
			c.shifts[key] = from
		}
	}
}

// settle accepts the likeliest slips of many that do not share captures: of one kind of
// block, and one of each block, or table. It reports whether the parts are to be
// searched again: to correct these, or to find out first whether the masses of a block
// are a little larger or smaller as a whole.
func (c *Causes) settle(f *fitted) (again bool) {
	c.fresh = len(c.claims)
	if c.Round >= maxRounds || c.fresh >= maxClaims {
		return false
	}
	corrections := f.corrections()
	found, pending := c.acceptable(corrections)
	if pending != nil {
		c.shifts = pending
		return true
	}
	done := map[blockKey]bool{}
	for _, one := range found {
		if one.Block.Kind != found[0].Block.Kind || len(c.claims) == maxClaims {
			break
		}
		block := blockKey{Kind: one.Block.Kind, Mark: one.Block.Mark}
		if !done[block] {
			done[block] = true
			c.claims = append(c.claims, one)
		}
	}
	c.shifts = map[claimKey]*shiftSum{}
	return len(found) > 0
}

// backedClaim is a claim, and the captures that it rests on.
type backedClaim struct {
	claim
	rows     int // captures of the block
	n        int // those that the correction could change
	corrects int
}

// plain reports whether enough of the captures that a slip could have changed support
// it.
func (b *backedClaim) plain() bool {
	return b.corrects >= minInBlock && 3*b.corrects >= 2*b.n && b.Odds > max(surely, minEach*float64(b.n))
}

// backed lists the claims that are plain.
func (c *Causes) backed(corrections []correction) []backedClaim {
	all := c.runs(corrections)
	for _, b := range c.sums {
		if b.Block.Kind == runOfRows {
			continue
		}
		for i := range b.Gains {
			s := &b.Gains[i]
			if s.Corrects < minInBlock {
				continue
			}
			n, rows := c.couldChange(b, s.Correction)
			if one := s.claim(b.Block, rows, n, corrections[s.Correction].prior); one.plain() {
				all = append(all, one)
			}
		}
	}
	return all
}

// claim is that of so many captures of a block; prior are the log odds beforehand.
func (s *gainSum) claim(block blockKey, rows, n int, prior float64) backedClaim {
	return backedClaim{claim{block, int(s.Correction), prior + float64(n)*minGain + float64(s.Gain)/gainUnit}, rows, n, int(s.Corrects)}
}

// acceptable lists the claims that may be accepted, the likeliest first, and of equals
// that on fewer captures, which locates the slip more closely. Pending are those whose
// shifts must be added up first.
func (c *Causes) acceptable(corrections []correction) (claims []claim, pending map[claimKey]*shiftSum) {
	var found []backedClaim
	for _, one := range c.backed(corrections) {
		if corrections[one.Correction].subtle() {
			of := claimKey{one.Block, one.Correction}
			shifts := c.shifts[of]
			if shifts == nil {
				if pending == nil {
					pending = map[claimKey]*shiftSum{}
				}
				pending[of] = &shiftSum{}
				continue
			}
			if one.Odds -= shifts.best(); one.Odds <= surely {
				continue
			}
		}
		found = append(found, one)
	}
	if pending != nil { // all are added up in the same round
		for key := range c.shifts {
			pending[key] = &shiftSum{}
		}
	}
	sorting.Func(found, func(a, b backedClaim) int {
		return cmp.Or(cmp.Compare(b.Odds, a.Odds), a.rows-b.rows, cmp.Compare(a.Block.Kind, b.Block.Kind),
			a.Correction-b.Correction, cmp.Compare(a.Block.Mark, b.Block.Mark))
	})
	for i := range found {
		claims = append(claims, found[i].claim)
	}
	return claims, pending
}

// blockSpread is the standard deviation of the log by which the animals of a
// day, or an observer's hand, may differ as a whole (common practice: 5 %), and
// blockShift the step in which shifts are tried, up to maxBlockShift steps.
const (
	blockSpread   = 0.05
	blockShift    = 0.01
	maxBlockShift = 30
)

// best is the log posterior that a block gains over its captures' own accounts if its
// masses are all a little larger or smaller by one factor, the likeliest: a fat season,
// a scale out of true. The factor's log is normal with standard deviation blockSpread.
func (s *shiftSum) best() (best float64) {
	for i, gain := range s {
		shift := float64(i-maxBlockShift) * blockShift
		best = max(best, float64(gain)/gainUnit-shift*shift/(2*blockSpread*blockSpread))
	}
	return best
}

// subtle reports whether a slip moves values little, so that the block's animals or its
// observer may differ a little as a whole instead.
func (m *correction) subtle() bool { return m.slip == tareLeftIn || m.slip == tareTwice }

// blocksOf are the blocks that a capture belongs to: their hashes by kind, 0 where it
// belongs to none, and its stretch of the table.
type blocksOf struct {
	marks   [len(blockKinds)]uint64
	stretch int32
}

// blocks returns hashes that differ where the names of blocks do.
func blocks(r *row) (of blocksOf) {
	c, day := r.capture, r.day
	marks := &of.marks
	marks[0] = hash(c.File, c.Sheet)
	marks[1] = digest.Spread(marks[0] + uint64(c.Table))
	marks[2], marks[3], marks[4] = hashOrNone(c.Session), hashOrNone(r.observer), hashOrNone(day)
	if day != "" && r.observer != "" {
		marks[5] = digest.Spread(marks[3]) + marks[4]
	}
	marks[runOfRows], of.stretch = marks[1], int32(c.Row/stretchRows)
	return of
}
