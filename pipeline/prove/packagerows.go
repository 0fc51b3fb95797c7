package prove

import (
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"spadefoot/pipeline/darwincore/tables"
	"spadefoot/pipeline/record"
)

// unpacked opens a file of a package, which may be compressed by itself.
func (p *prover) unpacked(name string) (io.ReadCloser, error) {
	r, err := p.box.open(name)
	if err != nil || !strings.HasSuffix(name, ".gz") {
		return r, err
	}
	z, err := gzip.NewReader(r)
	if err != nil {
		r.Close()
		return nil, &textError{0, "the file is not compressed with gzip: " + err.Error()}
	}
	return struct {
		io.Reader
		io.Closer
	}{&bounded{z, p.options.Limits.Total, name}, r}, nil
}

func (p *prover) packageFile(name string, number int, k *keyed, before int) (int, error) {
	r, err := p.unpacked(name)
	if err != nil {
		return 0, err
	}
	defer r.Close()
	if _, err := encodingOf(k.entity.encoding); err != nil {
		p.add("meta-encoding", line(name, 0), "encoding", k.entity.encoding, "this encoding is not known", packageGuide+"3.2.1")
		return 0, nil
	}
	text, mark, err := decoded(r, k.entity.encoding)
	if err != nil {
		return 0, err
	}
	t := &packageTable{table: table{prover: p, name: name, number: number, entity: k.entity}, keyed: k}
	t.mark(mark)
	in := newTextReader(text, k.entity)
	err = t.readRows(in, before)
	t.shape(in.ends, in.stray)
	k.partial = k.partial || err != nil
	return t.rows, p.misshapen(err, name, packageGuide+"3.2.1")
}

// packageTable is one file of a table under proof.
type packageTable struct {
	table
	keyed  *keyed
	judged []*packageField // fields of which something is asked
	fits   *fitter
	row    *Row
}

// packageField is a field of a table with what is asked of it.
type packageField struct {
	index    int
	of       *fieldDescriptor
	standard *tables.Field // nil where the standard has no such field
	check    check
	keys     []*keyValues // that take its values: of the primary key, and of foreign ones
	known    memo
}

// ask finds out what is asked of the fields.
func (t *packageTable) ask() {
	t.fits = newFitter(t)
	s := &t.keyed.resource.Schema
	standard := tables.Find(t.keyed.resource.Name)
	for i := range s.Fields {
		f := &packageField{index: i, of: &s.Fields[i]}
		if slices.Contains(s.PrimaryKey, f.of.Name) {
			f.keys = append(f.keys, t.keyed.primary)
		}
		if standard != nil {
			f.standard = standard.Field(f.of.Name)
		}
		if !strings.HasSuffix(t.keyed.resource.Name, "media") {
			f.check = checks[f.of.Name]
		}
		for j, k := range s.ForeignKeys {
			if len(k.Fields) == 1 && k.Fields[0] == f.of.Name {
				f.keys = append(f.keys, t.keyed.foreign[j])
			}
		}
		if f.standard != nil || f.check.full != nil || len(f.keys) > 0 {
			t.judged = append(t.judged, f)
		}
	}
}

func (t *packageTable) readRows(in *textReader, before int) error {
	fields := t.keyed.resource.Schema.Fields
	t.ask()
	t.row = &Row{File: t.name, RowType: t.keyed.resource.Name, Core: true}
	for i, f := range fields {
		t.row.Terms, t.row.Columns = append(t.row.Terms, f.Name), append(t.row.Columns, i+1)
	}
	for n := 0; ; n++ {
		at, err := in.next()
		if errors.Is(err, io.EOF) {
			if n < t.entity.skip {
				t.add("file-empty", line(t.name, 0), "", "", "the file has no header", packageGuide+"3.2.1")
			}
			return nil
		}
		if err != nil {
			return err
		}
		if n < t.entity.skip {
			t.heading(in.texts(), at)
			continue
		}
		if len(in.cells) != len(fields) {
			t.add("row-width", line(t.name, at), "", "", fmt.Sprintf("the row has %d fields, and the schema %d", len(in.cells), len(fields)), packageGuide+"3.3")
			continue
		}
		t.rows++
		if err := t.fields(in, at); err != nil {
			return err
		}
		if t.options.Visit != nil {
			t.row.Values, t.row.Number, t.row.Line = in.texts(), before+t.rows, at
			if err := t.options.Visit(t.row); err != nil {
				return err
			}
		}
		if t.total++; t.total&0x3fff == 0 && t.ctx.Err() != nil {
			return t.ctx.Err()
		}
	}
}

