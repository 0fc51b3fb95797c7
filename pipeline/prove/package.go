package prove

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path"

	"spadefoot/pipeline/record/budget"

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
		if t, ok := errors.AsType[*textError](err); ok {
			at.Row = t.line
		}
		p.add("package-malformed", at, "", "", err.Error(), packageGuide+"3")
		return nil
	}
	n := len(v.Resources)
	for _, r := range v.Resources {
		n += len(r.Schema.Fields) + len(r.Schema.ForeignKeys) + len(r.Path)
	}
	if err := p.admitFields(descriptorName, n); err != nil {
		return err
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

// bytesOfNode is what a value takes in a descriptor, at the most.
const bytesOfNode = 64

func (p *prover) readSmall(name string) ([]byte, error) {
	r, err := p.box.open(name)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	most := bytesOfNode * budget.Usual().Nodes
	b, err := io.ReadAll(io.LimitReader(r, int64(most)+1))
	if err == nil && len(b) > most {
		return nil, &HostileError{p.at, name, fmt.Sprintf("is longer than %d bytes; %s", most, budget.AdviceWithoutSurvey(budget.Nodes))}
	}
	return b, err
}

// admit refuses a package whose files are elsewhere.
func (d *describer) admit(v *descriptor) error {
	for i, r := range v.Resources {
		for _, name := range r.Path {
			why := locationFault(name)
			at := fmt.Sprintf("resources/%d/path", i)
			if why == "" && remote(name) {
				d.fault("location-remote", at, "path", name, "the file is on another machine; nothing is downloaded, so its rows were not checked", "3.2.2")
			}
			if why == "" {
				continue
			}
			d.fault("resource-path", at, "path", name, why, "3.2.2")
			return &HostileError{d.at, name, fmt.Sprintf("(%s, line %d) %s", d.file, d.lines[at], why)}
		}
	}
	return nil
}

// keyed is a table with the values of its keys.
type keyed struct {
	resource *resource
	index    int     // of the resource
	entity   *entity // for reading its rows again
	primary  *keyValues
	foreign  []*keyValues // by foreign key of the schema
	part     *Part        // nil until its rows are proved
	done     bool
	partial  bool // some of its rows cannot be read
}

// tables proves the tables, those that others point at before the others.
// Where somebody looks at the rows, they come in the order of the descriptor.
func (p *prover) tables(d *describer, v *descriptor) error {
	all := map[string]*keyed{}
	var order []*keyed
	defer func() {
		for _, k := range order {
			for _, v := range append(k.foreign, k.primary) {
				v.close()
			}
		}
	}()
	for i := range v.Resources {
		r := &v.Resources[i]
		if !tables.Reserved(r.Name) {
			continue
		}
		k := &keyed{resource: r, index: i, primary: &keyValues{sorted: p.newRuns()}}
		for range r.Schema.ForeignKeys {
			k.foreign = append(k.foreign, &keyValues{sorted: p.newRuns()})
		}
		all[r.Name] = k
		order = append(order, k)
	}
	for _, k := range order {
		for _, f := range k.resource.Schema.ForeignKeys {
			if target := all[f.Reference.Resource]; target != nil && target != k && target.primary.order == nil {
				target.primary.order = &trail{dir: p.options.TempDir, bound: p.options.InMemory}
			}
		}
	}
	for _, k := range order {
		if err := p.table(d, k, all); err != nil {
			return err
		}
	}
	for _, k := range order {
		p.parts = append(p.parts, *k.part)
	}
	for _, k := range order {
		if err := p.keysHold(k, all); err != nil {
			return err
		}
	}
	return nil
}

// table proves a table after those that it points at.
func (p *prover) table(d *describer, k *keyed, all map[string]*keyed) error {
	if k.part != nil {
		return nil
	}
	k.part = &Part{} // a table that points back at this one does not wait for it
	for i, f := range k.resource.Schema.ForeignKeys {
		target := all[f.Reference.Resource]
		if target == nil || len(f.Fields) != 1 {
			continue
		}
		if p.options.Visit == nil {
			if err := p.table(d, target, all); err != nil {
				return err
			}
		}
		if target.done {
			var err error
			if k.foreign[i].beside, err = target.primary.order.walk(); err != nil {
				return err
			}
		}
	}
	err := p.resource(d, k)
	k.done = true
	return err
}

func (p *prover) newRuns() *runs {
	return &runs{dir: p.options.TempDir, bound: p.options.InMemory}
}

// resource proves the rows of one table.
func (p *prover) resource(d *describer, k *keyed) error {
	r := k.resource
	e := &entity{core: true, rowType: r.Name, encoding: orDefault(&r.Encoding, "UTF-8"), separator: orDefault(r.Dialect.Delimiter, ","),
		ending: orDefault(r.Dialect.LineTerminator, "\r\n"), quote: orDefault(r.Dialect.QuoteChar, `"`), skip: 1, id: -1}
	if r.Dialect.Header != nil && !*r.Dialect.Header {
		e.skip = 0
	}
	k.entity = e
	part := k.part
	*part = Part{RowType: r.Name, Core: k.index == 0}
	for _, f := range r.Schema.Fields {
		part.Columns = append(part.Columns, f.Name)
	}
	for n, name := range r.Path {
		if remote(name) {
			k.partial = true
			continue
		}
		name = path.Clean(name)
		e.files = append(e.files, located{name, 0})
		part.Files = append(part.Files, name)
		if !p.has(name) {
			d.fault("location-missing", fmt.Sprintf("resources/%d/path", k.index), "path", name, "the package has no file with this name", "3.2.2")
			k.partial = true
			continue
		}
		rows, err := p.packageFile(name, n, k, part.Rows)
		part.Rows += rows
		if err != nil {
			return err
		}
	}
	return k.settle()
}

func orDefault(s *string, otherwise string) string {
	if s == nil || *s == "" {
		return otherwise
	}
	return *s
}
