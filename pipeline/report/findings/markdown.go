package findings

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/schemas"
)

// maxInMarkdown is how many findings the summary lists: about two screens.
const maxInMarkdown = 25

// Markdown writes a short summary for the page of a pull request or a build:
// the counts, the first findings with errors before warnings and notes, and
// what to do about their rules. Where findings are known, only the new ones are
// listed, and those that are gone.
func Markdown(w io.Writer, r Results) error {
	var b strings.Builder
	fmt.Fprintf(&b, "## %s\n\n", markText(r.Title))
	var all, shown Counts
	var first [record.Error + 1][]record.Finding // by level
	for t, err := range r.Findings {
		if err != nil {
			return err
		}
		all.Add(t.Level)
		if t.Known {
			continue
		}
		shown.Add(t.Level)
		if len(first[t.Level]) < maxInMarkdown {
			first[t.Level] = append(first[t.Level], t.Finding)
		}
	}
	if r.Standing != nil {
		fmt.Fprintf(&b, "**New: %s.** Known: %d. Gone: %d.\n\n", shown, r.Standing.Known, len(r.Standing.Gone))
	}
	fmt.Fprintf(&b, "All findings: %s, in %s with %s.\n", all, record.Plural(len(r.Sheets), "sheet"), record.Plural(r.Captures, "capture"))
	list := slices.Concat(first[record.Error], first[record.Warning], first[record.Note])
	list = list[:min(len(list), maxInMarkdown)]
	markTable(&b, list, shown.AtLeast(record.Note)-len(list))
	markHelp(&b, list)
	if r.Standing != nil {
		markGone(&b, r.Standing.Gone)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func markTable(b *strings.Builder, fs []record.Finding, more int) {
	if len(fs) == 0 {
		return
	}
	b.WriteString("\n| level | where | capture | field | written | why | perhaps |\n| --- | --- | --- | --- | --- | --- | --- |\n")
	for i := range fs {
		f := &fs[i]
		fmt.Fprintf(b, "| %s | %s | %s | %s | %s | %s | %s |\n", f.Level, markText(f.At.String()), markText(f.Capture), markText(f.Field),
			markText(Shortened(f.Value, 60)), markText(Shortened(Short(f.Reason), 160)), markText(Shortened(f.Suggestion, 60)))
	}
	if more > 0 {
		fmt.Fprintf(b, "\nAnd %d more.\n", more)
	}
}

func markHelp(b *strings.Builder, fs []record.Finding) {
	seen := map[string]bool{}
	for i := range fs {
		seen[fs[i].Rule] = true
	}
	if len(seen) == 0 {
		return
	}
	b.WriteString("\n**What to do**\n\n")
	for _, code := range slices.Sorted(maps.Keys(seen)) {
		rule := schemas.RuleOf()[code]
		fmt.Fprintf(b, "- `%s`: %s. %s\n", code, markText(strings.TrimSuffix(rule.Summary, ".")), markText(rule.Help))
	}
}

func markGone(b *strings.Builder, gone KnownFindings) {
	if len(gone) == 0 {
		return
	}
	b.WriteString("\n**Known, but gone**\n\n")
	for i, k := range gone {
		if i == maxInMarkdown {
			fmt.Fprintf(b, "- and %d more\n", len(gone)-i)
			return
		}
		fmt.Fprintf(b, "- %s\n", markText(k.String()))
	}
}

// String is the entry in one line.
func (k KnownFinding) String() string {
	line := record.Joined(", ", k.Rule, k.Capture, k.Field, k.Group)
	if k.Value != "" {
		line += fmt.Sprintf(" %q", k.Value)
	}
	return line
}

// Shortened cuts text after so many characters.
func Shortened(s string, most int) string {
	r := []rune(s)
	if len(r) <= most {
		return s
	}
	return strings.TrimRight(string(r[:most-1]), " ") + "…"
}

// markText writes text so that nothing in it is taken for Markdown or HTML, for
// the name of a person (@) or the number of an issue (#).
func markText(s string) string { return markdownSigns.Replace(oneLine(s)) }

var markdownSigns = strings.NewReplacer(
	"&", "&amp;", "<", "&lt;", ">", "&gt;", "@", "&#64;", "#", "&#35;", "|", `\|`, `\`, `\\`, "`", "\\`",
	"*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`, "~", `\~`, "$", `\$`,
)