func (t *packageTable) heading(cells []string, at int) {
	fields := t.keyed.resource.Schema.Fields
	if len(cells) != len(fields) {
		t.add("schema-width", line(t.name, at), "", "", fmt.Sprintf("the file has %s, and the schema %s", record.Plural(len(cells), "column"), record.Plural(len(fields), "field")), packageGuide+"3.3")
		return
	}
	for i, f := range fields {
		if cells[i] != f.Name {
			t.add("schema-heading", record.Address{File: t.name, Row: at, Column: i + 1}, f.Name, cells[i], "the schema has the field "+f.Name+" in this place", packageGuide+"3.3")
		}
	}
}

// fields proves one row and gathers its keys.
func (t *packageTable) fields(in *textReader, at int) error {
	missing := t.keyed.resource.Schema.Missing
	if !t.nothingOdd(in.data[in.begun:in.at]) {
		for i, f := range t.keyed.resource.Schema.Fields {
			if v := in.cell(i); !slices.Contains(missing, string(v)) {
				t.odd(i, at, f.Name, v)
			}
		}
	}
	t.fits.judge(in, at)
	for _, f := range t.judged {
		text := in.cell(f.index)
		if slices.Contains(missing, string(text)) {
			text = nil
		}
		if len(text) == 0 {
			if f.standard != nil && f.standard.Required {
				t.add("field-required", t.at(f, at), f.of.Name, "", "the field must not be empty", f.standard.IsVersionOf)
			}
			continue
		}
		if !f.plain(text) && !f.known.has(text) {
			t.meaning(f, text, at)
		}
		for _, k := range f.keys {
			if err := k.take(text, placeOf(t.number, at)); err != nil {
				return err
			}
		}
	}
	return nil
}

func (t *packageTable) at(f *packageField, row int) record.Address {
	return record.Address{File: t.name, Row: row, Column: f.index + 1}
}

// plain accepts the usual forms of good values.
func (f *packageField) plain(text []byte) bool {
	if f.check.full != nil && (f.check.quick == nil || !f.check.quick(text)) {
		return false
	}
	if f.standard == nil {
		return true
	}
	switch f.standard.Type {
	case "integer":
		x, ok := plainCount(text)
		return ok && f.within(float64(x))
	case "number":
		x, ok := plainDecimal(text)
		return ok && f.within(x)
	case "boolean":
		return false
	}
	return true
}

func (f *packageField) within(x float64) bool {
	return (f.standard.Minimum == nil || x >= *f.standard.Minimum) && (f.standard.Maximum == nil || x <= *f.standard.Maximum)
}

// meaning holds a value against its field and its term.
func (t *packageTable) meaning(f *packageField, value []byte, at int) {
	text, good := string(value), true
	if f.standard != nil {
		if why := f.standard.Misfit(text); why != "" {
			t.add("field-misfit", t.at(f, at), f.of.Name, text, why, f.standard.IsVersionOf)
			good = false
		}
	}
	if f.check.full != nil {
		if w := f.check.full(text); w != nil {
			good = false
			if w.rule != "value-not-number" && w.rule != "value-out-of-range" { // the field said so
				t.found.add(record.Finding{Rule: w.rule, Level: t.level(w.rule), At: t.at(f, at), Field: f.of.Name, Value: text, Reason: w.reason, Suggestion: w.suggestion, Reference: f.of.IsVersionOf})
			}
		}
	}
	if good {
		f.known.learn(value)
	}
}
