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
		p.add("meta-encoding", line(name, 0), "encoding", k.entity.encoding, "no encoding of this name is known", packageGuide+"3.2.1")
		return 0, nil
	}
	text, mark, err := decoded(r, k.entity.encoding)
	if err != nil {
		return 0, err
	}
	t := &packageTable{table: table{prover: p, name: name, number: number, entity: k.entity}, keyed: k, standard: tables.Find(k.resource.Name)}
	t.mark(mark)
	in := newTextReader(text, k.entity)
	rows, err := t.readRows(in, before)
	t.shape(in)
	var fault *textError
	if errors.As(err, &fault) {
		p.add("text-shape", line(name, fault.line), "", "", fault.why, packageGuide+"3.2.1")
		return rows, nil
	}
	return rows, err
}

// packageTable is one file of a table under proof.
type packageTable struct {
	table
	keyed    *keyed
	standard *tables.Table
}

func (t *packageTable) readRows(in *textReader, before int) (rows int, err error) {
	fields := t.keyed.resource.Schema.Fields
	t.row = Row{File: t.name, RowType: t.keyed.resource.Name, Core: true}
	for _, f := range fields {
		t.row.Terms = append(t.row.Terms, f.Name)
	}
	for n := 0; ; n++ {
		cells, at, err := in.next()
		if errors.Is(err, io.EOF) {
			if n < t.entity.skip {
				t.add("file-empty", line(t.name, 0), "", "", "the file has no header", packageGuide+"3.2.1")
			}
			return rows, nil
		}
		if err != nil {
			return rows, err
		}
		if n < t.entity.skip {
			t.heading(cells, at)
			continue
		}
		if len(cells) != len(fields) {
			t.add("row-width", line(t.name, at), "", "", fmt.Sprintf("the row has %d fields, and the schema %d", len(cells), len(fields)), packageGuide+"3.3")
			continue
		}
		rows++
		if err := t.cells(cells, at, before+rows); err != nil {
			return rows, err
		}
		if t.total++; t.total&0x3fff == 0 && t.ctx.Err() != nil {
			return rows, t.ctx.Err()
		}
	}
}

func (t *packageTable) heading(cells []string, at int) {
	fields := t.keyed.resource.Schema.Fields
	if len(cells) != len(fields) {
		t.add("schema-width", line(t.name, at), "", "", fmt.Sprintf("the file has %d columns, and the schema %d fields", len(cells), len(fields)), packageGuide+"3.3")
		return
	}
	for i, f := range fields {
		if cells[i] != f.Name {
			t.add("schema-heading", record.Address{File: t.name, Row: at, Column: i + 1}, f.Name, cells[i], "the schema has the field "+f.Name+" in this place", packageGuide+"3.3")
		}
	}
}

// cells proves one row and gathers its keys.
func (t *packageTable) cells(cells []string, at, number int) error {
	s := &t.keyed.resource.Schema
	for i, f := range s.Fields {
		text := cells[i]
		if slices.Contains(s.Missing, text) {
			text = ""
		}
		where := record.Address{File: t.name, Row: at, Column: i + 1}
		if t.standard != nil {
			if d := t.standard.Field(f.Name); d != nil {
				switch why := d.Misfit(text); {
				case why != "":
					t.add("field-misfit", where, f.Name, text, why, d.IsVersionOf)
				case text == "" && d.Required:
					t.add("field-required", where, f.Name, "", "the field may not be empty", d.IsVersionOf)
				}
			}
		}
		if c := checks[f.Name]; c != nil && text != "" && !strings.HasSuffix(t.row.RowType, "media") {
			if w := c(text); w != nil && w.rule != "value-not-number" && w.rule != "value-out-of-range" {
				t.found.add(record.Finding{Rule: w.rule, Level: t.level(w.rule), At: where, Field: f.Name, Value: text, Reason: w.reason, Suggestion: w.suggestion, Reference: f.IsVersionOf})
			}
		}
		if text == "" {
			continue
		}
		if slices.Contains(s.PrimaryKey, f.Name) {
			if err := t.keyed.primary.add(text, placeOf(t.number, at)); err != nil {
				return err
			}
		}
		for j, k := range s.ForeignKeys {
			if slices.Contains(k.Fields, f.Name) {
				if err := t.keyed.foreign[j].add(text, placeOf(t.number, at)); err != nil {
					return err
				}
			}
		}
	}
	if t.options.Visit == nil {
		return nil
	}
	t.row.Values, t.row.Number, t.row.Line, t.row.ID = cells, number, at, ""
	return t.options.Visit(&t.row)
}
