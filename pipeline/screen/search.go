package screen

import (
	"math"
	"slices"

	"spadefoot/pipeline/record"
)

// search looks for causes beyond the single capture: one slip all down a
// column of a sheet, a session, an observer; values that shifted into the row
// above or below. What it finds it writes back into its rows, so that the rest
// of each capture is judged as if it had been written right.
type search struct {
	f           *fitted
	sum         *Summary
	rows        []*row
	sights      []sight
	blocks      []block
	known       kinds // lengths and masses
	corrections []correction
	gains       [][]float32 // correction × row; NaN where it does not apply
	told        *cellSet
	findings    []record.Finding
	own         span // rows of the part; the others stand beside it and are not told
	partial     bool // the survey has more rows than those
}

// span is a run of rows, to excluded.
type span struct{ from, to int }

func (s span) holds(row int) bool { return s.from <= row && row < s.to }

func newSearch(f *fitted, sum *Summary, rows []*row, own span, buffers *buffers) *search {
	buffers.sights = sized(buffers.sights, len(rows))
	j := &search{f: f, sum: sum, rows: rows, own: own, sights: buffers.sights, told: &cellSet{}}
	eachRange(len(rows), func(from, to int) {
		buf := buffers.of(from).viewsFor(rows[from:to])
		for i := from; i < to; i++ {
			j.sights[i] = j.sightOf(buf, rows[i])
		}
	})
	j.blocks = blocksOf(rows)
	lengths, masses := j.measurements()
	j.known.names = append(slices.Clone(lengths), masses...)
	j.corrections = f.corrections(lengths, masses)
	for i := range j.corrections {
		for _, name := range j.corrections[i].targets {
			j.corrections[i].at = append(j.corrections[i].at, slices.Index(j.known.names, name))
		}
	}
	j.gains = make([][]float32, len(j.corrections))
	buffers.gains = sized(buffers.gains, len(j.corrections)*len(rows))
	for m := range j.gains {
		j.gains[m] = buffers.gains[m*len(rows) : (m+1)*len(rows)]
	}
	eachAtOnce(len(rows), j.gainsOf)
	return j
}

// measurements lists the lengths and the masses that any model knows.
func (j *search) measurements() (lengths, masses []string) {
	var seen kinds
	for i := range j.sights {
		if v := j.sights[i].view; v != nil {
			for near, c := range v.cells {
				if seen.find(c.measurement, near) < 0 {
					seen.add(c.measurement, c.kind)
				}
			}
		}
	}
	return seen.sorted()
}

// gainsOf computes what every correction does for one row.
func (j *search) gainsOf(i int) {
	var buf [2 * maxDims]int16
	s := &j.sights[i]
	places := j.placesIn(s, buf[:0])
	var by moves
	for m := range j.corrections {
		j.gains[m][i] = float32(nan)
		if j.moves(s, places, &j.corrections[m], &by) {
			j.gains[m][i] = float32(s.gain(s.view.shifted(&by)))
		}
	}
}

// placesIn returns the place of each measurement in a view, -1 where it was not
// taken, or is mended already.
func (j *search) placesIn(s *sight, places []int16) []int16 {
	for range j.known.names {
		places = append(places, -1)
	}
	if s.view == nil {
		return places
	}
	near := 0
	for i, c := range s.view.cells {
		if at := j.known.find(c.measurement, near); at >= 0 {
			near = at + 1
			if !s.taken[c.measurement] {
				places[at] = int16(i)
			}
		}
	}
	return places
}

// maxClaims bounds the causes of many that one survey can have.
const maxClaims = 200

// claims finds the likeliest shared cause, mends by it, and goes on until
// none is left that is believed.
func (j *search) claims() {
	weighed := make([]claim, len(j.blocks)) // the likeliest of each
	stale := func(int) bool { return true }
	for range maxClaims {
		eachOf(len(j.blocks), func(b int) {
			if stale(b) {
				weighed[b] = j.likeliest(b)
			}
		})
		best := claim{odds: surely}
		for b := range weighed {
			if c := &weighed[b]; c.mends > 0 && j.better(c, &best) {
				best = *c
			}
		}
		if best.mends == 0 {
			return
		}
		for _, i := range j.blocks[best.block].rows {
			if mendsBy(float64(j.gains[best.correction][i])) {
				best.rows = append(best.rows, int(i))
			}
		}
		if f, own := j.reportClaim(best); own {
			j.findings = append(j.findings, f)
		}
		j.mend(best)
		stale = j.touched(best.rows)
	}
}

// likeliest returns the likeliest correction of a block that is believed.
func (j *search) likeliest(block int) claim {
	best := claim{odds: surely}
	for m := range j.corrections {
		if c := j.weigh(block, m); c.believed() && j.better(&c, &best) {
			best = c
		}
	}
	return best
}

// touched tells which blocks hold any of these captures.
func (j *search) touched(rows []int) func(block int) bool {
	mended := map[int32]bool{}
	for _, i := range rows {
		mended[int32(i)] = true
	}
	return func(block int) bool {
		return slices.ContainsFunc(j.blocks[block].rows, func(i int32) bool { return mended[i] })
	}
}

// better prefers the likelier claim, and of equals the one on fewer captures,
// which says more closely where the slip was made.
func (j *search) better(a, b *claim) bool {
	if b.mends == 0 || math.Abs(a.odds-b.odds) > 1e-9*math.Abs(b.odds) {
		return a.odds > b.odds
	}
	return len(j.blocks[a.block].rows) < len(j.blocks[b.block].rows)
}

// mend writes a claim back into the rows.
func (j *search) mend(c claim) {
	m := &j.corrections[c.correction]
	var by moves
	for _, i := range c.rows {
		s := &j.sights[i]
		if !j.moves(s, j.placesIn(s, nil), m, &by) {
			continue
		}
		if s.taken == nil {
			s.taken = map[string]bool{}
		}
		for k := range by.n {
			cell := s.view.cells[by.at[k]]
			log := cell.log + by.by[k]
			cell.set(math.Exp(log), cell.resolution*math.Exp(log))
			s.taken[cell.measurement] = true
			j.tell(cell)
		}
		j.see(i)
		j.gainsOf(i)
	}
}

// see views a row anew after it was mended.
func (j *search) see(i int) {
	taken := j.sights[i].taken
	j.sights[i] = j.sightOf(new(viewBuffers), j.rows[i])
	j.sights[i].taken = taken
}

// tell marks the readings of a cell as explained.
func (j *search) tell(c *cell) {
	for _, r := range c.readings {
		j.told.add(r.From)
	}
}
