package mapping

import (
	"bytes"
	"cmp"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/record"
)

// Change is what is to change in the file of a mapping.
type Change struct {
	Meanings map[string]record.Meaning // by heading; Unmatched leaves the column open
	Key      []string                  // nil for no change
	Way      record.WeighWay           // empty for no change

	Question, Answer string // kept as a comment; empty for none
}

// wouldRepeat is what a draft says of a key that does not name each capture.
const wouldRepeat = "would name some captures alike"

// notUnderstood is what a draft says of a heading without a meaning.
const notUnderstood = " was not understood ("

// meaningKeys are the keys of a heading that say what it means; the others stay.
var meaningKeys = []string{"term", "measurement", "weighing", "long", "aside", "unit", "unitGuessed", "side", "replicate", "dateOrder", "compass", "angle", "instrument", "observer"}

// Amend changes a mapping within the text of its file and leaves every other
// byte as it is: comments, order, the way things are written. At names the place
// of the mapping in the file. What it cannot change without touching more, such
// as a list in one line, is an error that says what to write by hand.
func Amend(text []byte, c Change, at ...string) ([]byte, error) {
	out := text
	for _, heading := range slices.Sorted(maps.Keys(c.Meanings)) {
		var err error
		if out, err = amendHeading(out, heading, c.Meanings[heading], at); err != nil {
			return nil, err
		}
	}
	var err error
	if c.Key != nil {
		quoted := make([]string, len(c.Key))
		for i, k := range c.Key {
			quoted[i] = Quote(k)
		}
		if out, err = amendKey(out, at, "key", "["+strings.Join(quoted, ", ")+"]"); err != nil {
			return nil, err
		}
	}
	if c.Way != "" {
		if out, err = amendWay(out, at, c.Way); err != nil {
			return nil, err
		}
	}
	if c.Question != "" {
		out = keepAnswer(out, c.Question, c.Answer)
	}
	return out, checkAmended(text, out, c, at)
}

// source is a text with the offsets of its nodes.
type source struct{ text []byte }

// offset is where a line and column of YAML, counted from 1 and in characters,
// stand.
func (s *source) offset(line, column int) int {
	at := 0
	for range line - 1 {
		n := bytes.IndexByte(s.text[at:], '\n')
		if n < 0 {
			return len(s.text)
		}
		at += n + 1
	}
	for _, r := range string(s.text[at:]) {
		if column--; column == 0 {
			break
		}
		at += len(string(r))
	}
	return at
}

func (s *source) of(n *yaml.Node) int { return s.offset(n.Line, n.Column) }

// end is where a node that is written in braces, brackets or quotes, or plain on
// one line, ends.
func (s *source) end(n *yaml.Node) int {
	at := s.of(n)
	depth := 0
	for i := at; i < len(s.text); i++ {
		switch b := s.text[i]; {
		case b == '"' || b == '\'' && (i == at || bytes.IndexByte([]byte(" ,[{:"), s.text[i-1]) >= 0):
			i = s.quoteEnd(i)
			if depth == 0 {
				return i + 1
			}
		case b == '{' || b == '[':
			depth++
		case b == '}' || b == ']':
			if depth == 0 {
				return i
			}
			if depth--; depth == 0 {
				return i + 1
			}
		case depth == 0 && (b == '\n' || b == '#' && i > at && s.text[i-1] == ' '):
			return at + len(bytes.TrimRight(s.text[at:i], " \t\r"))
		case b == '#' && s.text[i-1] <= ' ': // a comment within braces
			for i < len(s.text) && s.text[i] != '\n' {
				i++
			}
		}
	}
	return len(s.text)
}

// quoteEnd is the index of the quote that ends a quoted text.
func (s *source) quoteEnd(from int) int {
	for i := from + 1; i < len(s.text); i++ {
		switch {
		case s.text[from] == '"' && s.text[i] == '\\':
			i++
		case s.text[i] == s.text[from]:
			if s.text[from] == '\'' && i+1 < len(s.text) && s.text[i+1] == '\'' {
				i++
				continue
			}
			return i
		}
	}
	return len(s.text) - 1
}

// lineEnd is where the line of an offset ends, before its break.
func (s *source) lineEnd(at int) int {
	if n := bytes.IndexByte(s.text[at:], '\n'); n >= 0 {
		return at + n
	}
	return len(s.text)
}

// commentAfter is what is behind an entry on its last line.
func (s *source) commentAfter(n *yaml.Node) string {
	if n.Style&yaml.FlowStyle == 0 {
		return ""
	}
	end := s.end(n)
	return string(s.text[end:s.lineEnd(end)])
}

// nodeAt returns the mapping node at a path of keys.
func nodeAt(text []byte, at []string) (*yaml.Node, error) {
	var doc yaml.Node
	if err := yaml.Unmarshal(text, &doc); err != nil {
		return nil, err
	}
	if len(doc.Content) == 0 {
		return nil, fmt.Errorf("the mapping is empty")
	}
	n := doc.Content[0]
	for _, key := range at {
		next := config.Value(n, key)
		if i, err := strconv.Atoi(key); err == nil && n.Kind == yaml.SequenceNode && i < len(n.Content) {
			next = n.Content[i]
		}
		if next == nil {
			return nil, fmt.Errorf("there is no key %s", strings.Join(at, "."))
		}
		n = next
	}
	return n, nil
}

