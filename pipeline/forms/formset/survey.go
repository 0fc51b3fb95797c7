package formset

import (
	"bytes"
	"fmt"
	"maps"
	"slices"

	"go.yaml.in/yaml/v3"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/forms"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/survey"
)

// survey writes the survey.yaml of the forms: what the survey says of itself,
// with the workbooks of the forms for sheets. A date of publication is left
// out, since captures to come are later than it.
func (f *forming) survey() ([]byte, error) {
	var doc yaml.Node
	if err := yaml.Unmarshal(f.about.Survey.Files[survey.FileName], &doc); err != nil || len(doc.Content) == 0 {
		return nil, &output.InputError{File: survey.FileName, Err: fmt.Errorf("%s cannot be written anew: %w", survey.FileName, err)}
	}
	root := doc.Content[0]
	if f.about.Withheld {
		withoutComments(&doc) // they may say where
	}
	nodeWithout(root, "mapping")
	nodeWithout(config.Value(root, "dataset"), "published")
	nodeWithout(config.Value(root, "tables"), "remedies")
	if tables := config.Value(root, "tables"); tables != nil && len(tables.Content) == 0 {
		nodeWithout(root, "tables")
	}
	window := f.about.Survey.Window
	nodeSet(root, "survey", "from", window.From)
	nodeSet(root, "survey", "to", window.To)
	if config.Value(config.Value(config.Value(root, "rules"), "levels"), "table-without-rows") == nil {
		nodeSet(nodeEnsure(root, "rules"), "levels", "table-without-rows", "note") // a tab that nobody needed
	}
	sheets := &yaml.Node{Kind: yaml.SequenceNode}
	for _, r := range f.refs {
		sheets.Content = append(sheets.Content, r.node())
	}
	nodeWithout(root, "sheets")
	root.Content = append(root.Content, nodeKey("sheets"), sheets)
	var b bytes.Buffer
	b.WriteString("# The survey folder of the field forms. Type captures into the workbooks, then:\n#   spadefoot run FOLDER --out DIR\n# To keep them with earlier seasons, copy workbook and mapping into that survey\n# folder and add the entry under sheets there.\n\n")
	e := yaml.NewEncoder(&b)
	e.SetIndent(2)
	if err := e.Encode(&doc); err != nil {
		return nil, err
	}
	return b.Bytes(), e.Close()
}

// node is the entry of a form under sheets. The headings are where the form
// has them, whatever else is typed.
func (r formRef) node() *yaml.Node {
	n := &yaml.Node{Kind: yaml.MappingNode}
	add := func(k string, v *yaml.Node) { n.Content = append(n.Content, nodeKey(k), v) }
	add("file", nodeText(r.workbook))
	add("tabs", &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle, Content: []*yaml.Node{nodeText(forms.SessionTabs)}})
	add("mapping", nodeText(r.mapping))
	add("layout", &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle, Content: []*yaml.Node{
		nodeKey("headingRow"), {Kind: yaml.ScalarNode, Value: "1"}, nodeKey("headingRows"), {Kind: yaml.ScalarNode, Value: "1"}}})
	if len(r.defaults) > 0 {
		d := &yaml.Node{Kind: yaml.MappingNode}
		for _, term := range slices.Sorted(maps.Keys(r.defaults)) {
			d.Content = append(d.Content, nodeKey(term), nodeText(fmt.Sprint(r.defaults[term])))
		}
		add("defaults", d)
	}
	return n
}

func withoutComments(n *yaml.Node) {
	n.HeadComment, n.LineComment, n.FootComment = "", "", ""
	for _, c := range n.Content {
		withoutComments(c)
	}
}

func nodeKey(s string) *yaml.Node { return &yaml.Node{Kind: yaml.ScalarNode, Value: s} }

func nodeText(s string) *yaml.Node { return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: s} }

// nodeWithout takes a key out.
func nodeWithout(n *yaml.Node, name string) {
	if n == nil {
		return
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == name {
			n.Content = append(n.Content[:i:i], n.Content[i+2:]...)
			return
		}
	}
}

// nodeEnsure returns the mapping below a key, made if it is not there.
func nodeEnsure(n *yaml.Node, name string) *yaml.Node {
	if v := config.Value(n, name); v != nil {
		return v
	}
	v := &yaml.Node{Kind: yaml.MappingNode}
	n.Content = append(n.Content, nodeKey(name), v)
	return v
}

// nodeSet gives a key below another its value; an empty one is left as it is.
func nodeSet(n *yaml.Node, part, name, value string) {
	if value == "" {
		return
	}
	at := nodeEnsure(n, part)
	if v := config.Value(at, name); v != nil {
		if v.Value != value {
			*v = *nodeText(value)
		}
		return
	}
	at.Content = append(at.Content, nodeKey(name), nodeText(value))
}
