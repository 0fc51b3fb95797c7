package mapping

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"

	"spadefoot/pipeline/record"
)

// YAML writes the draft as a mapping that a person can read and correct: each
// heading with its meaning, how sure the guess is and why, and other meanings
// below it. What was not understood is there as a comment.
func (d *Draft) YAML() []byte {
	var b strings.Builder
	b.WriteString("# A draft: look through every line, correct what is wrong, then delete the comments.\n")
	b.WriteString("# The number after each # says how sure the guess is, from 0 to 1.\n")
	writeQuestions(&b, d.Questions())
	fmt.Fprintf(&b, "name: %s\n", Quote(d.Name))
	switch {
	case len(d.Key) > 0 && d.keyRepeats:
		fmt.Fprintf(&b, "key: [] # %s "+wouldRepeat+"; give the terms that identify each one\n", strings.Join(d.Key, ", "))
	case len(d.Key) > 0:
		fmt.Fprintf(&b, "key: [%s] # identifies one capture and never changes\n", strings.Join(d.Key, ", "))
	default:
		b.WriteString("# key: [recordNumber] # no column numbers the captures; each needs an identifier that never changes\n")
	}
	if len(d.Session) > 0 {
		fmt.Fprintf(&b, "session: [%s]\n", strings.Join(d.Session, ", "))
	}
	switch {
	case d.Marks != "":
		fmt.Fprintf(&b, "marks: [%s] # %s: marks seem to start again\n", d.Marks, d.whyMarks)
	case d.Has("organismID"):
		b.WriteString("# marks: [locality] # if marks start again at each place; scientificName if they start again with each species, year if each season\n")
	}
	if d.Way != "" {
		fmt.Fprintf(&b, "weighing: {way: %s%s} # %s\n", d.Way, d.massUnit(), wayReasons[d.Way])
	}
	b.WriteString("headings:\n")
	some := false
	for i, g := range d.Guesses {
		some = writeGuess(&b, g) || some
		if first := d.sharedWith(i); first != "" {
			fmt.Fprintf(&b, "  #   %s means the same: the texts of both are published, joined by \" | \" in column order\n", Quote(first))
		}
	}
	if !some {
		b.WriteString("  - {heading: none of them, aside: nothing was understood; give each heading its meaning}\n")
	}
	return []byte(b.String())
}

// maxQuestions is how many questions are at the head of a mapping; the
// others are about columns that their own lines speak of.
const maxQuestions = 12

// writeQuestions writes what is open, the most important first, each with the line
// to change.
func writeQuestions(b *strings.Builder, qs []Question) {
	if len(qs) == 0 {
		return
	}
	b.WriteString("# Open questions, the most important first; spadefoot draft --ask asks them one by one:\n")
	for i, q := range qs[:min(len(qs), maxQuestions)] {
		fmt.Fprintf(b, "#  %d. %s\n#     change: %s\n", i+1, Comment(q.Text+" "), Comment(q.Line))
	}
	if n := len(qs) - maxQuestions; n > 0 {
		fmt.Fprintf(b, "#  and %d more, below\n", n)
	}
}

// sharedWith returns the heading before the i-th that means the same term, or "".
func (d *Draft) sharedWith(i int) string {
	m := d.Guesses[i].Meaning
	for _, g := range d.Guesses[:i] {
		if m.Role == record.Term && g.Meaning.Role == record.Term && g.Meaning.Term == m.Term {
			return g.Heading
		}
	}
	return ""
}

var wayReasons = map[record.WeighWay]string{
	record.SameRow:   "gross and tare are in the same row",
	record.NoTare:    "no mass of an empty bag was found: give the tare, or a table of bags; until then the mass of animal and bag is published as such",
	record.AsWritten: "nothing says how the animals were weighed; if the scale was zeroed with the bag on, write zeroed",
}

// massUnit is the unit of the weighing, if a column states one.
func (d *Draft) massUnit() string {
	for _, g := range d.Guesses {
		if g.Meaning.Role == record.WeighPart && g.Meaning.Unit != "" && !g.Meaning.Guessed {
			return ", unit: " + Quote(g.Meaning.Unit)
		}
	}
	return ""
}

