package store

import "spadefoot/pipeline/record"

// Pack writes captures into a block that stands by itself, so that it can be
// sent to another machine.
func Pack(captures []*record.Capture) []byte {
	w := writer{words: newWords()}
	var n counts
	for _, c := range captures {
		w.capture(c)
		n.add(c)
	}
	return w.packed(n.captures, n.values, n.readings, n.weighings, n.cells)
}

// Unpack reads what Pack wrote. The captures stand in memory of their own.
func Unpack(block []byte) ([]*record.Capture, error) {
	r, n := unpacked(block, 5)
	if r.err != nil {
		return nil, r.err
	}
	h := &Buffer{}
	h.fit(&counts{n[0], n[1], n[2], n[3], n[4]})
	t := taker{reader: r, buffer: h}
	for k := range h.slab {
		t.capture(&h.slab[k])
		h.captures[k] = &h.slab[k]
	}
	return h.captures, t.err
}

// PackFindings writes findings into a block that stands by itself, and
// UnpackFindings reads it.
func PackFindings(fs []record.Finding) []byte {
	w := writer{words: newWords()}
	for i := range fs {
		w.finding(&fs[i])
	}
	return w.packed(len(fs))
}

// UnpackFindings reads what PackFindings wrote.
func UnpackFindings(block []byte) ([]record.Finding, error) {
	r, counts := unpacked(block, 1)
	if r.err != nil || counts[0] == 0 {
		return nil, r.err
	}
	out := make([]record.Finding, counts[0])
	for i := range out {
		r.finding(&out[i])
	}
	return out, r.err
}

// packed is the block: counts, the words, the forms, the shapes, and what was written.
func (w *writer) packed(counts ...int) []byte {
	head, forms := writer{}, writer{words: w.words}
	for _, n := range counts {
		head.uint(uint64(n))
	}
	for _, f := range w.words.forms.all {
		forms.writeForm(f)
	}
	forms.uint(uint64(len(w.words.shapes.all)))
	for _, s := range w.words.shapes.all {
		forms.uint(uint64(s.values))
		forms.uint(uint64(len(s.forms)))
		for _, n := range s.forms {
			forms.uint(uint64(n))
		}
		forms.layout(s.cells)
	}
	head.uint(uint64(len(w.words.list)))
	for _, s := range w.words.list {
		head.plain(s)
	}
	head.uint(uint64(len(w.words.forms.all)))
	return append(append(head.b, forms.b...), w.b...)
}

// unpacked reads the head of a block.
func unpacked(block []byte, n int) (reader, []int) {
	r := reader{s: string(block)}
	counts := make([]int, n)
	for i := range counts {
		counts[i] = r.count()
	}
	r.known.words = list(&r, r.plain)
	r.known.forms = list(&r, r.readForm)
	r.known.shapes = list(&r, func() *shape { return &shape{values: r.count(), forms: list(&r, r.count), cells: r.layout()} })
	return r, counts
}
