package prove

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"

	"spadefoot/pipeline/record"
)

// unique finds rows of the core whose identifier occurs before.
func (p *prover) unique(e *entity, ids *runs) error {
	return p.pointed(e, "id-twice", "id", guide+"2.1.2", ids.duplicates,
		func(first string) string { return "the identifier is also in " + first })
}

// resolve finds rows of an extension that point at no row of the core.
func (p *prover) resolve(e *entity, ids, core *runs) error {
	return p.pointed(e, "coreid-lost", "coreid", guide+"2.1.2", func(report func(at, first place)) error {
		return ids.orphans(core, func(at place) { report(at, at) })
	}, func(string) string { return "the core has no row with this identifier" })
}

// pair is a place at fault, and the one where the identifier comes first.
type pair struct{ at, first place }

// earliest keeps the first pairs by place of those that it is given.
type earliest struct {
	list  []pair
	count int
}

func (e *earliest) add(at, first place) {
	e.count++
	if e.list = append(e.list, pair{at, first}); len(e.list) >= 2*listed {
		e.cut()
	}
}

func (e *earliest) cut() {
	slices.SortFunc(e.list, func(a, b pair) int { return cmp.Compare(a.at, b.at) })
	e.list = e.list[:min(len(e.list), listed)]
}

// pointed reports faults of identifiers. Only their digests and places were
// kept, so that the texts of those that are listed are read again.
func (p *prover) pointed(e *entity, rule, field, reference string, find func(func(at, first place)) error, reason func(first string) string) error {
	var faults earliest
	if err := find(faults.add); err != nil || faults.count == 0 {
		return err
	}
	faults.cut()
	list, more := faults.list, faults.count-len(faults.list)
	texts := map[place]string{}
	for _, v := range list {
		texts[v.at] = ""
	}
	if err := p.recall(e, texts); err != nil {
		return err
	}
	for _, v := range list {
		first := record.Address{File: p.base + e.files[v.first.file()].name, Row: v.first.line()}
		at := record.Address{File: p.base + e.files[v.at.file()].name, Row: v.at.line(), Column: e.id + 1}
		p.add(rule, at, field, texts[v.at], reason(fmt.Sprintf("%s, line %d,", first.File, first.Row)), reference)
	}
	if more > 0 {
		at := record.Address{File: p.base + e.files[0].name, Column: e.id + 1}
		p.add(rule, at, field, "", fmt.Sprintf("the same fault occurs in %d more rows", more), reference)
	}
	return nil
}

// recall reads the identifiers at the places given.
func (p *prover) recall(e *entity, texts map[place]string) error {
	for i, l := range e.files {
		if !p.has(p.base + l.name) {
			continue
		}
		r, err := p.unpacked(p.base + l.name)
		if err != nil {
			return err
		}
		err = recallFile(r, i, e, texts)
		r.Close()
		if err != nil {
			return err
		}
	}
	return nil
}

func recallFile(r io.Reader, number int, e *entity, texts map[place]string) error {
	text, _, err := decoded(r, e.encoding)
	if err != nil {
		return err
	}
	in := newTextReader(text, e)
	for {
		at, err := in.next()
		if errors.Is(err, io.EOF) || errors.As(err, new(*textError)) {
			return nil
		}
		if err != nil {
			return err
		}
		k := placeOf(number, at)
		if _, wanted := texts[k]; wanted && e.id < len(in.cells) {
			texts[k] = string(in.cell(e.id))
		}
	}
}
