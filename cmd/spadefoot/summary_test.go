package main

import (
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// The summary tells each cause once, the worst first and of these the most
// frequent, in numbers that agree with their words, without colours where no
// terminal is.
func TestSummary(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	code, text, stderr := called("run", filepath.Join("..", "..", "testdata", "demo"), "--out", out)
	if code != exitClean {
		t.Fatal(stderr)
	}
	if strings.Contains(text, "\x1b") {
		t.Error("colours where there is no terminal")
	}
	cause := regexp.MustCompile(`^(\d+) (error|warning)(s?) +([a-z-]+): (.+?)( and elsewhere)?: (.*)$`)
	seen := map[string]bool{}
	last, most := "error", "999"
	for line := range strings.Lines(text) {
		m := cause.FindStringSubmatch(strings.TrimSpace(line))
		if m == nil {
			continue
		}
		count, level, plural, rule, elsewhere, reason := m[1], m[2], m[3], m[4], m[6], m[7]
		if (count == "1") != (plural == "") || (count == "1") != (elsewhere == "") {
			t.Errorf("the numbers do not agree: %s", line)
		}
		if level != last {
			most = "999"
		}
		if level > last && last == "warning" || len(count) > len(most) || len(count) == len(most) && count > most {
			t.Errorf("not the worst first: %s", line)
		}
		if seen[level+rule] || seen[reason] {
			t.Errorf("told twice: %s", line)
		}
		seen[level+rule], seen[reason], last, most = true, true, level, count
	}
	if len(seen) < 20 {
		t.Errorf("%d causes in:\n%s", len(seen)/2, text)
	}
}

// One of a thing is not many.
func TestOneCapture(t *testing.T) {
	dir := folderOf(t, header+"sheets: [{file: frogs.csv}]\n"+mappingText, map[string][]byte{"frogs.csv": []byte("Field No,Species,SVL\n1,Rana temporaria,61\n")})
	_, text, _ := called("check", dir)
	for _, want := range []string{"in    1 sheet, 1 table, 1 row of captures\n", "out   1 capture checked, nothing written\n"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in:\n%s", want, text)
		}
	}
}
