package survey

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	"spadefoot/pipeline/mapping"
)

// Part is a part of the description of the data set: a text, or people. An empty
// one is taken out.
type Part struct {
	Key    string // "licence", "creators"
	Text   string
	People []Person
}

// Describe changes parts of the description under dataset in the text of
// survey.yaml and leaves every other byte as it is. The error says what cannot be
// changed without changing more.
func Describe(text []byte, parts []Part) ([]byte, error) {
	out := text
	for _, p := range parts {
		var err error
		if out, err = describe(out, p); err != nil {
			return nil, err
		}
	}
	return out, checkDescribed(text, out, parts)
}

func describe(text []byte, p Part) ([]byte, error) {
	data, next, err := datasetOf(text)
	if err != nil {
		return nil, err
	}
	lines := strings.SplitAfter(string(text), "\n")
	if next > len(lines) {
		next = len(lines) + 1
	}
	from, to, comment := next, next, ""
	if i := slices.IndexFunc(data.Content, func(n *yaml.Node) bool { return n.Value == p.Key }); i >= 0 && i%2 == 0 {
		from, to = data.Content[i].Line, next
		if i+2 < len(data.Content) {
			to = data.Content[i+2].Line
		}
		if comment = data.Content[i+1].LineComment; comment == "" {
			comment = data.Content[i].LineComment
		}
	}
	for to > from+1 && beside(lines[to-2]) {
		to-- // blank lines and comments belong to what follows
	}
	if from == to {
		for from > 1 && beside(lines[from-2]) {
			from--
		}
		to = from
		if from > 1 && !strings.HasSuffix(lines[from-2], "\n") {
			lines[from-2] += "\n"
		}
	}
	added := p.lines(strings.Repeat(" ", data.Content[0].Column-1), comment)
	return []byte(strings.Join(slices.Concat(lines[:from-1], added, lines[to-1:]), "")), nil
}

func beside(line string) bool {
	line = strings.TrimSpace(line)
	return line == "" || strings.HasPrefix(line, "#")
}

// datasetOf finds the description, and the line on which what follows it begins.
func datasetOf(text []byte) (data *yaml.Node, next int, err error) {
	var doc yaml.Node
	if err := yaml.Unmarshal(text, &doc); err != nil {
		return nil, 0, err
	}
	if len(doc.Content) > 0 && doc.Content[0].Kind == yaml.MappingNode {
		root := doc.Content[0]
		for i := 0; i+1 < len(root.Content); i += 2 {
			if v := root.Content[i+1]; root.Content[i].Value == "dataset" && v.Kind == yaml.MappingNode && v.Style&yaml.FlowStyle == 0 && len(v.Content) > 0 {
				next = strings.Count(string(text), "\n") + 2
				if strings.HasSuffix(string(text), "\n") {
					next--
				}
				if i+2 < len(root.Content) {
					next = root.Content[i+2].Line
				}
				return v, next, nil
			}
		}
	}
	return nil, 0, fmt.Errorf("%s has no section dataset with one key per line; edit it by hand", FileName)
}

// lines are the part as it is written.
func (p Part) lines(indent, comment string) []string {
	if comment != "" {
		comment = " " + comment
	}
	switch {
	case p.Text != "":
		return []string{indent + p.Key + ": " + mapping.Quote(p.Text) + comment + "\n"}
	case len(p.People) > 0:
		out := []string{indent + p.Key + ":" + comment + "\n"}
		for _, one := range p.People {
			var pairs []string
			for _, f := range one.fields() {
				if f.text != "" {
					pairs = append(pairs, f.key+": "+mapping.Quote(f.text))
				}
			}
			out = append(out, indent+"  - {"+strings.Join(pairs, ", ")+"}\n")
		}
		return out
	}
	return nil
}

type personField struct{ key, text string }

func (p Person) fields() []personField {
	return []personField{{"given", p.Given}, {"family", p.Family}, {"organisation", p.Organisation}, {"position", p.Position},
		{"email", p.Email}, {"orcid", p.ORCID}, {"country", p.Country}, {"role", p.Role}}
}

// checkDescribed sees to it that nothing but the parts has changed.
func checkDescribed(was, now []byte, parts []Part) error {
	before, after := map[string]any{}, map[string]any{}
	if err := yaml.Unmarshal(was, &before); err != nil {
		return err
	}
	if err := yaml.Unmarshal(now, &after); err != nil {
		return fmt.Errorf("the change would make %s unreadable, so it was not made: %w", FileName, err)
	}
	old, _ := before["dataset"].(map[string]any)
	data, _ := after["dataset"].(map[string]any)
	for _, p := range parts {
		if got, _ := data[p.Key].(string); p.Text != "" && got != p.Text {
			return fmt.Errorf("%s is written in a form that cannot be changed here; write %s by hand", FileName, p.Key)
		}
		delete(old, p.Key)
		delete(data, p.Key)
	}
	if !reflect.DeepEqual(before, after) {
		return fmt.Errorf("%s is written in a form that cannot be changed here without side effects; write the description by hand", FileName)
	}
	return nil
}
