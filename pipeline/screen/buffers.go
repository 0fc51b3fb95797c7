package screen

import (
	"slices"

	"spadefoot/pipeline/record"
)

// buffers is the memory that a part is worked on in, used again by the next part:
// rows and views of animals are many and small, and the same size in every
// part.
type buffers struct {
	chunks        []*chunkBuffers // of rowsAtOnce rows each
	rows          []*row
	work          []judgement
	sights        []sight
	contributions []contribution
}

// chunkBuffers is memory for the rows that a worker takes on at a time.
type chunkBuffers struct {
	rows    []row
	builder rowBuilder
	views   viewBuffers
}

// open makes memory for a part of n captures, and those beside it.
func (r *buffers) open(n int) {
	for len(r.chunks) < (n+2*Neighbours+rowsAtOnce-1)/rowsAtOnce {
		r.chunks = append(r.chunks, &chunkBuffers{})
	}
	r.rows = sized(r.rows, n)
}

// close forgets the part, so that nothing of it is kept.
func (r *buffers) close() {
	for _, c := range r.chunks {
		clear(c.rows)
		c.builder.reset()
		c.views.reset()
	}
	clear(r.rows)
	clear(r.work)
	clear(r.sights)
}

// of returns the memory for the rows from one on.
func (r *buffers) of(from int) *chunkBuffers { return r.chunks[from/rowsAtOnce] }

// sized returns a slice of n, the old one where it is large enough.
func sized[T any](old []T, n int) []T { return slices.Grow(old[:0], n)[:n] }

// build makes the rows of captures, on all cores, and calls then for each.
func (r *buffers) build(captures []*record.Capture, then func(i int)) {
	eachRange(len(captures), func(from, to int) {
		buf := r.of(from)
		rows := buf.rowsFor(captures[from:to])
		for i := from; i < to; i++ {
			rows[i-from] = buf.builder.row(captures[i])
			r.rows[i] = &rows[i-from]
			then(i)
		}
	})
}

// rowsFor makes memory for the rows of some captures.
func (c *chunkBuffers) rowsFor(captures []*record.Capture) []row {
	n := 0
	for _, c := range captures {
		n += len(c.Readings)
	}
	c.rows = sized(c.rows, len(captures))
	c.builder.cells, c.builder.readings = slices.Grow(c.builder.cells, n), slices.Grow(c.builder.readings, n)
	return c.rows
}

// viewsFor makes memory for the views of some rows; what was there before is
// overwritten.
func (c *chunkBuffers) viewsFor(rows []*row) *viewBuffers {
	cells, numbers := 0, 0
	for _, r := range rows {
		k := min(len(r.cells), maxDims)
		cells, numbers = cells+k, numbers+3*k+k*k
	}
	v := &c.views
	v.views, v.cells, v.index, v.numbers = v.views[:0], v.cells[:0], v.index[:0], v.numbers[:0]
	v.views, v.cells = slices.Grow(v.views, len(rows)), slices.Grow(v.cells, cells)
	v.index, v.numbers = slices.Grow(v.index, cells), slices.Grow(v.numbers, numbers)
	return v
}
