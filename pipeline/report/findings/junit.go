package findings

import (
	"bufio"
	"cmp"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"iter"
	"maps"
	"slices"
	"strings"
	"time"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/store"
)

// JUnit writes the findings in the XML that test runners write and most CI
// systems show: one suite per sheet, one case per rule that was raised there.
// A case fails where a finding of it is at or above the failing level and not
// known; its text names every such finding. The other findings are in the
// suite's output. A sheet without findings has one case that passes. A finding
// on no sheet has a suite of its file.
//
// Both schemas in use hold, that of the Jenkins plug-ins and that of Ant. The
// latter asks for a host and a time of each suite; the host is the same
// everywhere and the time is the day of the data, so that the same findings give
// the same bytes.
func JUnit(w io.Writer, r Results) (err error) {
	suites, err := r.junitSuites()
	if err != nil {
		return err
	}
	sorted := store.NewSorted("")
	defer func() { err = errors.Join(err, sorted.Close()) }()
	if err := r.junitLines(suites, sorted); err != nil {
		return err
	}
	next, stop := iter.Pull2(sorted.All())
	defer stop()
	texts := junitTexts{next: next}
	texts.step()
	out := bufio.NewWriter(w)
	out.WriteString(xml.Header + "<testsuites>")
	for _, s := range suites.list {
		s.write(out, &texts, r.timestamp())
	}
	if len(suites.list) > 0 {
		out.WriteString("\n")
	}
	out.WriteString("</testsuites>\n")
	return errors.Join(texts.err, out.Flush())
}

// timestamp is the day of the data at midnight, or the first day of the Unix
// era where it is not known.
func (r *Results) timestamp() string {
	day := r.Day
	if _, err := time.Parse(time.DateOnly, day); err != nil {
		day = "1970-01-01"
	}
	return day + "T00:00:00"
}

// junitSuites are the suites: those of the sheets, then others as they come.
type junitSuites struct {
	list []*junitSuite
	of   map[record.Address]*junitSuite
}

// junitSuite is what is counted of a suite.
type junitSuite struct {
	id     int
	name   string
	counts Counts
	known  int
	cases  map[string]*junitCase // by rule
}

// junitCase is what is counted of a rule in a suite.
type junitCase struct {
	failing int
	first   string
	level   record.Level
}

func (s *junitSuites) at(a record.Address) *junitSuite {
	a = sheetOf(a)
	if s.of[a] == nil {
		s.of[a] = &junitSuite{id: len(s.list), name: cmp.Or(a.String(), "survey"), cases: map[string]*junitCase{}}
		s.list = append(s.list, s.of[a])
	}
	return s.of[a]
}

// junitSuites counts the findings of each suite and case.
func (r *Results) junitSuites() (*junitSuites, error) {
	out := &junitSuites{of: map[record.Address]*junitSuite{}}
	for _, a := range r.Sheets {
		out.at(a)
	}
	for t, err := range r.Findings {
		if err != nil {
			return nil, err
		}
		s := out.at(t.At)
		s.counts.Add(t.Level)
		if t.Known {
			s.known++
		}
		c := s.cases[t.Rule]
		if c == nil {
			c = &junitCase{level: record.Note}
			s.cases[t.Rule] = c
		}
		if !r.fails(t) {
			continue
		}
		if c.failing == 0 {
			c.first = fmt.Sprintf("%s: %s", t.At, Short(t.Reason))
		}
		c.failing++
		c.level = max(c.level, t.Level)
	}
	return out, nil
}

// junitLines puts the lines of the findings into the order of the suites: those
// of failing cases by rule, then the others.
func (r *Results) junitLines(suites *junitSuites, sorted *store.Sorted) error {
	for t, err := range r.Findings {
		if err != nil {
			return err
		}
		key := junitKey(suites.at(t.At), t.Rule)
		if !r.fails(t) {
			key = junitKey(suites.at(t.At), junitOthers)
		}
		if err := sorted.Add(key, junitLine(&t.Finding, t.Known)); err != nil {
			return err
		}
	}
	return nil
}

// junitOthers is the key of findings that do not fail: behind all rules.
const junitOthers = "\xff"

func junitKey(s *junitSuite, rule string) string { return fmt.Sprintf("%06d %s", s.id, rule) }

