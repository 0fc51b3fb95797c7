package prove

import (
	"context"
	"fmt"
	"path"
	"slices"
	"strings"

	"spadefoot/pipeline/darwincore/tables"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/budget"
)

// Options of a proof. The zero value is usable.
type Options struct {
	Limits      Limits               // DefaultLimits if zero
	TempDir     string               // for identifiers beyond InMemory; the system's if empty
	InMemory    int                  // identifiers of one kind held in memory before they go to disk; half a million if 0
	Descriptors tables.Descriptors   // published descriptors of fields that those of a data package are compared with
	Visit       func(row *Row) error // called for every row, in order, if set
	MayReport   func(rows int)       // called now and then with the rows read so far, if set
}

// Row is one row as Visit sees it. Terms and Values are only valid during the
// call.
type Row struct {
	File    string
	RowType string // address of the class
	Core    bool
	Number  int // of the row within its entity, from 1
	Line    int // of the file
	ID      string
	Terms   []string // local names
	Columns []int    // of the file, from 1; 0 for a term that has only a default
	Values  []string
}

// Get returns the value of a term by local name, or "".
func (r *Row) Get(term string) string {
	if i := slices.Index(r.Terms, term); i >= 0 {
		return r.Values[i]
	}
	return ""
}

// Part is the core or an extension with what was read of it.
type Part struct {
	RowType string
	Core    bool
	Files   []string
	Columns []string // local names of the terms
	Rows    int
}

// Result is what a proof found.
type Result struct {
	Findings []record.Finding
	Parts    []Part // the core first
}

// prover is one proof under way.
type prover struct {
	ctx     context.Context
	options Options
	strict  bool
	box     *container
	at      string // path of the container
	base    string // folder of meta.xml within the container, with a slash at the end, or ""
	found   findings
	parts   []Part
	total   int    // rows proved
	trail   *trail // of the core, while it is read; nil if there are no extensions
	walk    *walk  // along it, while an extension is read
}

// Path proves an archive: a folder, a zip, or one text file with terms as
// headings. It returns an error where the container cannot be read at all, and a
// *HostileError with what was found so far where it is refused.
func Path(ctx context.Context, p string, o Options) (*Result, error) {
	return run(ctx, p, o, false)
}

func run(ctx context.Context, at string, o Options, strict bool) (*Result, error) {
	if o.Limits == (Limits{}) {
		o.Limits = DefaultLimits
	}
	if o.InMemory <= 0 {
		o.InMemory = 1 << 19
	}
	box, err := openContainer(at, o.Limits)
	if err != nil {
		return nil, err
	}
	defer box.close()
	p := &prover{ctx: ctx, options: o, strict: strict, box: box, at: at}
	err = p.prove()
	return &Result{p.found.sorted(), p.parts}, err
}

func (p *prover) add(rule string, at record.Address, field, value, reason, reference string) {
	p.found.add(record.Finding{Rule: rule, Level: p.level(rule), At: at, Field: field, Value: value, Reason: reason, Reference: reference})
}

func (p *prover) prove() error {
	if p.box.alone {
		return p.simple(p.box.names[0])
	}
	if p.has(descriptorName) {
		return p.dataPackage()
	}
	name := p.findMeta()
	if name == "" {
		return p.withoutMeta()
	}
	root, err := p.tree(name)
	if err != nil || root == nil {
		return err
	}
	if err := p.admitFields(name, len(root.all("extension"))+root.count("field")); err != nil {
		return err
	}
	reader := metaReader{file: name, found: &p.found, level: p.level}
	m := reader.read(root)
	p.metaSchema(root, name)
	if m == nil {
		return nil
	}
	if err := p.admitLocations(name, m); err != nil {
		return err
	}
	if err := p.metadata(name, m); err != nil {
		return err
	}
	return p.archive(name, m)
}

// findMeta returns the name of the metafile: at the top, or in the one folder
// that a zip of a folder has.
func (p *prover) findMeta() string {
	var deeper []string
	for _, n := range p.box.names {
		switch {
		case n == "meta.xml":
			return n
		case strings.EqualFold(n, "meta.xml"):
			p.add("meta-name", line(n, 0), "", n, "the metafile must be named meta.xml", guide+"2")
			return n
		case path.Base(n) == "meta.xml" && strings.Count(n, "/") == 1:
			deeper = append(deeper, n)
		}
	}
	if len(deeper) != 1 {
		return ""
	}
	p.base = path.Dir(deeper[0]) + "/"
	p.add("meta-elsewhere", line(deeper[0], 0), "", deeper[0], "meta.xml is in a folder of the archive; locations are relative to it", guide+"2.3.1")
	return deeper[0]
}

// admitFields refuses a description of more columns than anything has.
func (p *prover) admitFields(name string, n int) error {
	if most := budget.Usual().Fields; n > most {
		return &HostileError{p.at, name, fmt.Sprintf("describes more than %d columns and tables; %s", most, budget.AdviceWithoutSurvey(budget.Fields))}
	}
	return nil
}

func (p *prover) has(name string) bool { return slices.Contains(p.box.names, name) }

// archive proves the core, then the extensions against its identifiers.
func (p *prover) archive(meta string, m *metafile) error {
	p.unnamed(meta, m)
	core := p.newRuns()
	defer core.close()
	if len(m.extensions) > 0 {
		p.trail = &trail{dir: p.options.TempDir, bound: p.options.InMemory}
		defer p.trail.close()
	}
	if err := p.entity(meta, m.core, core); err != nil {
		return err
	}
	if m.core.id >= 0 {
		if err := p.unique(m.core, core); err != nil {
			return err
		}
	}
	for _, e := range m.extensions {
		if err := p.extension(meta, e, m.core, core); err != nil {
			return err
		}
	}
	return nil
}

// extension proves the rows of an extension, and that they point at rows of
// the core.
func (p *prover) extension(meta string, e, core *entity, known *runs) error {
	ids := p.newRuns() // that are not found along the trail
	defer ids.close()
	var err error
	if p.walk, err = p.trail.walk(); err != nil {
		return err
	}
	// our own are named by what they are, and are many
	own := slices.IndexFunc(e.fields, func(f field) bool { return f.iri == dwcSpace+"terms/measurementID" && f.index >= 0 })
	if own >= 0 && !p.strict {
		e.own = p.newRuns()
		defer e.own.close()
	}
	err = p.entity(meta, e, ids)
	if err == nil && e.own != nil {
		named := *e
		named.id = e.fields[own].index
		err = p.pointed(&named, "measurement-twice", "measurementID", dwcSpace+"terms/measurementID", e.own.duplicates,
			func(first string) string { return "the identifier is also in " + first })
	}
	if err != nil || e.id < 0 || core.id < 0 || core.partial {
		return err
	}
	return p.resolve(e, ids, known)
}
