package prove

import (
	"errors"
	"fmt"
	"path"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// tree reads an XML file; a file that is not well-formed is a finding and
// gives nil.
func (p *prover) tree(name string) (*element, error) {
	r, err := p.box.open(name)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	root, err := readTree(r)
	if fault, ok := errors.AsType[*xmlError](err); ok {
		if fault.hostile {
			p.add("xml-refused", line(name, fault.line), "", "", fault.why, "")
			return nil, &HostileError{p.at, name, fmt.Sprintf("line %d: %s", fault.line, fault.why)}
		}
		p.add("xml-malformed", line(name, fault.line), "", "", fault.why, "XML 1.0, section 2.1")
		return nil, nil
	}
	return root, err
}

// metaSchema holds meta.xml against its schema. A line that the guide was
// already found to be broken in is not reported again.
func (p *prover) metaSchema(root *element, name string) {
	known := map[int]bool{}
	for _, f := range p.found.list {
		known[f.At.Row] = known[f.At.Row] || f.Level == record.Error && f.At.File == name
	}
	c := conformer{xmlModels(), name, "meta-schema", guide + "2", func(f record.Finding) {
		if !known[f.At.Row] {
			p.found.add(f)
		}
	}, p.level("meta-schema")}
	c.root(root)
}

// admitLocations notes files on other machines, which are left out, and refuses
// an archive whose paths lead out of it before any of them is read.
func (p *prover) admitLocations(meta string, m *metafile) error {
	for _, e := range append([]*entity{m.core}, m.extensions...) {
		e.files = slices.DeleteFunc(e.files, func(l located) bool {
			if remote(l.name) {
				p.add("location-remote", line(meta, l.line), "location", l.name, "the file is on another machine; nothing is downloaded, so its rows were not checked", guide+"2.3.1")
				e.partial = true
			}
			return remote(l.name)
		})
	}
	for _, f := range p.found.list {
		if f.Rule == "meta-location-form" && f.Value != "" && (strings.HasPrefix(f.Value, "/") || strings.Contains(f.Value, "..") || strings.ContainsAny(f.Value, "\\:")) {
			return &HostileError{p.at, f.Value, fmt.Sprintf("(%s, line %d) is not within the archive: %s", meta, f.At.Row, f.Reason)}
		}
	}
	return nil
}

// metadata proves the description of the dataset that meta.xml names.
func (p *prover) metadata(meta string, m *metafile) error {
	if m.metadata == "" || absoluteURI(m.metadata) {
		return nil
	}
	name := p.base + path.Clean(m.metadata)
	if !p.has(name) {
		p.add("metadata-missing", line(meta, 0), "metadata", m.metadata, "the archive has no file with this name", guide+"2.1.1")
		return nil
	}
	if !strings.EqualFold(path.Ext(name), ".xml") {
		return nil
	}
	root, err := p.tree(name)
	if err != nil || root == nil {
		return err
	}
	p.eml(root, name)
	return nil
}

// unnamed notes files that nothing points to.
func (p *prover) unnamed(meta string, m *metafile) {
	named := map[string]bool{meta: true, p.base + path.Clean(m.metadata): true}
	for _, e := range append([]*entity{m.core}, m.extensions...) {
		for _, l := range e.files {
			named[p.base+l.name] = true
		}
	}
	for _, n := range p.box.names {
		if !named[n] && strings.HasPrefix(n, p.base) {
			p.add("file-unnamed", line(n, 0), "", "", "meta.xml does not name this file", guide+"2.1")
		}
	}
}
