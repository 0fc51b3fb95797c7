package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"path/filepath"
	"strings"
)

// The shapes that are written; pipeline/prove reads them under the same names.
type (
	models struct {
		Source string                 `json:"source"`
		Roots  map[string]string      `json:"roots"` // "{namespace}name" to type
		Types  map[string]*modelType  `json:"types"`
		Simple map[string]*modelValue `json:"simple"`
	}
	modelType struct {
		Content *particle   `json:"content,omitempty"`
		Mixed   bool        `json:"mixed,omitempty"`
		Text    string      `json:"text,omitempty"` // type of the text, where there are no elements
		Attrs   []attribute `json:"attrs,omitempty"`
	}
	particle struct {
		Kind  string      `json:"k"` // seq, choice, el, any
		Name  string      `json:"n,omitempty"`
		Space string      `json:"s,omitempty"`
		Type  string      `json:"t,omitempty"`
		Min   int         `json:"min"`
		Max   int         `json:"max"` // -1 for any number
		Items []*particle `json:"i,omitempty"`
	}
	attribute struct {
		Name     string `json:"n"`
		Space    string `json:"s,omitempty"`
		Type     string `json:"t,omitempty"`
		Required bool   `json:"req,omitempty"`
		Fixed    string `json:"fixed,omitempty"`
	}
	modelValue struct {
		Base     string   `json:"base,omitempty"`
		Values   []string `json:"values,omitempty"`
		NonEmpty bool     `json:"nonEmpty,omitempty"`
		Low      *float64 `json:"low,omitempty"`
		High     *float64 `json:"high,omitempty"`
		OneOf    []string `json:"oneOf,omitempty"`
		ListOf   string   `json:"listOf,omitempty"`
	}
)

// compiler turns schema files into models.
type compiler struct {
	files map[string]*schemaFile
	out   models
}

// xmlModels makes the order and number of elements and the types of values of
// eml.xml and meta.xml from their published schemas.
func xmlModels(shared string) ([]byte, error) {
	eml, err := filepath.Glob(filepath.Join(shared, "standards", "eml", "*.xsd"))
	if err != nil {
		return nil, err
	}
	meta := filepath.Join(shared, "standards", "darwin-core", "xml", "tdwg_dwc_text.xsd")
	files, err := loadSchemas(append(eml, meta)...)
	if err != nil {
		return nil, err
	}
	c := &compiler{files: files, out: models{
		Source: "Names, order and number of elements and types of values, drawn by schemas/generate from the schemas of EML 2.2.0 (NCEAS, repository of 2021-02-22) and of the Darwin Core text guide (TDWG, repository of 2026-08-15)",
		Roots:  map[string]string{}, Types: map[string]*modelType{}, Simple: map[string]*modelValue{},
	}}
	for space, name := range map[string]string{"https://eml.ecoinformatics.org/eml-2.2.0": "eml", "http://rs.tdwg.org/dwc/text/": "archive"} {
		root, ok := files[space].parts["element "+name]
		if !ok {
			return nil, fmt.Errorf("%s has no element %s", space, name)
		}
		t, err := c.elementType(root, name)
		if err != nil {
			return nil, err
		}
		c.out.Roots["{"+space+"}"+name] = t
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(c.out); err != nil {
		return nil, err
	}
	// One type to a line keeps the differences between versions readable.
	return bytes.ReplaceAll(b.Bytes(), []byte(`},"`), []byte("},\n\"")), nil
}

func typeName(f *schemaFile, local string) string {
	space := strings.TrimSuffix(f.space, "/")
	return space[strings.LastIndex(space, "/")+1:] + "#" + local
}

// elementType returns the name of the type of an element, compiling it on the
// way. Path names types that have no name of their own.
func (c *compiler) elementType(n *node, path string) (string, error) {
	if q, ok := n.attrs["type"]; ok {
		return c.named(n.file, q)
	}
	if t := n.first("complexType"); t != nil {
		name := typeName(n.file, path)
		return name, c.complex(t, name, path)
	}
	if t := n.first("simpleType"); t != nil {
		name := typeName(n.file, path)
		return name, c.simple(t, name, path)
	}
	return "any", nil
}

// named returns the name of a type that is referred to.
func (c *compiler) named(f *schemaFile, q string) (string, error) {
	space, local := f.resolve(q)
	if space == xsdSpace {
		return "xs:" + local, nil
	}
	g := c.files[space]
	if g == nil {
		return "", fmt.Errorf("%s: no schema for %q", q, space)
	}
	name := typeName(g, local)
	if t, ok := g.parts["complexType "+local]; ok {
		return name, c.complex(t, name, local)
	}
	if t, ok := g.parts["simpleType "+local]; ok {
		return name, c.simple(t, name, local)
	}
	return "", fmt.Errorf("there is no type %s", name)
}

func (c *compiler) complex(n *node, name, path string) error {
	if _, done := c.out.Types[name]; done {
		return nil
	}
	t := &modelType{Mixed: n.attrs["mixed"] == "true"}
	c.out.Types[name] = t
	body := n
	if inner := n.first("complexContent", "simpleContent"); inner != nil {
		if inner.attrs["mixed"] == "true" {
			t.Mixed = true
		}
		body = inner.first("extension", "restriction")
		if err := c.derive(t, inner.name, body); err != nil {
			return err
		}
	}
	if m := body.first("sequence", "choice", "group", "all"); m != nil {
		p, err := c.particle(m, path)
		if err != nil {
			return err
		}
		if t.Content != nil && t.Content != p {
			p = &particle{Kind: "seq", Min: 1, Max: 1, Items: []*particle{t.Content, p}}
		}
		t.Content = p
	}
	return c.attributes(t, body, path)
}

// derive starts a type from the one that it extends.
func (c *compiler) derive(t *modelType, how string, body *node) error {
	base, err := c.named(body.file, body.attrs["base"])
	if err != nil {
		return err
	}
	b, complexBase := c.out.Types[base]
	if !complexBase {
		t.Text = base
		return nil
	}
	t.Text = b.Text
	t.Attrs = append(t.Attrs, b.Attrs...)
	t.Mixed = t.Mixed || b.Mixed
	if body.name == "extension" || how == "simpleContent" {
		t.Content = b.Content
	}
	return nil
}

func (c *compiler) attributes(t *modelType, body *node, path string) error {
	for _, g := range body.all("attributeGroup") {
		space, local := g.file.resolve(g.attrs["ref"])
		if err := c.attributes(t, c.files[space].parts["attributeGroup "+local], path); err != nil {
			return err
		}
	}
	for _, a := range body.all("attribute") {
		v := attribute{Name: a.attrs["name"], Required: a.attrs["use"] == "required", Fixed: a.attrs["fixed"]}
		var err error
		switch {
		case a.attrs["ref"] != "":
			v.Space, v.Name = a.file.resolve(a.attrs["ref"])
		case a.first("simpleType") != nil:
			v.Type = typeName(a.file, path+"/@"+v.Name)
			err = c.simple(a.first("simpleType"), v.Type, path+"/@"+v.Name)
		case a.attrs["type"] != "":
			v.Type, err = c.named(a.file, a.attrs["type"])
		}
		if err != nil {
			return err
		}
		t.Attrs = append(t.Attrs, v)
	}
	return nil
}
