package findings

import (
	"fmt"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

func markdownOf(t testing.TB, r Results) string {
	t.Helper()
	var b strings.Builder
	if err := Markdown(&b, r); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// markdownRows are the lines of the table under its two lines of headings.
func markdownRows(text string) []string {
	var rows []string
	for _, l := range strings.Split(text, "\n") {
		if strings.HasPrefix(l, "| ") {
			rows = append(rows, l)
		}
	}
	return rows[min(2, len(rows)):]
}

func TestMarkdown(t *testing.T) {
	text := markdownOf(t, someResults(false))
	rows := markdownRows(text)
	if len(rows) != 5 || !strings.HasPrefix(rows[0], "| error |") || !strings.HasPrefix(rows[2], "| warning |") || !strings.HasPrefix(rows[4], "| note |") {
		t.Errorf("errors, warnings, notes are wanted in this order:\n%s", strings.Join(rows, "\n"))
	}
	for _, want := range []string{
		"## Frogs &amp; &lt;toads&gt; of Marrow Creek\n", "All findings: 2 errors, 1 warning, 2 notes, in 3 sheets with 9 captures.",
		`q\|&lt;b&gt;&#64;ines &#35;3`, "- `key-missing`: ", "| frogs.csv, D7 | MC-7 | tibiaLength | 73.9 | too large | 37.9 |",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("there is no %q in:\n%s", want, text)
		}
	}
	for _, r := range rows {
		if n := strings.Count(strings.ReplaceAll(r, `\|`, ""), "|"); n != 8 {
			t.Errorf("%d bars: %s", n, r)
		}
	}
}

func TestMarkdownNamesNewFindingsOnly(t *testing.T) {
	r := someResults(false)
	before := append(knownOf(t, someFindings()[:3], nil), KnownFinding{Fingerprint: "gone", Rule: "sex-indicated", Capture: "MC-5", Value: "m"})
	markKnown(t, &r, before)
	text := markdownOf(t, r)
	if n := len(markdownRows(text)); n != 2 {
		t.Errorf("%d rows, want the two that are not known", n)
	}
	for _, want := range []string{"**New: 0 errors, 0 warnings, 2 notes.** Known: 3. Gone: 1.", "- sex-indicated, MC-5 \"m\"\n", "All findings: 2 errors"} {
		if !strings.Contains(text, want) {
			t.Errorf("there is no %q in:\n%s", want, text)
		}
	}
}

func TestMarkdownStaysShort(t *testing.T) {
	var fs []record.Finding
	for i := range 500 {
		fs = append(fs, record.Finding{Rule: "value-far", Level: record.Warning, At: cellAt("frogs.csv", "", i+2, 4), Capture: fmt.Sprint(i), Reason: strings.Repeat("far ", 200)})
	}
	text := markdownOf(t, Results{Title: "Many", Findings: toldOf(fs)})
	if rows := markdownRows(text); len(rows) != maxInMarkdown || !strings.Contains(text, "And 475 more.") || len(text) > 10_000 {
		t.Errorf("%d rows, %d bytes", len(rows), len(text))
	}
	if text := markdownOf(t, Results{Title: "None", Findings: toldOf(nil)}); strings.Contains(text, "|") || !strings.Contains(text, "0 errors, 0 warnings, 0 notes") {
		t.Errorf("nothing was found:\n%s", text)
	}
}