// writeGuess writes one heading and reports whether it has a meaning.
func writeGuess(b *strings.Builder, g *ColumnGuess) bool {
	heading := keyOf(g.Heading)
	understood := g.Meaning.Role != record.Unmatched
	if understood {
		fmt.Fprintf(b, "  - {%s, %s} # %.2f: %s\n", heading, meaningYAML(g.Meaning), g.Confidence, Comment(g.Reason))
	} else {
		fmt.Fprintf(b, "  # %s was not understood (%s); until it has a meaning its cells go to dynamicProperties\n", Quote(g.Heading), Comment(g.Reason))
	}
	if g.Usual != "" && understood {
		fmt.Fprintf(b, "  #   usually measured with a %s; if so, name it under instruments in survey.yaml and add: instrument: its name\n", g.Usual)
	}
	for _, a := range g.Alternatives {
		if a.Meaning.Role != record.Unmatched {
			fmt.Fprintf(b, "  #   or: {%s, %s} # %.2f: %s\n", heading, meaningYAML(a.Meaning), a.Confidence, Comment(a.Reason))
		}
	}
	return understood
}

// keyOf is what an entry of a mapping matches a column by.
func keyOf(heading string) string {
	if heading == "" {
		return "pattern: " + Quote(withoutHeading)
	}
	return "heading: " + Quote(heading)
}

func meaningYAML(m record.Meaning) string {
	var parts []string
	add := func(key, value string) {
		if value != "" {
			parts = append(parts, key+": "+Quote(value))
		}
	}
	switch m.Role {
	case record.Term:
		add("term", m.Term)
		add("dateOrder", m.DateOrder)
		add("angle", m.Angle)
		parts = append(parts, wordsYAML(m.Vocabulary)...)
		if m.CarryDown {
			parts = append(parts, "carryDown: true")
		}
		if m.Compass != "O" { // east or west by the language of the survey
			add("compass", m.Compass)
		}
		return strings.Join(parts, ", ")
	case record.Measurement:
		add("measurement", m.Measurement)
		add("side", m.Side)
		add("observer", m.Observer)
	case record.WeighPart:
		add("weighing", m.Part)
	case record.NameColumn, record.ValueColumn, record.UnitColumn:
		add("long", record.LongName(m.Role))
		parts = append(parts, wordsYAML(m.Vocabulary)...)
	case record.SetAside:
		add("aside", m.Reason)
	}
	add("unit", m.Unit)
	if m.Guessed {
		parts = append(parts, "unitGuessed: true")
	}
	if m.Replicate > 0 {
		parts = append(parts, fmt.Sprintf("replicate: %d", m.Replicate))
	}
	return strings.Join(parts, ", ")
}

// wordsYAML writes what the words of a column stand for, in one part or none.
func wordsYAML(meant map[string]string) []string {
	var words []string
	for _, word := range slices.Sorted(maps.Keys(meant)) {
		words = append(words, Quote(word)+": "+Quote(meant[word]))
	}
	if len(words) == 0 {
		return nil
	}
	return []string{"words: {" + strings.Join(words, ", ") + "}"}
}

// Quote writes a text so that YAML reads it back as that text within braces.
// Bytes that are not UTF-8 become U+FFFD.
func Quote(s string) string {
	plain := s != "" && s == strings.TrimSpace(s) && !strings.ContainsAny(s, ":#{}[],&*!|>'\"%@`\\?-") && strings.IndexFunc(s, escaped) < 0
	if plain {
		var v any
		if err := yaml.Unmarshal([]byte(s), &v); err == nil {
			if text, ok := v.(string); ok && text == s && !oldBool[strings.ToLower(s)] {
				return s
			}
		}
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case r > 0xffff && escaped(r):
			fmt.Fprintf(&b, `\U%08X`, r)
		case escaped(r):
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// escaped says which characters may not be in YAML as they are, or would
// not be seen there: control characters, other spaces, marks without width.
func escaped(r rune) bool {
	return r == utf8.RuneError || r != ' ' && !unicode.IsGraphic(r) || unicode.Is(unicode.Z, r) && r != ' ' || unicode.Is(unicode.M, r) && r > 0xffff
}

// oldBool are texts that readers of YAML 1.1 take for true and false.
var oldBool = map[string]bool{"y": true, "n": true, "yes": true, "no": true, "on": true, "off": true}

// Comment makes a text fit for one line of a YAML comment.
func Comment(s string) string {
	s = strings.Map(func(r rune) rune {
		if escaped(r) {
			return ' '
		}
		return r
	}, s)
	return strings.TrimSuffix(strings.Join(strings.Fields(s), " "), ".")
}
