package prove

import (
	"encoding/xml"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// render writes a tree back as XML with its prefixes resolved again.
func render(b *strings.Builder, e *element, spaces map[string]string) {
	name := func(n xml.Name) string {
		if p, ok := spaces[n.Space]; ok && n.Space != "" {
			return p + n.Local
		}
		if n.Space == "xmlns" {
			return "xmlns:" + n.Local
		}
		return n.Local
	}
	fmt.Fprintf(b, "<%s", name(e.name))
	for _, a := range e.attrs {
		fmt.Fprintf(b, ` %s="`, name(a.Name))
		xml.EscapeText(b, []byte(a.Value))
		b.WriteByte('"')
	}
	b.WriteByte('>')
	xml.EscapeText(b, e.data)
	for _, c := range e.children {
		b.WriteByte('\n')
		render(b, c, spaces)
	}
	fmt.Fprintf(b, "</%s>", name(e.name))
}

// mutants returns the document changed in one place each: an element dropped,
// doubled, renamed, moved, emptied or filled with other text, an attribute
// dropped, changed or added.
func mutants(root *element, spaces map[string]string) map[string]string {
	out := map[string]string{}
	keep := func(name string) {
		var b strings.Builder
		render(&b, root, spaces)
		out[fmt.Sprintf("%04d-%s", len(out), name)] = b.String()
	}
	keep("unchanged")
	var walk func(e *element)
	walk = func(e *element) {
		mutateSelf(e, keep)
		for i := range e.children {
			mutateChild(e, i, keep)
		}
		for _, c := range e.children {
			walk(c)
		}
	}
	walk(root)
	return out
}

func mutateSelf(e *element, keep func(string)) {
	data, attrs, name := e.data, e.attrs, e.name
	for _, text := range []string{"", " ", "x", "12", "-1", "2021-13-01", "2021", "400"} {
		e.data = []byte(text)
		keep("text-" + name.Local)
	}
	e.data = data
	for i := range attrs {
		if attrs[i].Name.Space == "xmlns" || attrs[i].Name.Local == "xmlns" {
			continue
		}
		e.attrs = slices.Delete(slices.Clone(attrs), i, i+1)
		keep("drop-attribute-" + attrs[i].Name.Local)
		for _, v := range []string{"", "x", "-1", "http://a b", "%zz"} {
			e.attrs = slices.Clone(attrs)
			e.attrs[i].Value = v
			keep("change-attribute-" + attrs[i].Name.Local)
		}
	}
	e.attrs = append(slices.Clone(attrs), xml.Attr{Name: xml.Name{Local: "colour"}, Value: "green"})
	keep("add-attribute-" + name.Local)
	e.attrs = attrs
	e.name.Local += "s"
	keep("rename-" + name.Local)
	e.name = name
}

func mutateChild(e *element, i int, keep func(string)) {
	all := e.children
	defer func() { e.children = all }()
	e.children = slices.Delete(slices.Clone(all), i, i+1)
	keep("drop-" + all[i].name.Local)
	e.children = slices.Insert(slices.Clone(all), i, all[i])
	keep("double-" + all[i].name.Local)
	e.children = slices.Insert(slices.Clone(all), i, &element{name: xml.Name{Space: all[i].name.Space, Local: "stranger"}})
	keep("stranger-before-" + all[i].name.Local)
	if i > 0 {
		e.children = slices.Clone(all)
		e.children[i-1], e.children[i] = e.children[i], e.children[i-1]
		keep("swap-" + all[i].name.Local)
	}
}

// lint returns the names of the files that a schema rejects.
func lint(t *testing.T, schema string, docs map[string]string) map[string]bool {
	t.Helper()
	dir := t.TempDir()
	var paths []string
	for name, text := range docs {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		paths = append(paths, path)
	}
	slices.Sort(paths)
	cmd := exec.Command(need.Tool(t, "xmllint"), append([]string{"--nonet", "--noout", "--schema", schema}, paths...)...)
	out, _ := cmd.CombinedOutput() // it fails whenever a file does
	rejected := map[string]bool{}
	verdicts := 0
	for _, l := range strings.Split(string(out), "\n") {
		if path, ok := strings.CutSuffix(l, " validates"); ok && !strings.Contains(path, " ") {
			verdicts++
		} else if path, ok := strings.CutSuffix(l, " fails to validate"); ok {
			verdicts++
			rejected[filepath.Base(path)] = true
		}
	}
	if verdicts < len(docs) {
		t.Fatalf("%d verdicts on %d files", verdicts, len(docs))
	}
	return rejected
}

// TestMutations changes our own metafile and metadata in every place and
// checks that what the published schema rejects is rejected here too.
func TestMutations(t *testing.T) {
	for _, c := range []struct {
		file, schema string
		spaces       map[string]string
	}{
		{"meta.xml", "standards/darwin-core/xml/tdwg_dwc_text.xsd", nil},
		{"eml.xml", "standards/eml/eml.xsd", map[string]string{"https://eml.ecoinformatics.org/eml-2.2.0": "eml:"}},
	} {
		schema := need.Shared(t, c.schema)
		f, err := os.Open(filepath.Join("testdata", c.file))
		if err != nil {
			t.Fatal(err)
		}
		root, err := readTree(f)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		docs := mutants(root, c.spaces)
		every := need.Times(3, 1)
		maps.DeleteFunc(docs, func(name, _ string) bool {
			n, err := strconv.Atoi(name[:4])
			return err != nil || n%every != 0
		})
		rejected := lint(t, schema, docs)
		if rejected["0000-unchanged"] {
			t.Fatalf("%s as it is does not fit its schema", c.file)
		}
		mine := 0
		for name, text := range docs {
			bad := faulty(t, c.file, text)
			if bad {
				mine++
			}
			if rejected[name] && !bad {
				t.Errorf("%s: the schema rejects %s, and nothing is found", c.file, name)
			}
			if c.file == "eml.xml" && rejected[name] != offModel(text) {
				t.Errorf("%s: the schema and the model drawn from it disagree on %s", c.file, name)
			}
			if name == "0000-unchanged" && bad {
				t.Errorf("%s: faults are found in the file as it is", c.file)
			}
		}
		t.Logf("%s: %d mutants, %d rejected by the schema, %d here", c.file, len(docs), len(rejected), mine)
	}
}

func faulty(t *testing.T, file, text string) bool {
	var found []record.Finding
	if file == "meta.xml" {
		found = metaFindings(t, text)
	} else {
		root, err := readTree(strings.NewReader(text))
		if err != nil {
			return true
		}
		p := &prover{}
		p.eml(root, file)
		if root.name.Local != "eml" || root.name.Space != emlPrefix {
			return true
		}
		found = p.found.sorted()
	}
	return slices.ContainsFunc(found, func(f record.Finding) bool { return f.Level == record.Error })
}

// offModel reports whether a text does not fit the model of its schema, apart
// from every other check.
func offModel(text string) bool {
	root, err := readTree(strings.NewReader(text))
	if err != nil {
		return true
	}
	p := &prover{}
	p.conforms(root, "eml.xml", "eml-schema", emlReference)
	return len(p.found.list) > 0
}
