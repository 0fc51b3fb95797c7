package findings

import (
	"bytes"
	"encoding/xml"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

func junitOf(t testing.TB, r Results) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := JUnit(&b, r); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The two schemas in use are in one npm package; that of Ant is the stricter.
func TestJUnitAgainstTheSchemas(t *testing.T) {
	folder := need.Named(t, "SPADEFOOT_JUNIT_SCHEMAS")
	xmllint := need.Tool(t, "xmllint")
	for name, r := range map[string]Results{"plain": someResults(false), "with known": someResults(true), "nothing found": {Title: "None", Findings: toldOf(nil)}} {
		path := filepath.Join(t.TempDir(), "findings.xml")
		if err := os.WriteFile(path, junitOf(t, r), 0o644); err != nil {
			t.Fatal(err)
		}
		for _, schema := range []string{"jenkins-junit.xsd", "JUnit.xsd"} {
			if out, err := exec.Command(xmllint, "--nonet", "--noout", "--schema", filepath.Join(folder, schema), path).CombinedOutput(); err != nil {
				t.Errorf("%s against %s: %v\n%s", name, schema, err, out)
			}
		}
	}
}

type readSuites struct {
	XMLName xml.Name    `xml:"testsuites"`
	Suites  []readSuite `xml:"testsuite"`
}

type readSuite struct {
	Name       string         `xml:"name,attr"`
	Package    string         `xml:"package,attr"`
	ID         int            `xml:"id,attr"`
	Tests      int            `xml:"tests,attr"`
	Failures   int            `xml:"failures,attr"`
	Errors     int            `xml:"errors,attr"` // of the program; it would have written no file
	Time       string         `xml:"time,attr"`
	Properties []readProperty `xml:"properties>property"`
	Cases      []readCase     `xml:"testcase"`
	Out        readText       `xml:"system-out"`
	Err        readText       `xml:"system-err"`
}

// readText is text whose line ends stay readable.
type readText struct {
	Text string `xml:",cdata"`
}

type readProperty struct {
	Name  string `xml:"name,attr"`
	Value string `xml:"value,attr"`
}

type readCase struct {
	Name    string       `xml:"name,attr"`
	Class   string       `xml:"classname,attr"`
	Time    string       `xml:"time,attr"`
	Failure *readFailure `xml:"failure"`
}

type readFailure struct {
	Message string `xml:"message,attr"`
	Type    string `xml:"type,attr"`
	Text    string `xml:",cdata"`
}

func readJUnit(t testing.TB, b []byte) readSuites {
	t.Helper()
	var s readSuites
	if err := xml.Unmarshal(b, &s); err != nil {
		t.Fatal(err)
	}
	return s
}

// What common practice asks for: counts that are right, unique names of cases
// within a suite, no suite without a case.
func TestJUnitHangsTogether(t *testing.T) {
	for _, known := range []bool{false, true} {
		r := someResults(known)
		suites := readJUnit(t, junitOf(t, r)).Suites
		if len(suites) != 4 {
			t.Fatalf("%d suites, want one for each sheet and one for the other file", len(suites))
		}
		findings, lines := 0, 0
		for id, s := range suites {
			failures, seen := 0, map[string]bool{}
			for _, c := range s.Cases {
				if seen[c.Name] {
					t.Errorf("%s: the case %s stands there twice", s.Name, c.Name)
				}
				seen[c.Name] = true
				if c.Failure != nil {
					failures++
					lines += countFindingLines(c.Failure.Text)
				}
			}
			lines += countFindingLines(s.Out.Text)
			n, err := strconv.Atoi(s.Properties[0].Value)
			if err != nil {
				t.Fatal(err)
			}
			findings += n
			if s.ID != id || s.Tests != len(s.Cases) || s.Tests == 0 || s.Failures != failures || s.Errors != 0 {
				t.Errorf("%s: %d tests, %d failures; %d cases, %d of them failed", s.Name, s.Tests, s.Failures, len(s.Cases), failures)
			}
		}
		if want := len(someFindings()); findings != want || lines != want {
			t.Errorf("%d findings counted and %d named, want %d", findings, lines, want)
		}
	}
}

func countFindingLines(text string) int {
	n := 0
	for _, l := range strings.Split(text, "\n") {
		for _, start := range []string{"note ", "warning ", "error ", "known "} {
			if strings.HasPrefix(l, start) {
				n++
			}
		}
	}
	return n
}

func TestJUnitFailsAtTheLevel(t *testing.T) {
	failures := func(r Results) string {
		var names []string
		for _, s := range readJUnit(t, junitOf(t, r)).Suites {
			for _, c := range s.Cases {
				if c.Failure != nil {
					names = append(names, c.Name)
				}
			}
		}
		return strings.Join(names, " ")
	}
	for _, c := range []struct {
		level record.Level
		known bool
		want  string
	}{
		{0, false, ""}, {record.Error, false, "key-missing"}, {record.Warning, false, "value-far key-missing"},
		{record.Note, false, "separator-guessed value-far key-missing word-unknown"},
		{record.Error, true, "key-missing"}, // one of the two is known
	} {
		r := someResults(c.known)
		r.Failing = c.level
		if got := failures(r); got != c.want {
			t.Errorf("from %v on, known %v: %q fails, want %q", c.level, c.known, got, c.want)
		}
	}
	r := someResults(false)
	r.Failing = record.Note
	markKnown(t, &r, knownOf(t, someFindings(), nil))
	if got := failures(r); got != "" {
		t.Errorf("all are known, %q fails", got)
	}
}
