package mapping

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/pattern"
)

// Standing is a mapping as it is in its file, beside what a draft would
// propose now: the meanings of the file, how sure they are as far as the
// comments of a draft say, and the questions that nobody has answered yet.
type Standing struct {
	*Draft
	Text []byte
	At   []string // keys of the mapping within the file; none where it is the file

	entries map[string]string // by folded heading, the entry that it has for itself
	before  []ColumnGuess
	key     []string
	way     record.WeighWay
}

// Stand brings a draft for tables, to which the mapping has been applied, to
// what the mapping says. At names the place of the mapping in its file.
func (d *Draft) Stand(m *Mapping, tables []record.Table, text []byte, at ...string) *Standing {
	meanings := map[string]record.Meaning{}
	for _, t := range tables {
		for _, c := range t.Columns {
			if k := Fold(c.Heading); meanings[k].Role == record.Unmatched {
				meanings[k] = c.Meaning
			}
		}
	}
	stated, entries := statedConfidence(text, at), m.entriesOf(tables)
	for _, g := range d.Guesses {
		meaning := meanings[Fold(g.Heading)]
		sure, guessed := stated[Fold(entryOf(entries, g.Heading))]
		switch {
		case meaning.Role == record.Unmatched && g.Meaning.Role != record.Unmatched:
			g.setAside("the mapping does not name it")
		case meaning.Role != record.Unmatched:
			if key := meaningKey(meaning); key != meaningKey(g.Meaning) {
				if g.Meaning.Role != record.Unmatched {
					g.Alternatives = append([]Alternative{{g.Meaning, g.Confidence, g.Reason}}, g.Alternatives...)
				}
				g.Alternatives = slices.DeleteFunc(g.Alternatives, func(a Alternative) bool { return meaningKey(a.Meaning) == key })
				g.Reason = "the mapping says so."
			}
			g.Meaning, g.Confidence = meaning, 1
			if guessed {
				g.Confidence = sure
			}
		}
		g.Seen.UnitOpen = meaning.Guessed
	}
	d.standKey(m, strings.Contains(string(text), wouldRepeat))
	d.Way = m.Weighing.Way
	s := &Standing{Draft: d, Text: text, At: at, entries: entries, way: d.Way}
	for _, g := range d.Guesses {
		s.before = append(s.before, *g)
	}
	if !d.keyRepeats {
		s.key = slices.Clone(d.Key)
	}
	return s
}

// standKey brings the key to what the mapping says; repeats reports whether an empty
// one is that of a draft whose key would name some captures alike.
func (d *Draft) standKey(m *Mapping, repeats bool) {
	none := m.Key != nil && len(m.Key) == 0
	if none && repeats && d.keyRepeats {
		return
	}
	d.keyRepeats = repeats
	switch {
	case none && !repeats:
		d.Key = []string{""} // somebody says that nothing names a capture
	case m.Key == nil && d.Has("recordNumber"):
		d.Key = []string{"recordNumber"}
	default:
		d.Key = m.Key
	}
}

// entriesOf tells the entries of a mapping that one heading of the tables has
// matched and no other.
func (m *Mapping) entriesOf(tables []record.Table) map[string]string {
	known := Known{HeadingParts: quantity.HeadingUnit}
	of := map[int]map[string]bool{}
	for _, t := range tables {
		for i := range t.Columns {
			if _, how, ok := m.findColumn(&t.Columns[i], known); ok && m.Headings[how.entry].Heading != "" {
				if of[how.entry] == nil {
					of[how.entry] = map[string]bool{}
				}
				of[how.entry][Fold(t.Columns[i].Heading)] = true
			}
		}
	}
	out := map[string]string{}
	for entry, headings := range of {
		for h := range headings {
			if len(headings) == 1 {
				out[h] = m.Headings[entry].Heading
			}
		}
	}
	return out
}

// Entry is the heading by which the mapping has the meaning of a column, or the
// column's own where it has none for it alone.
func (s *Standing) Entry(heading string) string {
	return entryOf(s.entries, heading)
}

func entryOf(entries map[string]string, heading string) string {
	return cmp.Or(entries[Fold(heading)], heading)
}

// answered begins a line of a mapping that keeps what a person answered.
const answered = "# answered: "

// Open lists the questions that nobody has answered, the most important first.
func (s *Standing) Open() []Question {
	said := map[string]bool{}
	for line := range strings.Lines(string(s.Text)) {
		if rest, ok := strings.CutPrefix(strings.TrimSpace(line), answered); ok {
			question, _, _ := strings.Cut(rest, " → ")
			said[question] = true
		}
	}
	return slices.DeleteFunc(s.Questions(), func(q Question) bool { return said[Comment(q.Text+" ")] || len(q.Answers) < 2 })
}

// Answer gives an answer to a question and returns the text of the file with
// what follows from it. The answer is kept there as a comment.
func (s *Standing) Answer(q Question, i int) ([]byte, error) {
	q.Answers[i].Give()
	c := Change{Meanings: map[string]record.Meaning{}, Question: q.Text, Answer: q.Answers[i].Text}
	for k, g := range s.Guesses {
		was := s.before[k]
		if g.Confidence != was.Confidence || meaningYAML(g.Meaning) != meaningYAML(was.Meaning) {
			c.Meanings[s.Entry(g.Heading)] = g.Meaning
		}
	}
	if !s.keyRepeats && !slices.Equal(s.Key, s.key) {
		c.Key = s.Key
	}
	if s.Way != s.way {
		c.Way = s.Way
	}
	return Amend(s.Text, c, s.At...)
}

// ofDraft is the comment in which a draft says how sure a meaning is.
var ofDraft = pattern.Of(`^\s*# ([01]\.\d\d): `)

// statedConfidence reads how sure a draft was of the headings of a mapping.
func statedConfidence(text []byte, at []string) map[string]float64 {
	out := map[string]float64{}
	root, err := nodeAt(text, at)
	if err != nil {
		return out
	}
	list := config.Value(root, "headings")
	if list == nil {
		return out
	}
	src := &source{text: text}
	for _, e := range list.Content {
		if v := config.Value(e, "heading"); v != nil {
			if m := ofDraft().FindStringSubmatch(src.commentAfter(e)); m != nil {
				out[Fold(v.Value)], _ = strconv.ParseFloat(m[1], 64)
			}
		}
	}
	return out
}
