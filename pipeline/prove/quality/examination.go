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

// Examination examines one record after the other: Begin, Put each term that
// holds something, Findings. It is for one goroutine.
type Examination struct {
	e      *Examiner
	texts  []string   // by slot
	filled termSet    // slots that hold a value
	others []other    // terms that no test is known to look at
	shape  []position // terms of the last record, in order: the next likely has the same
	at     int        // in shape
	last   []answered
	room   []verdict
	key    []byte
}

type other struct{ term, text string }

type position struct {
	term string
	slot int // -1: none
}

// answered is what a panel said of the last record.
type answered struct {
	known    bool
	texts    []string
	verdicts []verdict
}

// Examination starts one.
func (e *Examiner) Examination() *Examination {
	x := &Examination{e: e, texts: make([]string, len(e.slots)), last: make([]answered, len(e.panels))}
	n := 0
	for _, p := range e.panels {
		n += len(p.terms)
	}
	room := make([]string, n)
	for i, p := range e.panels {
		x.last[i].texts, room = room[:len(p.terms):len(p.terms)], room[len(p.terms):]
	}
	return x
}

// Begin starts a record.
func (x *Examination) Begin() {
	clear(x.texts)
	x.filled, x.others, x.at = termSet{}, x.others[:0], 0
}

// Put gives the text of a term, by its bare name. A term comes once.
func (x *Examination) Put(term, text string) {
	if x.at == len(x.shape) {
		x.shape = append(x.shape, position{})
	}
	p := &x.shape[x.at]
	x.at++
	if p.term != term {
		slot, ok := x.e.slots[term]
		if !ok {
			slot = -1
		}
		*p = position{term, slot}
	}
	if p.slot < 0 {
		x.others = append(x.others, other{term, text})
		return
	}
	x.texts[p.slot] = text
	if !Empty(text) {
		x.filled.add(p.slot)
	}
}

// Get gives the text of a term of the record, or "".
func (x *Examination) Get(term string) string {
	if slot, ok := x.e.slots[term]; ok {
		return x.texts[slot]
	}
	for _, o := range x.others {
		if o.term == term {
			return o.text
		}
	}
	return ""
}

// Findings gives what [Findings] gives of a record in which every term was
// written.
func (x *Examination) Findings(at record.Address) []record.Finding {
	found := x.room[:0]
	for i, p := range x.e.panels {
		if p.acted.meets(x.filled) {
			found = append(found, x.ask(p, &x.last[i])...)
		}
	}
	x.room = found
	if len(found) == 0 {
		return nil
	}
	slices.SortFunc(found, func(a, b verdict) int { return a.test - b.test })
	out := make([]record.Finding, len(found))
	for i := range found {
		out[i] = found[i].finding
		out[i].At = at
	}
	return out
}

// ask gives what a panel says: what it said of the last record where the texts
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
		if slot, ok := x.e.slots[term]; !ok || !slices.Contains(p.terms, slot) {
			alone = false
		}
		return x.Get(term)
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