// junitTexts are the lines as they come.
type junitTexts struct {
	next func() ([2]string, error, bool)
	now  [2]string
	more bool
	err  error
}

func (t *junitTexts) step() {
	if t.now, t.err, t.more = t.next(); t.err != nil {
		t.more = false
	}
}

// print writes the lines of a key.
func (t *junitTexts) print(out *bufio.Writer, key string) {
	for t.more && t.now[0] == key {
		out.WriteString(strings.ReplaceAll(t.now[1], "]]>", "]]]]><![CDATA[>"))
		t.step()
	}
}

func (s *junitSuite) write(out *bufio.Writer, texts *junitTexts, day string) {
	rules := slices.Sorted(maps.Keys(s.cases))
	failures := 0
	for _, c := range s.cases {
		if c.failing > 0 {
			failures++
		}
	}
	name := xmlAttribute(s.name)
	fmt.Fprintf(out, "\n <testsuite name=%s package=%s id=\"%d\" tests=\"%d\" failures=\"%d\" errors=\"0\" time=\"0\" timestamp=\"%s\" hostname=\"localhost\">\n  <properties>", name, name, s.id, max(1, len(rules)), failures, day)
	for _, p := range []struct {
		name string
		n    int
	}{{"findings", s.counts.AtLeast(record.Note)}, {"errors", s.counts.Error}, {"warnings", s.counts.Warning}, {"notes", s.counts.Note}, {"known", s.known}} {
		fmt.Fprintf(out, "\n   <property name=\"%s\" value=\"%d\"></property>", p.name, p.n)
	}
	out.WriteString("\n  </properties>")
	for _, rule := range rules {
		fmt.Fprintf(out, "\n  <testcase name=%s classname=%s time=\"0\">", xmlAttribute(rule), name)
		if c := s.cases[rule]; c.failing > 0 {
			fmt.Fprintf(out, "\n   <failure message=%s type=%s><![CDATA[", xmlAttribute(c.message()), xmlAttribute(c.level.String()))
			texts.print(out, junitKey(s, rule))
			if help := Help(rule); help != "" {
				out.WriteString(strings.ReplaceAll(help, "]]>", "]]]]><![CDATA[>") + "\n")
			}
			out.WriteString("]]></failure>\n  ")
		}
		out.WriteString("</testcase>")
	}
	if len(rules) == 0 {
		fmt.Fprintf(out, "\n  <testcase name=\"no findings\" classname=%s time=\"0\"></testcase>", name)
	}
	out.WriteString("\n  <system-out>")
	if s.others() > 0 {
		out.WriteString("<![CDATA[")
		texts.print(out, junitKey(s, junitOthers))
		out.WriteString("]]>")
	}
	out.WriteString("</system-out>\n  <system-err></system-err>\n </testsuite>")
}

// others is the number of findings that do not fail.
func (s *junitSuite) others() int {
	n := s.counts.AtLeast(record.Note)
	for _, c := range s.cases {
		n -= c.failing
	}
	return n
}

func (c *junitCase) message() string {
	if c.failing > 1 {
		return oneLine(fmt.Sprintf("%s (and %d more)", c.first, c.failing-1))
	}
	return oneLine(c.first)
}

// xmlAttribute is a text as the value of an attribute, in quotes.
func xmlAttribute(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s)) // to memory: it can't fail
	return `"` + b.String() + `"`
}

// junitLine is one finding on one line.
func junitLine(f *record.Finding, known bool) string {
	word := f.Level.String()
	if known {
		word = "known " + word
	}
	line := fmt.Sprintf("%s %s at %s", word, f.Rule, f.At)
	if f.Capture != "" {
		line += ", capture " + f.Capture
	}
	if f.Field != "" {
		line += ", " + f.Field
	}
	if f.Value != "" {
		line += fmt.Sprintf(" %q", f.Value)
	}
	return oneLine(line+": "+findingText(f)) + "\n"
}

// oneLine turns line ends into blanks, and characters that XML cannot hold (XML
// 1.0, 2.2) into the replacement mark.
func oneLine(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' && r != '\t' && r != '\n' && r != '\r' || r == 0xfffe || r == 0xffff {
			return '\uFFFD'
		}
		return r
	}, validText(s))
	return strings.Join(strings.Fields(s), " ")
}
