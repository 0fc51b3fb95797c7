package prove

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// entity proves the rows of the core or an extension, and gathers its
// identifiers.
func (p *prover) entity(meta string, e *entity, ids *runs) error {
	cols := p.columns(e, line(meta, e.line))
	part := Part{RowType: e.rowType, Core: e.core}
	for _, c := range cols {
		part.Columns = append(part.Columns, c.name)
	}
	for i, l := range e.files {
		name := p.base + l.name
		part.Files = append(part.Files, name)
		if !p.has(name) {
			at := line(meta, l.line)
			p.add("location-missing", at, "location", l.name, "the archive has no file with this name", guide+"2.3.1")
			e.partial = true
			continue
		}
		n, err := p.file(name, i, e, cols, ids, part.Rows)
		part.Rows += n
		if err != nil {
			return err
		}
	}
	p.parts = append(p.parts, part)
	return nil
}

// table is one file under proof.
type table struct {
	*prover
	name   string
	number int // within its entity
	entity *entity
	cols   []column
	ids    *runs
	width  int // columns of the header or of the first row
	rows   int
	lines  int    // before the batch that is taken next
	ends   [3]int // line ends that were met
	stray  int    // line of the first stray quotation mark, 0 for none
}

// file proves one file and returns its number of rows.
func (p *prover) file(name string, number int, e *entity, cols []column, ids *runs, before int) (int, error) {
	r, err := p.unpacked(name)
	if err != nil {
		return 0, p.misshapen(err, name, guide+"2.2.1")
	}
	defer r.Close()
	text, mark, err := decoded(r, e.encoding)
	if err != nil {
		return 0, err
	}
	t := &table{prover: p, name: name, number: number, entity: e, cols: cols, ids: ids}
	t.mark(mark)
	t.separator(text)
	at, err := t.read(text, before)
	t.shape(t.ends, t.stray)
	e.partial = e.partial || err != nil || t.width > 0 && e.id >= t.width
	if errors.Is(err, io.ErrUnexpectedEOF) {
		err = &textError{at, "the file ends in the middle"}
	}
	return t.rows, p.misshapen(err, name, guide+"2.2.1")
}

// misshapen notes a fault in the shape of a text file, and returns any other
// error.
func (p *prover) misshapen(err error, name, reference string) error {
	fault, ok := errors.AsType[*textError](err)
	if !ok {
		return err
	}
	p.add("text-shape", line(name, fault.line), "", "", fault.why, reference)
	return nil
}

// read proves the header and the rows, and returns the line that it came to.
func (t *table) read(text io.Reader, before int) (at int, err error) {
	in := newTextReader(text, t.entity)
	defer func() {
		t.ends, t.stray, at = in.ends, in.stray, in.line
		if errors.Is(err, io.EOF) {
			err = nil
		}
	}()
	if err := t.skip(in); err != nil {
		return 0, err
	}
	if t.width > 0 && t.options.Visit == nil && t.separable() {
		left, err := t.inBlocks(in)
		if err != nil {
			return 0, err
		}
		in = left
	}
	return 0, t.inTurn(in, before)
}

// skip passes over what is before the rows.
func (t *table) skip(in *textReader) error {
	for n := range t.entity.skip {
		at, err := in.next()
		if errors.Is(err, io.EOF) {
			t.add("file-empty", line(t.name, 0), "", "", fmt.Sprintf("the file has fewer than the %d lines to be skipped", t.entity.skip), guide+"2.2.1")
		}
		if err != nil {
			return err
		}
		if n == t.entity.skip-1 {
			t.header(in.texts(), at)
		}
	}
	return nil
}

// stretch is how many rows are proved in turn before what was found is taken.
const stretch = 1024

// inTurn proves the rows that are left one after the other.
func (t *table) inTurn(in *textReader, before int) error {
	j := t.judge(in)
	j.inTurn, j.before, j.row = true, before, t.visited()
	t.lines = 0 // the reader counts from the beginning of the file
	for b := new(batch); ; b.clear() {
		err := j.rows(b, stretch)
		if taken := t.take(b); taken != nil {
			return taken
		}
		if err != nil {
			return err
		}
	}
}

