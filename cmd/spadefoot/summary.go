package main

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"spadefoot/pipeline"
	"spadefoot/pipeline/report"
)

// most is how many findings the summary shows: one screen.
const most = pipeline.MostShown

// summary writes one screen: what came in, what goes out, what needs a person.
func summary(w io.Writer, r *pipeline.Result, out string) error { return summaryOf(w, r, out, "doubt") }

// summaryOf is the summary with another word for the findings that it counts.
func summaryOf(w io.Writer, r *pipeline.Result, out, word string) error {
	var b strings.Builder
	c := r.Counts
	fmt.Fprintf(&b, "%s\n", r.Survey.Dataset.Title)
	fmt.Fprintf(&b, "in    %d sheets, %d tables, %d rows of captures\n", c.Sheets, c.Tables, c.TableRows)
	if out != "" {
		fmt.Fprintf(&b, "out   %d occurrences, %d measurements in %s\n", c.Occurrences, c.Measurements, out)
		writeMore(&b, c)
	} else {
		fmt.Fprintf(&b, "out   %d captures judged, nothing written\n", c.Captures)
	}
	fmt.Fprintf(&b, "%s %s\n", word, r.Tally.Levels)
	writeRules(&b, r.Tally.Doubts)
	writeFirst(&b, &r.Tally, map[bool]string{true: "findings.csv and report.html have them all", false: "--format csv lists them all"}[out != ""])
	_, err := io.WriteString(w, b.String())
	return err
}

// ready is the last line: whether the archive is one to publish, and if not
// what is missing and what comes next.
func (j *judged) ready(w io.Writer, r pipeline.Readiness, published bool) error {
	if j.spoken {
		return nil
	}
	if r.Ready() {
		_, err := fmt.Fprintln(w, "Ready to publish: no error is undecided.")
		return err
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Not ready to publish: %s undecided", report.Plural(r.Errors, "error"))
	switch {
	case !published:
	case r.Kept:
		b.WriteString(", published all the same")
	case r.LeftOut > 0:
		fmt.Fprintf(&b, ", %s left out", report.Plural(r.LeftOut, "value"))
	}
	fmt.Fprintf(&b, ". %s\n", r.Next)
	_, err := io.WriteString(w, b.String())
	return err
}

// writeMore says what else went out.
func writeMore(b *strings.Builder, c pipeline.Counts) {
	if c.Absences > 0 {
		fmt.Fprintf(b, "      %d of the occurrences say that nothing was found\n", c.Absences)
	}
	if c.Media > 0 {
		fmt.Fprintf(b, "      %d photographs or recordings named\n", c.Media)
	}
	if c.Package != nil {
		rows := 0
		for _, n := range c.Package {
			rows += n
		}
		fmt.Fprintf(b, "      data package of %d tables, %d rows\n", len(c.Package), rows)
	}
}

// writeRules writes the counts of errors and warnings by rule, most frequent
// first.
func writeRules(b *strings.Builder, n map[string]int) {
	rules := slices.SortedFunc(maps.Keys(n), func(x, y string) int { return cmp.Or(n[y]-n[x], strings.Compare(x, y)) })
	for _, r := range rules {
		fmt.Fprintf(b, "      %4d  %s\n", n[r], r)
	}
}

// writeFirst shows the first findings, errors before warnings.
func writeFirst(b *strings.Builder, t *pipeline.Tally, where string) {
	shown := 0
	for _, f := range slices.Concat(t.Errors, t.Warnings) {
		if shown == most {
			break
		}
		shown++
		fmt.Fprintf(b, "%-7s %s: %s", f.Level, f.At, report.Short(f.Reason))
		if f.Suggestion != "" {
			fmt.Fprintf(b, " (perhaps %s)", f.Suggestion)
		}
		b.WriteByte('\n')
	}
	if rest := t.Levels.Error + t.Levels.Warning - shown; rest > 0 {
		fmt.Fprintf(b, "and %d more; %s\n", rest, where)
	}
}
