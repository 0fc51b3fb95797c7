package forms

import (
	"bytes"
	"maps"
	"slices"
	"strconv"

	"go.yaml.in/yaml/v3"

	"spadefoot/pipeline/record"
)

// Mapping writes the mapping of the form's headings as YAML, each heading as it
// is in the workbook.
func (f *Form) Mapping() ([]byte, error) {
	root := &yaml.Node{Kind: yaml.MappingNode, HeadComment: "The headings of the form and what they mean."}
	put(root, "name", text(f.Name))
	put(root, "key", list(f.Key))
	put(root, "session", list(f.Source.Session))
	put(root, "marks", list(f.Marks))
	put(root, "decimal", text(f.Decimal))
	put(root, "dateOrder", text(f.DateOrder))
	if f.ZeroMissing {
		put(root, "zeroMissing", raw("true"))
	}
	put(root, "remarks", text(f.Remarks))
	put(root, "weighing", f.Weighing.node())
	own := &yaml.Node{Kind: yaml.MappingNode}
	for _, term := range slices.Sorted(maps.Keys(f.Source.Words)) {
		put(own, term, wordMap(f.Source.Words[term]))
	}
	put(root, "words", own)
	headings := &yaml.Node{Kind: yaml.SequenceNode}
	for i := range f.Columns {
		headings.Content = append(headings.Content, f.node(&f.Columns[i]))
	}
	put(root, "headings", headings)
	var b bytes.Buffer
	e := yaml.NewEncoder(&b)
	e.SetIndent(2)
	if err := e.Encode(root); err != nil {
		return nil, err
	}
	return b.Bytes(), e.Close()
}

func (w Weighing) node() *yaml.Node {
	n := flow()
	put(n, "way", text(string(w.Way)))
	put(n, "unit", text(w.Unit))
	put(n, "scale", text(w.Scale))
	if w.Tare > 0 {
		put(n, "tare", raw(plain(w.Tare)))
	}
	if w.TareSpread > 0 {
		put(n, "tareSpread", raw(plain(w.TareSpread)))
	}
	return n
}

// node writes one heading. What the whole mapping says already is left out.
func (f *Form) node(c *Column) *yaml.Node {
	n, m := flow(), c.Meaning
	put(n, "heading", text(c.Heading))
	switch m.Role {
	case record.Term:
		put(n, "term", text(m.Term))
	case record.Measurement:
		put(n, "measurement", text(m.Measurement))
	case record.WeighPart:
		put(n, "weighing", text(m.Part))
	case record.SetAside:
		put(n, "aside", text(m.Reason))
		return n
	default:
		put(n, "long", text(record.LongName(m.Role)))
	}
	if m.Role != record.Term && m.Part != record.Bag && m.Part != record.Scale {
		put(n, "unit", text(m.Unit))
		put(n, "instrument", text(m.Instrument))
	}
	put(n, "observer", text(m.Observer))
	put(n, "side", text(m.Side))
	if m.Replicate > 0 {
		put(n, "replicate", raw(strconv.Itoa(m.Replicate)))
	}
	put(n, "words", wordMap(m.Vocabulary))
	put(n, "decimal", text(m.Decimal))
	put(n, "dateOrder", text(m.DateOrder))
	put(n, "compass", text(m.Compass))
	put(n, "angle", text(m.Angle))
	if m.CarryDown {
		put(n, "carryDown", raw("true"))
	}
	if m.ZeroMissing {
		put(n, "zeroMissing", raw("true"))
	}
	return n
}

func flow() *yaml.Node { return &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle} }

// text is a string that YAML reads back as that string; nil for an empty one.
func text(s string) *yaml.Node {
	if s == "" {
		return nil
	}
	return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: s}
}

func raw(s string) *yaml.Node { return &yaml.Node{Kind: yaml.ScalarNode, Value: s} }

func list(items []string) *yaml.Node {
	n := &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle}
	for _, s := range items {
		n.Content = append(n.Content, text(s))
	}
	return n
}

func wordMap(m map[string]string) *yaml.Node {
	n := flow()
	for _, k := range slices.Sorted(maps.Keys(m)) {
		n.Content = append(n.Content, &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: k},
			&yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: m[k]})
	}
	return n
}

// put adds a key, unless its value is empty.
func put(to *yaml.Node, key string, value *yaml.Node) {
	if value == nil || value.Kind != yaml.ScalarNode && len(value.Content) == 0 {
		return
	}
	to.Content = append(to.Content, &yaml.Node{Kind: yaml.ScalarNode, Value: key}, value)
}