// visited prepares the row that is shown to a visitor, if there is one.
func (t *table) visited() *Row {
	if t.options.Visit == nil {
		return nil
	}
	r := &Row{File: t.name, RowType: t.entity.rowType, Core: t.entity.core, Values: make([]string, len(t.cols))}
	for _, c := range t.cols {
		r.Terms, r.Columns = append(r.Terms, c.name), append(r.Columns, c.index+1)
	}
	return r
}

// mark judges a byte order mark against the encoding declared.
func (t *table) mark(mark string) {
	declared := strings.ToUpper(strings.TrimSpace(t.entity.encoding))
	switch {
	case mark == "":
	case mark == notUTF16:
		t.add("encoding-differs", line(t.name, 1), "encoding", t.entity.encoding, "the file is not "+t.entity.encoding+"; it is read as UTF-8", guide+"2.2.1")
	case mark == "UTF-8" && (declared == "UTF-8" || declared == "UTF8"):
		t.add("byte-order-mark", line(t.name, 1), "encoding", mark, "the file begins with a byte order mark, which readers may take for part of the first heading", guide+"2.2.1")
	case !strings.HasPrefix(declared, mark):
		t.add("encoding-differs", line(t.name, 1), "encoding", t.entity.encoding, "the file begins with the byte order mark of "+mark, guide+"2.2.1")
	}
}

// shape judges the line ends and quotation marks that were met.
func (t *table) shape(ends [3]int, stray int) {
	for _, met := range ended(ends) {
		if unescape(met) != t.entity.ending {
			t.add("line-end-differs", line(t.name, 1), "linesTerminatedBy", visible(t.entity.ending), "lines end with "+met, guide+"2.2.1")
		}
	}
	if stray > 0 {
		t.add("text-quote-stray", line(t.name, stray), "fieldsEnclosedBy", "", "there is a quotation mark in a field that is not enclosed in quotation marks", guide+"2.2.1")
	}
}

// header compares the last line that is skipped with the terms of the columns.
func (t *table) header(cells []string, at int) {
	t.width = len(cells)
	if t.isData(cells) {
		t.add("heading-is-data", line(t.name, at), "", cells[0], "this is a row of data, not a heading; it is skipped", guide+"2.2.1")
		t.widest(at)
		return
	}
	match := 0
	var differ []column
	for _, c := range t.cols {
		if c.index < 0 || c.index >= len(cells) {
			continue
		}
		h := strings.TrimSpace(cells[c.index])
		if localName(h[strings.LastIndex(h, ":")+1:]) == c.name || h == c.iri {
			match++
		} else {
			differ = append(differ, c)
		}
	}
	// A header of other words than terms is allowed; one that has terms, but
	// in other places than meta.xml says, is not what was meant.
	for _, c := range differ {
		h := strings.TrimSpace(cells[c.index])
		if t.strict || match > 0 && slices.ContainsFunc(t.cols, func(o column) bool { return o.name == h }) {
			t.add("header-differs", record.Address{File: t.name, Row: at, Column: c.index + 1}, c.name, h, "meta.xml says that this column is "+c.name, guide+"2.4.1")
		}
	}
	t.widest(at)
}

// widest checks once that every column of meta.xml is there.
func (t *table) widest(at int) {
	var missing []string
	first := column{}
	for _, c := range t.cols {
		if c.index >= t.width {
			missing = append(missing, fmt.Sprintf("%s is declared as column %d (from 0)", c.name, c.index))
			if len(missing) == 1 {
				first = c
			}
		}
	}
	if len(missing) > 0 {
		t.add("column-missing", line(t.name, at), first.name, fmt.Sprint(first.index), fmt.Sprintf("the file has %s, and %s", record.Plural(t.width, "column"), strings.Join(missing, ", ")), guide+"2.4.1")
	}
	if t.entity.id >= t.width {
		t.add("column-missing", line(t.name, at), t.idName(), fmt.Sprint(t.entity.id), fmt.Sprintf("the file has %s, and the identifier is declared in column %d (from 0)", record.Plural(t.width, "column"), t.entity.id), guide+"2.2.2")
	}
}

func (t *table) idName() string {
	if t.entity.core {
		return "id"
	}
	return "coreid"
}
