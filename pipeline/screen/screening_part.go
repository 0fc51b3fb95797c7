package screen

import (
	"slices"
	"sync"

	"spadefoot/pipeline/record"
)

// part is the work on the captures of one part, in the order of their
// addresses.
type part struct {
	buffers *buffers
	rows    []*row
	work    []judgement
	many    *search
	beside  beside
	f       *fitted // that the rows are resolved by
}

// replicates starts the work on a part: rows are made, and replicates judged
// against each other, by the survey as it was handed over.
func (x *Screening) replicates(captures []*record.Capture) *part {
	x.buffers.open(len(captures))
	x.buffers.work, x.buffers.sights = sized(x.buffers.work, len(captures)), sized(x.buffers.sights, len(captures))
	p := &part{buffers: &x.buffers, rows: x.buffers.rows, work: x.buffers.work, f: x.find.f}
	x.buffers.build(captures, func(i int) {
		p.work[i] = judgement{f: x.find.f, sum: x.find.sum, row: p.rows[i]}
		x.find.f.resolve(p.rows[i])
		p.work[i].replicates()
	})
	return p
}

// search begins the search for causes of many among the rows of the part and those
// beside it, so that the end of a part hides none.
func (p *part) search(k knowledge, contributing bool) *search {
	return newSearch(k, p.all(), span{p.beside.from, p.beside.from + len(p.rows)}, p.buffers, contributing)
}

// correctBlocks looks for slips of many among the rows, and applies the accepted claims.
// First: the part has not contributed to the causes yet; its contributions are still
// being added when correctBlocks returns (search.adding). Corrected are the rows that
// each claim corrects, as far as that is known.
func (p *part) correctBlocks(k knowledge, c *Causes, first bool, corrected [][]int32) [][]int32 {
	p.many = p.search(k, first)
	return p.many.correctBlocks(c, first, corrected, p.buffers)
}

// align puts values back that shifted into the next row, or were exchanged with it.
// It judges by the survey as learnt after the slips of many were corrected: beside
// columns that are wrong in a third of a survey, right rows look exchanged.
func (p *part) align(k knowledge) {
	p.resolve(k.f)
	switch {
	case p.many == nil:
		p.many = p.search(k, false)
	case p.many.f != k.f:
		p.many.viewAll(k, p.buffers)
	}
	j := p.many
	j.weighWhere(func(int) bool { return true }, p.buffers)
	many := j.explained.size()
	for _, table := range j.tables() {
		j.exchanges(table, j.rowShifts(table))
	}
	j.local = j.explained.size() > many
	j.rows, j.sights = p.rows, j.sights[j.own.from:j.own.to]
}

// resolve resolves the rows by another fit.
func (p *part) resolve(f *fitted) {
	if p.f == f {
		return
	}
	p.f = f
	for _, r := range p.all() {
		f.resolve(r)
	}
}

// viewRows views the rows of the part by what is known of the survey.
func (p *part) viewRows(k knowledge) {
	p.resolve(k.f)
	if p.many == nil {
		p.many = &search{rows: p.rows, sights: p.buffers.sights}
	}
	p.many.f, p.many.sum = k.f, k.sum
	eachRange(len(p.rows), func(from, to int) {
		buf := p.buffers.of(from).viewsFor(p.rows[from:to])
		for i := from; i < to; i++ {
			p.many.sights[i] = p.many.sightOf(buf, p.rows[i])
		}
	})
}

// rest judges every capture of a part, and gathers habits and what few animals were
// measured in.
func (x *Screening) rest(p *part) ([]record.Finding, map[record.Address]bool) {
	var beside sync.WaitGroup
	beside.Go(func() { x.habits.add(p.rows) })
	eachAtOnce(len(p.work), func(i int) {
		j := &p.work[i]
		j.explained, j.untared, j.f, j.sum, j.sight = p.many.explained, x.causes.bags.likely, x.judge.f, x.judge.sum, &p.many.sights[i]
		j.rest(x.limits)
	})
	beside.Wait()
	beside.Go(func() { x.habits.Bias.add(p.many) })
	defer beside.Wait()
	x.few.add(p.rows, x.judge.f, x.limits)
	findings := p.many.findings
	for i := range p.work {
		findings = append(findings, p.work[i].findings...)
	}
	findings = p.joinRuns(findings, x.beyond(p, findings))
	x.pieces = append(x.pieces, p.many.pieces...)
	record.SortFindings(findings)
	return findings, p.sharing()
}

// sharing are the captures with cells that a cause of many explains.
func (p *part) sharing() map[record.Address]bool {
	var out map[record.Address]bool
	for i := range p.many.pieces {
		for _, at := range p.many.pieces[i].Places {
			if out == nil {
				out = map[record.Address]bool{}
			}
			out[at.OfRow()] = true
		}
	}
	return out
}

// beyond judges the rows beside a part, where a cell near its end is in doubt: it may be
// one of a run that goes on there.
func (x *Screening) beyond(p *part, findings []record.Finding) (out []record.Finding) {
	if len(p.beside.before)+len(p.beside.after) == 0 {
		return nil
	}
	top, bottom := p.rows[min(Neighbours, len(p.rows))-1].capture.Row, p.rows[max(0, len(p.rows)-Neighbours)].capture.Row
	near := slices.ContainsFunc(findings, func(f record.Finding) bool { return ofCells[f.Rule] && (f.At.Row <= top || f.At.Row >= bottom) })
	if !near {
		return nil
	}
	for _, r := range slices.Concat(p.beside.before, p.beside.after) {
		j := judgement{f: x.judge.f, sum: x.judge.sum, row: r, explained: p.many.explained, untared: x.causes.bags.likely}
		j.slips()
		out = append(out, j.findings...)
	}
	return out
}
