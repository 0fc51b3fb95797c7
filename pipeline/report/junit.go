package report

import (
	"encoding/xml"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
)

// JUnit writes the findings in the XML that test runners write and most CI
// systems show: one suite per sheet, one case per rule that was raised there.
// A case fails where a finding of it is at or above the failing level and not
// known; its text names every such finding. The other findings stand in the
// suite's output. A sheet without findings has one case that passes. A finding
// on no sheet has a suite of its file.
//
// Of the two schemas in use, that of the Jenkins plug-ins holds as it is; that
// of Ant also asks for a host and a time of each suite, which are left out so
// that the same findings give the same bytes.
func JUnit(w io.Writer, r Results) error {
	if _, err := io.WriteString(w, xml.Header); err != nil {
		return err
	}
	e := xml.NewEncoder(w)
	e.Indent("", " ")
	if err := e.Encode(r.junitSuites()); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\n")
	return err
}

type junitSuites struct {
	XMLName xml.Name     `xml:"testsuites"`
	Suites  []junitSuite `xml:"testsuite"`
}

type junitSuite struct {
	Name       string          `xml:"name,attr"`
	Package    string          `xml:"package,attr"`
	ID         int             `xml:"id,attr"`
	Tests      int             `xml:"tests,attr"`
	Failures   int             `xml:"failures,attr"`
	Errors     int             `xml:"errors,attr"` // of the program; it would have written no file
	Time       string          `xml:"time,attr"`
	Properties []junitProperty `xml:"properties>property"`
	Cases      []junitCase     `xml:"testcase"`
	Out        junitText       `xml:"system-out"`
	Err        junitText       `xml:"system-err"`
}

// junitText is text whose line ends stay readable.
type junitText struct {
	Text string `xml:",cdata"`
}

type junitProperty struct {
	Name  string `xml:"name,attr"`
	Value string `xml:"value,attr"`
}

type junitCase struct {
	Name    string        `xml:"name,attr"`
	Class   string        `xml:"classname,attr"`
	Time    string        `xml:"time,attr"`
	Failure *junitFailure `xml:"failure"`
}

type junitFailure struct {
	Message string `xml:"message,attr"`
	Type    string `xml:"type,attr"`
	Text    string `xml:",cdata"`
}

func (r *Results) junitSuites() junitSuites {
	var order []record.Address
	in := map[record.Address][]int{}
	for _, a := range r.Sheets {
		if _, twice := in[sheetOf(a)]; !twice {
			in[sheetOf(a)] = nil
			order = append(order, sheetOf(a))
		}
	}
	for i := range r.Findings {
		a := sheetOf(r.Findings[i].At)
		if _, there := in[a]; !there {
			order = append(order, a)
		}
		in[a] = append(in[a], i)
	}
	out := junitSuites{}
	known := r.isKnown()
	for id, a := range order {
		s := r.junitSuite(a, in[a], known)
		s.ID = id
		out.Suites = append(out.Suites, s)
	}
	return out
}

func (r *Results) junitSuite(a record.Address, findings []int, known []bool) junitSuite {
	name := a.String()
	if name == "" {
		name = "survey"
	}
	s := junitSuite{Name: name, Package: name, Time: "0"}
	byRule := map[string][]int{}
	var counts Counts
	n := 0
	var others strings.Builder
	for _, i := range findings {
		f := &r.Findings[i]
		byRule[f.Rule] = append(byRule[f.Rule], i)
		counts.add(f.Level)
		if known[i] {
			n++
		}
		if !r.fails(f, known[i]) {
			others.WriteString(junitLine(f, known[i]))
		}
	}
	s.Properties = []junitProperty{
		{"findings", strconv.Itoa(len(findings))}, {"errors", strconv.Itoa(counts.Error)}, {"warnings", strconv.Itoa(counts.Warning)},
		{"notes", strconv.Itoa(counts.Note)}, {"known", strconv.Itoa(n)},
	}
	for _, rule := range slices.Sorted(maps.Keys(byRule)) {
		c := junitCase{Name: rule, Class: name, Time: "0", Failure: r.junitFailure(rule, byRule[rule], known)}
		if c.Failure != nil {
			s.Failures++
		}
		s.Cases = append(s.Cases, c)
	}
	if len(s.Cases) == 0 {
		s.Cases = []junitCase{{Name: "no findings", Class: name, Time: "0"}}
	}
	s.Tests, s.Out.Text = len(s.Cases), others.String()
	return s
}

func (r *Results) junitFailure(rule string, findings []int, known []bool) *junitFailure {
	var text strings.Builder
	n, first, level := 0, "", record.Note
	for _, i := range findings {
		f := &r.Findings[i]
		if !r.fails(f, known[i]) {
			continue
		}
		if n == 0 {
			first = fmt.Sprintf("%s: %s", f.At, Short(f.Reason))
		}
		n++
		level = max(level, f.Level)
		text.WriteString(junitLine(f, false))
	}
	if n == 0 {
		return nil
	}
	if n > 1 {
		first = fmt.Sprintf("%s (and %d more)", first, n-1)
	}
	if help := ruleHelp(rule, ruleTable()).Help; help != "" {
		text.WriteString(help + "\n")
	}
	return &junitFailure{Message: oneLine(first), Type: level.String(), Text: text.String()}
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
