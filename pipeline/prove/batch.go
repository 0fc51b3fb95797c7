package prove

// batch is what was found in a stretch of rows. Its lines count from the
// beginning of the stretch, or of the file where it is read in turn.
type batch struct {
	found findings
	rows  int
	end   int     // line behind the stretch
	ends  [3]int  // line ends that were met
	named []named // identifiers in the order of their rows
	lines []int   // of the rows that have one
	last  []byte  // the identifier named last
	odd   bool    // the stretch has to be read in turn
	own   []owned // identifiers of measurements
}

// named is an identifier and the rows that have it, one after the other, as
// from and to in lines.
type named struct {
	key      key
	from, to int
}

// owned is the identifier of a row of an extension, and its line.
type owned struct {
	key  key
	line int
}

func (b *batch) clear() {
	b.found.clear()
	b.own = b.own[:0]
	b.rows, b.named, b.lines, b.odd = 0, b.named[:0], b.lines[:0], false
}

// name takes the identifier of a row.
func (b *batch) name(id []byte, at int) {
	b.lines = append(b.lines, at)
	if n := len(b.named); n > 0 && string(b.last) == string(id) {
		b.named[n-1].to++
		return
	}
	b.last = append(b.last[:0], id...)
	b.named = append(b.named, named{keyOf(id), len(b.lines) - 1, len(b.lines)})
}

// take adds a batch to what is known of the table and of the archive. Batches
// are taken in the order of the file.
func (t *table) take(b *batch) error {
	t.found.merge(&b.found, t.lines)
	for _, n := range b.named {
		if err := t.point(n, b.lines[n.from:n.to]); err != nil {
			return err
		}
	}
	for _, o := range b.own {
		if err := t.entity.own.add(o.key, placeOf(t.number, o.line+t.lines)); err != nil {
			return err
		}
	}
	t.rows += b.rows
	before := t.total
	t.total += b.rows
	if err := t.ctx.Err(); err != nil {
		return err
	}
	if t.options.MayReport != nil && t.total>>14 > before>>14 {
		t.options.MayReport(t.total)
	}
	return nil
}

// point takes an identifier of the core, or what rows of an extension point at
// unless the core has it where it is looked for.
func (t *table) point(n named, lines []int) error {
	if !t.entity.core {
		if found, err := t.walk.follow(n.key); found || err != nil {
			return err
		}
	}
	for _, at := range lines {
		if err := t.ids.add(n.key, placeOf(t.number, at+t.lines)); err != nil {
			return err
		}
		if t.entity.core && t.trail != nil {
			if err := t.trail.add(n.key); err != nil {
				return err
			}
		}
	}
	return nil
}
