package screen

import "spadefoot/pipeline/record"

// part is the work on the captures of one part, in the order of their
// addresses.
type part struct {
	buffers *buffers
	rows    []*row
	work    []judgement
	many    *search

	partial bool // the survey has more
	beside  beside
}

// replicates starts the work on a part: rows are made, and replicates judged
// against each other, by the survey as it was handed over.
func (x *Screening) replicates(captures []*record.Capture) *part {
	x.buffers.open(len(captures))
	p := &part{buffers: &x.buffers, rows: x.buffers.rows, work: x.buffers.work}
	eachRange(len(captures), func(from, to int) {
		buf := x.buffers.of(from)
		rows := buf.rowsFor(captures[from:to])
		for i := from; i < to; i++ {
			rows[i-from] = buf.builder.row(captures[i])
			p.rows[i] = &rows[i-from]
			p.work[i] = judgement{f: x.find.f, sum: x.find.sum, row: p.rows[i]}
			x.find.f.resolve(p.rows[i])
			p.work[i].replicates()
		}
	})
	return p
}

// search looks for causes of many among the rows of the part and those beside it, so
// that the end of a part hides none, and mends by them.
func (p *part) search(k knowledge) {
	rows, own := p.rows, span{0, len(p.rows)}
	if p.partial {
		rows, own = p.all(), span{p.beside.from, p.beside.from + len(p.rows)}
	}
	j := newSearch(k.f, k.sum, rows, own, p.buffers)
	j.partial = p.partial
	j.claims()
	j.rowShifts()
	j.exchanges()
	j.rows, j.sights = p.rows, j.sights[own.from:own.to]
	p.many = j
}

// look views the rows of the part by what is known of the survey after it was
// mended.
func (p *part) look(k knowledge) {
	if p.many == nil {
		p.many = &search{rows: p.rows, sights: p.buffers.sights}
	}
	p.many.f, p.many.sum = k.f, k.sum
	eachRange(len(p.rows), func(from, to int) {
		buf := p.buffers.of(from).viewsFor(p.rows[from:to])
		for i := from; i < to; i++ {
			p.many.sights[i] = p.many.glance(buf, p.rows[i])
		}
	})
}

// rest judges every capture of a part and gathers what is said of the survey
// as a whole.
func (x *Screening) rest(p *part) []record.Finding {
	eachAtOnce(len(p.work), func(i int) {
		j := &p.work[i]
		j.told, j.untared, j.f, j.sum, j.sight = p.many.told, x.bags.likely, x.judge.f, x.judge.sum, &p.many.sights[i]
		j.rest(x.limits)
	})
	x.habits.add(p.rows)
	x.habits.bias.add(p.many)
	x.few.add(p.rows, x.judge.f, x.limits)
	findings := p.many.findings
	for i := range p.work {
		findings = append(findings, p.work[i].findings...)
	}
	record.SortFindings(findings)
	return p.joinRuns(findings)
}
