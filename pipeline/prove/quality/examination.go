package quality

import (
	"encoding/binary"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// verdict is a finding of a test, before it is put at a record.
type verdict struct {
	test    int
	finding record.Finding
}

// Examination examines one record after the other. It is for one goroutine.
type Examination struct {
	e      *Examiner
	record Record
	texts  []string // of the record, by slot
	filled termSet  // slots that hold a value
	last   []answered
	said   []verdict
	found  []record.Finding
	key    []byte
}

// answered is what a panel says of the texts of its terms, where it was asked since one
// of them changed.
type answered struct {
	known    bool
	verdicts []verdict
}

// Examination starts one.
func (e *Examiner) Examination() *Examination {
	return &Examination{e: e, texts: make([]string, len(e.terms)), last: make([]answered, len(e.panels))}
}

// FindingsOf returns the findings of a record of which the texts of Terms are at
// hand; they are copied. Most are those of the last record, and so is what the panels
// say that look at no others. The slice is valid until the next record.
func (x *Examination) FindingsOf(texts []string, r Record, at record.Address) []record.Finding {
	x.record = r
	var changed termSet
	for slot, text := range texts {
		if text != x.texts[slot] {
			x.texts[slot] = text
			x.filled.set(slot, !Empty(text))
			changed.set(slot, true)
		}
	}
	found := x.said[:0]
	for i, p := range x.e.panels {
		last := &x.last[i]
		last.known = last.known && !p.looked.meets(changed)
		if !p.acted.meets(x.filled) {
			continue
		}
		if !last.known {
			last.known, last.verdicts = true, x.recall(p)
		}
		found = append(found, last.verdicts...)
	}
	x.said = found
	if len(found) == 0 {
		return nil
	}
	slices.SortFunc(found, func(a, b verdict) int { return a.test - b.test })
	x.found = x.found[:0]
	for i := range found {
		f := found[i].finding
		f.At = at
		x.found = append(x.found, f)
	}
	return x.found
}

// recall returns what a panel said of an earlier record with these texts, or else
// runs its tests.
func (x *Examination) recall(p *panel) []verdict {
	x.key = x.key[:0]
	for _, slot := range p.terms {
		x.key = append(binary.AppendUvarint(x.key, uint64(len(x.texts[slot]))), x.texts[slot]...)
	}
	if found, ok := p.verdicts.get(x.key); ok {
		return found
	}
	found, alone := x.run(p)
	if alone {
		p.verdicts.put(x.key, found)
	}
	return found
}

// run lets the tests of a panel judge the record. It reports whether they
// looked at no other terms than is said of them, so that the verdicts are those
// of every record with these texts.
func (x *Examination) run(p *panel) (found []verdict, alone bool) {
	alone = true
	look := func(term string) string {
		slot, ok := x.e.slots[term]
		if !ok || !slices.Contains(p.terms, slot) {
			alone = false
			return x.record(term)
		}
		return x.texts[slot]
	}
	for _, i := range p.tests {
		f, ok := doubted(&table()[i], look, x.e.params, everyTerm)
		if !ok {
			continue
		}
		f.Value, f.Suggestion, f.Reason = strings.Clone(f.Value), strings.Clone(f.Suggestion), strings.Clone(f.Reason)
		found = append(found, verdict{i, f})
	}
	return found, alone
}

func everyTerm(string) bool { return true }