// splice puts a text in place of some bytes.
func splice(text []byte, from, to int, in string) []byte {
	return slices.Concat(text[:from], []byte(in), text[to:])
}

// amendHeading gives a heading another meaning, in its entry or in a new one.
func amendHeading(text []byte, heading string, m record.Meaning, at []string) ([]byte, error) {
	root, err := nodeAt(text, at)
	if err != nil {
		return nil, err
	}
	list := config.Value(root, "headings")
	line := "{heading: " + Quote(heading) + ", " + entryYAML(m) + "}"
	if !config.OnePerLine(list) {
		return nil, fmt.Errorf("the list of headings does not have one heading per line; add by hand: - %s", line)
	}
	s := &source{text}
	for _, e := range list.Content {
		if names(e, heading) {
			m.Vocabulary = nil // the words of the entry stay
			return s.changeEntry(list, e, heading, m)
		}
	}
	if m.Role == record.Unmatched {
		return text, nil
	}
	return s.addEntry(list, heading, line), nil
}

// names reports whether an entry is of a heading, and of no other.
func names(e *yaml.Node, heading string) bool {
	v := config.Value(e, "heading")
	return v != nil && Fold(v.Value) == Fold(heading)
}

// entryYAML is a meaning as the keys of an entry.
func entryYAML(m record.Meaning) string {
	text := meaningYAML(m)
	if m.Instrument != "" && (m.Role == record.Measurement || m.Role == record.WeighPart) {
		text += ", instrument: " + Quote(m.Instrument)
	}
	return text
}

// leftOpen is what stands in place of an entry that a person took the meaning
// from.
func leftOpen(heading string) string {
	return "# " + Quote(heading) + notUnderstood + "a person left it open); until it has a meaning its cells go to dynamicProperties"
}

// changeEntry rewrites the keys of an entry that say what it means.
func (s *source) changeEntry(list, e *yaml.Node, heading string, m record.Meaning) ([]byte, error) {
	if config.Value(e, "carryDown") != nil {
		m.CarryDown = false // it stays as it is written
	}
	if e.Style&yaml.FlowStyle == 0 {
		return s.changeBlock(e, heading, m)
	}
	from, to := s.of(e), s.end(e)
	comment := s.commentAfter(e)
	end := to
	if ofDraft().MatchString(comment) {
		comment, end = " # a person said so", s.lineEnd(to)
	} else {
		comment = ""
	}
	if m.Role == record.Unmatched {
		if len(list.Content) == 1 {
			return nil, fmt.Errorf("%q is the only heading of the mapping; give another one a meaning first", heading)
		}
		start := s.offset(e.Line, 1)
		indent := strings.Repeat(" ", list.Column-1)
		return splice(s.text, start, s.lineEnd(to), indent+leftOpen(heading)), nil
	}
	var pairs []string
	for i := 0; i+1 < len(e.Content); i += 2 {
		stop := to - 1
		if i+2 < len(e.Content) {
			stop = s.of(e.Content[i+2])
		}
		pair := strings.TrimRight(string(s.text[s.of(e.Content[i]):stop]), ", \t\r\n")
		if !slices.Contains(meaningKeys, e.Content[i].Value) {
			pairs = append(pairs, pair)
		}
		if e.Content[i].Value == "heading" {
			pairs = append(pairs, entryYAML(m))
		}
	}
	return splice(s.text, from, end, "{"+strings.Join(pairs, ", ")+"}"+comment), nil
}

// changeBlock does so in an entry that has its keys on lines of their own.
func (s *source) changeBlock(e *yaml.Node, heading string, m record.Meaning) ([]byte, error) {
	byHand := fmt.Errorf("the entry of %q is written in a form that cannot be changed here; write by hand: - {heading: %s, %s}", heading, Quote(heading), entryYAML(m))
	if e.Content[0].Value != "heading" || m.Role == record.Unmatched {
		return nil, byHand
	}
	lines := strings.SplitAfter(string(s.text), "\n")
	indent := strings.Repeat(" ", e.Column-1)
	var out []string
	copied := 0
	for i := 0; i+1 < len(e.Content); i += 2 {
		k, v := e.Content[i], e.Content[i+1]
		if !slices.Contains(meaningKeys, k.Value) {
			continue
		}
		if v.Kind != yaml.ScalarNode || v.Line != k.Line {
			return nil, byHand
		}
		out = append(out, lines[copied:k.Line-1]...)
		if c := strings.TrimSpace(string(s.text[s.end(v):s.lineEnd(s.of(v))])); strings.HasPrefix(c, "#") {
			out = append(out, indent+c+"\n")
		}
		copied = k.Line
	}
	out = append(out, lines[copied:]...)
	var added []string
	for _, pair := range strings.Split(entryYAML(m), ", ") {
		added = append(added, indent+pair+"\n")
	}
	first := e.Content[0].Line
	if !strings.HasSuffix(out[first-1], "\n") {
		out[first-1] += "\n"
	}
	return []byte(strings.Join(slices.Concat(out[:first], added, out[first:]), "")), nil
}

