package prove

import (
	"encoding/xml"
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

const (
	xmlnsSpace    = "xmlns"
	instanceSpace = "http://www.w3.org/2001/XMLSchema-instance"
)

// conformer holds one XML file against a model.
type conformer struct {
	model *model
	file  string
	rule  string
	ref   string
	add   func(record.Finding)
	level record.Level
}

// conforms checks that elements and attributes are those that the published
// schema of the file requires, in its order, with texts of its types.
func (p *prover) conforms(root *element, file, rule, reference string) {
	c := conformer{xmlModels(), file, rule, reference, p.found.add, p.level(rule)}
	c.root(root)
}

func (c *conformer) root(root *element) {
	name := "{" + root.name.Space + "}" + root.name.Local
	t, ok := c.model.Roots[name]
	if !ok {
		c.fault(root.line, root.name.Local, "", "the root element "+name+" is not that of any known schema")
		return
	}
	c.element(root, t)
}

func (c *conformer) fault(row int, field, value, reason string) {
	if len(value) > 80 {
		value = value[:80] + "..."
	}
	c.add(record.Finding{Rule: c.rule, Level: c.level, At: line(c.file, row), Field: field, Value: value, Reason: reason, Reference: c.ref})
}

func (c *conformer) element(e *element, typeName string) {
	t := c.model.Types[typeName]
	if t == nil { // a simple type
		c.attributes(e, &modelType{})
		c.textOnly(e, typeName)
		return
	}
	c.attributes(e, t)
	if t.Text != "" {
		c.textOnly(e, t.Text)
		return
	}
	if t.Content == nil && !t.Mixed && len(e.data) > 0 {
		c.fault(e.line, e.name.Local, e.text(), "<"+e.name.Local+"> must be empty, without even a space")
		return
	}
	if !t.Mixed && e.text() != "" {
		c.fault(e.line, e.name.Local, e.text(), "there is text between the elements of <"+e.name.Local+">")
	}
	c.children(e, compile(t.Content))
}

func (c *conformer) children(e *element, left *expression) {
	for _, child := range e.children {
		rest, p := left.after(child.name)
		if rest == nil {
			c.fault(child.line, child.name.Local, "", fmt.Sprintf("<%s> is not allowed here in <%s>; expected %s", child.name.Local, e.name.Local, or(left)))
			return
		}
		if p.Kind != "any" {
			c.element(child, p.Type)
		}
		left = rest
	}
	if !left.nullable() {
		c.fault(e.line, e.name.Local, "", fmt.Sprintf("<%s> lacks %s", e.name.Local, or(left)))
	}
}

func or(e *expression) string {
	names := e.expected()
	if len(names) == 0 {
		return "nothing more"
	}
	if len(names) > 8 {
		names = append(names[:8:8], "...")
	}
	return strings.Join(names, " or ")
}

// textOnly checks an element that holds text and no elements.
func (c *conformer) textOnly(e *element, typeName string) {
	if typeName == "any" || typeName == "xs:anyType" {
		return
	}
	if len(e.children) > 0 {
		c.fault(e.children[0].line, e.children[0].name.Local, "", "<"+e.name.Local+"> may contain only text")
		return
	}
	if why := c.model.value(string(e.data), typeName); why != "" {
		c.fault(e.line, e.name.Local, e.text(), "<"+e.name.Local+">: "+why)
	}
}

func ignored(a xml.Attr) bool {
	return a.Name.Space == xmlnsSpace || a.Name.Space == "" && a.Name.Local == "xmlns" || a.Name.Space == instanceSpace
}

func (c *conformer) attributes(e *element, t *modelType) {
	for _, a := range e.attrs {
		if ignored(a) {
			continue
		}
		i := slices.IndexFunc(t.Attrs, func(m modelAttr) bool { return m.Name == a.Name.Local && m.Space == a.Name.Space })
		if i < 0 {
			c.fault(e.line, a.Name.Local, a.Value, "<"+e.name.Local+"> has no attribute "+a.Name.Local)
			continue
		}
		m := t.Attrs[i]
		switch why := c.model.value(a.Value, m.Type); {
		case m.Fixed != "" && a.Value != m.Fixed:
			c.fault(e.line, a.Name.Local, a.Value, "the attribute "+a.Name.Local+" can only be "+m.Fixed)
		case why != "":
			c.fault(e.line, a.Name.Local, a.Value, "the attribute "+a.Name.Local+": "+why)
		}
	}
	for _, m := range t.Attrs {
		if m.Required && !slices.ContainsFunc(e.attrs, func(a xml.Attr) bool { return a.Name.Local == m.Name && a.Name.Space == m.Space }) {
			c.fault(e.line, m.Name, "", "<"+e.name.Local+"> needs the attribute "+m.Name)
		}
	}
}
