package store

import (
	"container/heap"
	"fmt"
	"iter"
	"os"
	"slices"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// Findings is the findings of a survey: runs of findings that are each in the order
// of the outputs. It is used by one goroutine.
type Findings struct {
	held  [][]record.Finding // of a store in memory
	file  *os.File
	end   int64
	words *words
	runs  []run
	block []byte
	total int
}

type run struct {
	at       int64
	size     int
	findings int
}

// NewFindings makes an empty store of findings with its file in a folder. The file
// goes with Close.
func NewFindings(dir string) (*Findings, error) {
	f, err := Temporary(dir, "findings-*.tmp")
	if err != nil {
		return nil, err
	}
	return &Findings{file: f, words: newWords()}, nil
}

// FindingsInMemory makes an empty store of findings in memory.
func FindingsInMemory() *Findings { return &Findings{} }

// Close drops the store and its file.
func (p *Findings) Close() error {
	if p == nil || p.file == nil {
		return nil
	}
	f := p.file
	p.file = nil
	return Remove(f)
}

// Add puts the next run into the store; its number is that of the runs before it.
func (p *Findings) Add(fs []record.Finding) error {
	if p.file == nil {
		p.held = append(p.held, slices.Clone(fs))
		p.runs = append(p.runs, run{findings: len(fs)})
		p.total += len(fs)
		return nil
	}
	w := writer{b: p.block[:0], words: p.words}
	for i := range fs {
		w.finding(&fs[i])
	}
	p.block = w.b
	if _, err := p.file.WriteAt(w.b, p.end); err != nil {
		return err
	}
	p.runs = append(p.runs, run{p.end, len(w.b), len(fs)})
	p.end += int64(len(w.b))
	p.total += len(fs)
	return nil
}

// Len is the number of findings, Runs that of runs.
func (p *Findings) Len() int  { return p.total }
func (p *Findings) Runs() int { return len(p.runs) }

// Clear takes everything out of the store.
func (p *Findings) Clear() { p.end, p.runs, p.held, p.total = 0, nil, nil, 0 }

// Run returns the findings of one run.
func (p *Findings) Run(i int) ([]record.Finding, error) {
	r := p.runs[i]
	if r.findings == 0 {
		return nil, nil
	}
	if p.file == nil {
		return slices.Clone(p.held[i]), nil
	}
	b := make([]byte, r.size)
	if _, err := p.file.ReadAt(b, r.at); err != nil {
		return nil, err
	}
	out := make([]record.Finding, r.findings)
	in := reader{s: string(b), known: p.words.known()}
	for k := range out {
		in.finding(&out[k])
	}
	return out, in.err
}

// window is how much of a run is in memory while runs are merged.
const window = 1 << 12

// All returns the findings of all runs in the order of the outputs; of equal
// ones, those of the earlier run come first. What is said of one cell that several
// captures share is one finding. It ends after an error.
func (p *Findings) All() iter.Seq2[record.Finding, error] {
	return func(yield func(record.Finding, error) bool) {
		var held record.Finding
		captures, last := 0, "" // of which it was said
		give := func() bool {
			if captures > 1 {
				held.Reason += fmt.Sprintf("; it applies to %d captures", captures)
			}
			return captures == 0 || yield(held, nil)
		}
		for f, err := range p.each() {
			switch {
			case err != nil:
				if give() {
					yield(f, err)
				}
				return
			case captures > 0 && sameCell(&held, &f):
				held.Also = append(held.Also, f.Also...)
				if f.Capture != last || f.Capture == "" {
					captures, last = captures+1, f.Capture
				}
				continue
			case !give():
				return
			}
			held, captures, last = f, 1, f.Capture
			held.Also = slices.Clip(held.Also) // it is that of the store
		}
		give()
	}
}

// sameCell reports whether two findings say the same of one cell.
func sameCell(a, b *record.Finding) bool {
	return a.At.Column > 0 && !a.Gathered() && record.CompareFindings(a, b) == 0
}

// each returns every finding, in order.
func (p *Findings) each() iter.Seq2[record.Finding, error] {
	return func(yield func(record.Finding, error) bool) {
		if p.file == nil {
			all := slices.Concat(p.held...)
			sorting.StableFunc(all, func(a, b record.Finding) int { return record.CompareFindings(&a, &b) })
			for _, f := range all {
				if !yield(f, nil) {
					return
				}
			}
			return
		}
		var m merge
		for i, r := range p.runs {
			h := &head{findings: p, number: i, at: r.at, end: r.at + int64(r.size), left: r.findings}
			switch more, err := h.next(); {
			case err != nil:
				yield(record.Finding{}, err)
				return
			case more:
				m = append(m, h)
			}
		}
		heap.Init(&m)
		for len(m) > 0 {
			if !yield(m[0].finding, nil) {
				return
			}
			more, err := m[0].next()
			switch {
			case err != nil:
				yield(record.Finding{}, err)
				return
			case more:
				heap.Fix(&m, 0)
			default:
				heap.Pop(&m)
			}
		}
	}
}

// head is the next finding of a run.
type head struct {
	findings *Findings
	number   int
	at, end  int64 // what is still to be read from the file
	in       reader
	left     int
	finding  record.Finding
}

// next reads on; a finding that reaches past what is in memory is read again
// with more.
func (h *head) next() (bool, error) {
	if h.left == 0 {
		return false, nil
	}
	h.left--
	for size := window; ; size *= 2 {
		before := h.in.at
		h.finding = record.Finding{}
		if h.in.finding(&h.finding); h.in.err == nil {
			return true, nil
		}
		rest := h.in.s[before:]
		if h.at == h.end {
			return false, errDamaged
		}
		b := make([]byte, min(int64(size), h.end-h.at))
		if _, err := h.findings.file.ReadAt(b, h.at); err != nil {
			return false, err
		}
		h.at += int64(len(b))
		h.in = reader{s: rest + string(b), known: h.findings.words.known()}
	}
}

// merge is a heap of runs by their next findings.
type merge []*head

func (m merge) Len() int { return len(m) }
func (m merge) Less(a, b int) bool {
	if c := record.CompareFindings(&m[a].finding, &m[b].finding); c != 0 {
		return c < 0
	}
	return m[a].number < m[b].number
}
func (m merge) Swap(a, b int) { m[a], m[b] = m[b], m[a] }
func (m *merge) Push(x any)   { *m = append(*m, x.(*head)) }
func (m *merge) Pop() any {
	last := (*m)[len(*m)-1]
	*m = (*m)[:len(*m)-1]
	return last
}