// addEntry writes a new entry where a draft says that the heading was not
// understood, or behind the last one.
func (s *source) addEntry(list *yaml.Node, heading, line string) []byte {
	entry := "- " + line + " # a person said so"
	lines := strings.SplitAfter(string(s.text), "\n")
	for i, l := range lines {
		if strings.HasPrefix(strings.TrimSpace(l), "# "+Quote(heading)+notUnderstood) {
			lines[i] = strings.Repeat(" ", list.Column-1) + entry + "\n"
			return []byte(strings.Join(lines, ""))
		}
	}
	return config.AppendItems(s.text, list, []string{entry})
}

// amendKey writes a value of a mapping that is on one line.
func amendKey(text []byte, at []string, key, value string) ([]byte, error) {
	root, err := nodeAt(text, at)
	if err != nil {
		return nil, err
	}
	s := &source{text}
	if v := config.Value(root, key); v != nil {
		if v.Kind != yaml.ScalarNode && v.Style&yaml.FlowStyle == 0 {
			return nil, fmt.Errorf("the key %s is written over several lines; write by hand: %s: %s", key, key, value)
		}
		from, to := s.of(v), s.end(v)
		if strings.Contains(string(text[to:s.lineEnd(to)]), wouldRepeat) {
			return splice(text, from, s.lineEnd(to), value+" # a person said so"), nil
		}
		return splice(text, from, to, value), nil
	}
	for i := 0; i+1 < len(root.Content); i += 2 {
		if k := root.Content[i]; k.Value == "headings" && root.Style&yaml.FlowStyle == 0 {
			start := s.offset(k.Line, 1)
			return splice(text, start, start, strings.Repeat(" ", k.Column-1)+key+": "+value+" # a person said so\n"), nil
		}
	}
	return nil, fmt.Errorf("the mapping is written in one line; write by hand: %s: %s", key, value)
}

// amendWay writes how the animals were weighed.
func amendWay(text []byte, at []string, way record.WeighWay) ([]byte, error) {
	root, err := nodeAt(text, at)
	if err != nil {
		return nil, err
	}
	weighing := config.Value(root, "weighing")
	if weighing == nil {
		return amendKey(text, at, "weighing", "{way: "+string(way)+"}")
	}
	v := config.Value(weighing, "way")
	if v == nil {
		return nil, fmt.Errorf("the key weighing has no way; write by hand: way: %s", way)
	}
	s := &source{text}
	from := s.of(v)
	to := from + len(v.Value) // one of our own words: never quoted by a draft
	if string(text[from:to]) != v.Value {
		return nil, fmt.Errorf("the way of weighing is written in a form that cannot be changed here; write by hand: way: %s", way)
	}
	out := splice(text, from, to, string(way))
	for was, reason := range wayReasons {
		if was != way {
			out = bytes.Replace(out, []byte(" # "+reason), []byte(" # "+cmp.Or(wayReasons[way], "a person said so")), 1)
		}
	}
	return out, nil
}

// keepAnswer writes what a person answered in place of the question, or at the
// head of the file.
func keepAnswer(text []byte, question, answer string) []byte {
	q := Comment(question + " ")
	kept := answered + q + " → " + Comment(answer+" ") + "\n"
	lines := strings.SplitAfter(string(text), "\n")
	for i, l := range lines {
		number, rest, ok := strings.Cut(strings.TrimPrefix(l, "#  "), ". ")
		if _, err := strconv.Atoi(number); !ok || err != nil || strings.TrimSpace(rest) != q || i+1 >= len(lines) {
			continue
		}
		return []byte(strings.Join(slices.Concat(lines[:i], []string{kept}, lines[i+2:]), ""))
	}
	return append([]byte(kept), text...)
}

// checkAmended sees to it that nothing but what was asked for has changed.
func checkAmended(was, now []byte, c Change, at []string) error {
	a, err := nodeAt(was, at)
	if err != nil {
		return err
	}
	b, err := nodeAt(now, at)
	if err != nil {
		return fmt.Errorf("the change would make the file unreadable, so it was not made: %w", err)
	}
	before, after := others(a, c), others(b, c)
	if !reflect.DeepEqual(before, after) {
		return fmt.Errorf("the file is written in a form that cannot be changed here without side effects; write the meaning by hand")
	}
	return nil
}

// others is what a mapping says of what a change is not about.
func others(root *yaml.Node, c Change) map[string]any {
	out := map[string]any{}
	if err := root.Decode(&out); err != nil {
		return nil
	}
	if c.Key != nil {
		delete(out, "key")
	}
	if c.Way != "" {
		delete(out, "weighing")
	}
	list, _ := out["headings"].([]any)
	var rest []any
	for _, e := range list {
		entry, _ := e.(map[string]any)
		heading, _ := entry["heading"].(string)
		about := false
		for h := range c.Meanings {
			about = about || Fold(h) == Fold(heading)
		}
		if !about {
			rest = append(rest, e)
		}
	}
	out["headings"] = rest
	return out
}
