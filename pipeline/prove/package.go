package prove

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path"
	"slices"

	"spadefoot/pipeline/darwincore/tables"
)

const descriptorName = "datapackage.json"

// dataPackage proves a Darwin Core Data Package: the descriptor, every table
// against its fields, and the keys between tables.
func (p *prover) dataPackage() error {
	b, err := p.readSmall(descriptorName)
	if err != nil {
		return err
	}
	lines, err := jsonLines(b)
	var v descriptor
	if err == nil {
		err = json.Unmarshal(b, &v)
	}
	if err != nil {
		at := line(descriptorName, 0)
		var t *textError
		if errors.As(err, &t) {
			at.Row = t.line
		}
		p.add("package-malformed", at, "", "", err.Error(), packageGuide+"3")
		return nil
	}
	d := &describer{p, descriptorName, lines}
	if err := d.admit(&v); err != nil {
		return err
	}
	d.whole(&v)
	if p.has("eml.xml") {
		root, err := p.tree("eml.xml")
		if err != nil {
			return err
		}
		if root != nil {
			p.eml(root, "eml.xml")
		}
	}
	return p.tables(d, &v)
}

func (p *prover) readSmall(name string) ([]byte, error) {
	r, err := p.box.open(name)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	b, err := io.ReadAll(io.LimitReader(r, maxXML+1))
	if err == nil && len(b) > maxXML {
		return nil, &HostileError{p.at, name, fmt.Sprintf("is longer than %d bytes", maxXML)}
	}
	return b, err
}

// admit refuses a package whose files are elsewhere.
func (d *describer) admit(v *descriptor) error {
	for i, r := range v.Resources {
		for _, name := range r.Path {
			why := locationFault(name)
			if why == "" && remote(name) {
				why = "is on another machine; nothing is fetched"
			}
			if why == "" {
				continue
			}
			at := fmt.Sprintf("resources/%d/path", i)
			d.fault("resource-path", at, "path", name, why, "3.2.2")
			return &HostileError{d.at, name, fmt.Sprintf("(%s, line %d) %s", d.file, d.lines[at], why)}
		}
	}
	return nil
}

// keyed is a table with the values of its keys.
type keyed struct {
	resource *resource
	entity   *entity // for reading its rows again
	primary  *runs
	foreign  []*runs // by foreign key of the schema
}

func (p *prover) tables(d *describer, v *descriptor) error {
	all := map[string]*keyed{}
	var order []*keyed
	defer func() {
		for _, k := range order {
			k.primary.close()
			for _, f := range k.foreign {
				f.close()
			}
		}
	}()
	for i := range v.Resources {
		r := &v.Resources[i]
		if !tables.Reserved(r.Name) {
			continue
		}
		k := &keyed{resource: r, primary: p.newRuns()}
		for range r.Schema.ForeignKeys {
			k.foreign = append(k.foreign, p.newRuns())
		}
		all[r.Name] = k
		order = append(order, k)
		if err := p.resource(d, i, k); err != nil {
			return err
		}
	}
	for _, k := range order {
		if err := p.keysHold(k, all); err != nil {
			return err
		}
	}
	return nil
}

func (p *prover) newRuns() *runs {
	return &runs{dir: p.options.TempDir, bound: p.options.InMemory}
}

// resource proves the rows of one table.
func (p *prover) resource(d *describer, index int, k *keyed) error {
	r := k.resource
	e := &entity{core: true, rowType: r.Name, encoding: orDefault(&r.Encoding, "UTF-8"), separator: orDefault(r.Dialect.Delimiter, ","),
		ending: orDefault(r.Dialect.LineTerminator, "\r\n"), quote: orDefault(r.Dialect.QuoteChar, `"`), skip: 1, id: -1}
	if r.Dialect.Header != nil && !*r.Dialect.Header {
		e.skip = 0
	}
	k.entity = e
	part := Part{RowType: r.Name, Core: index == 0}
	for _, f := range r.Schema.Fields {
		part.Columns = append(part.Columns, f.Name)
	}
	for n, name := range r.Path {
		name = path.Clean(name)
		e.files = append(e.files, located{name, 0})
		part.Files = append(part.Files, name)
		if !p.has(name) {
			d.fault("location-missing", fmt.Sprintf("resources/%d/path", index), "path", name, "the package has no file of this name", "3.2.2")
			continue
		}
		rows, err := p.packageFile(name, n, k, part.Rows)
		part.Rows += rows
		if err != nil {
			return err
		}
	}
	p.parts = append(p.parts, part)
	return nil
}

func orDefault(s *string, otherwise string) string {
	if s == nil || *s == "" {
		return otherwise
	}
	return *s
}

// keysHold checks that primary keys are unique and foreign keys resolve.
func (p *prover) keysHold(k *keyed, all map[string]*keyed) error {
	column := func(name string) int {
		return slices.IndexFunc(k.resource.Schema.Fields, func(f fieldDescriptor) bool { return f.Name == name })
	}
	if len(k.resource.Schema.PrimaryKey) == 1 {
		k.entity.id = column(k.resource.Schema.PrimaryKey[0])
		err := p.pointed(k.entity, "key-twice", k.resource.Schema.PrimaryKey[0], packageGuide+"3.3", func(report func(at, first place)) error {
			return k.primary.duplicates(func(first, again place) { report(again, first) })
		}, func(first string) string { return "the key stands in " + first + " too" })
		if err != nil {
			return err
		}
	}
	for i, f := range k.resource.Schema.ForeignKeys {
		target := k
		if f.Reference.Resource != "" {
			target = all[f.Reference.Resource]
		}
		if target == nil || len(f.Fields) != 1 {
			continue
		}
		k.entity.id = column(f.Fields[0])
		err := p.pointed(k.entity, "key-lost", f.Fields[0], packageGuide+"3.3", func(report func(at, first place)) error {
			return k.foreign[i].orphans(target.primary, func(at place) { report(at, at) })
		}, func(string) string { return "the table " + target.resource.Name + " has no row with this key" })
		if err != nil {
			return err
		}
	}
	return nil
}
