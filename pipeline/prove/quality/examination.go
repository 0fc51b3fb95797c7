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

// answered is what a panel said of the last record.
type answered struct {
	known    bool
	texts    []string
	verdicts []verdict
}

// Examination starts one.
func (e *Examiner) Examination() *Examination {
	x := &Examination{e: e, texts: make([]string, len(e.terms)), last: make([]answered, len(e.panels))}
	n := 0
	for _, p := range e.panels {
		n += len(p.terms)
	}
	texts := make([]string, n)
	for i, p := range e.panels {
		x.last[i].texts, texts = texts[:len(p.terms):len(p.terms)], texts[len(p.terms):]
	}
	return x
}

// Findings returns what [Findings] gives of a record in which every term was
// written. The slice is valid until the next record.
func (x *Examination) Findings(r Record, at record.Address) []record.Finding {
	for slot, term := range x.e.terms {
		x.texts[slot] = r(term)
	}
	return x.FindingsOf(x.texts, r, at)
}

// FindingsOf is Findings where the texts of Terms are at hand; they are copied.
func (x *Examination) FindingsOf(texts []string, r Record, at record.Address) []record.Finding {
	x.record, x.filled = r, termSet{}
	copy(x.texts, texts)
	for slot, text := range x.texts {
		if !Empty(text) {
			x.filled.add(slot)
		}
	}
	found := x.said[:0]
	for i, p := range x.e.panels {
		if p.acted.meets(x.filled) {
			found = append(found, x.ask(p, &x.last[i])...)
		}
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

// ask returns what a panel says: what it said of the last record where the texts
// are the same, or of an earlier one, or else by running its tests.
func (x *Examination) ask(p *panel, last *answered) []verdict {
	same := last.known
	for i, slot := range p.terms {
		if last.texts[i] != x.texts[slot] {
			same, last.texts[i] = false, x.texts[slot]
		}
	}
	if !same {
		last.known, last.verdicts = true, x.recall(p)
	}
	return last.verdicts
}

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
