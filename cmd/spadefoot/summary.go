package main

import (
	"fmt"
	"io"
	"strings"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/findings"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/tally"
)

// most is how many causes of doubt the summary shows: one screen.
const most = 16

// summary writes one screen: what came in, what goes out, what needs a person.
func summary(w io.Writer, r *pipeline.Result, out string) error { return summaryOf(w, r, out, "found") }

// summaryOf is the summary with another word for the findings that it counts.
func summaryOf(w io.Writer, r *pipeline.Result, out, word string) error {
	var b strings.Builder
	c := r.Counts
	fmt.Fprintf(&b, "%s\n", oneLine(r.Survey.Dataset.Title))
	fmt.Fprintf(&b, "in    %s, %s, %s of captures\n", record.Plural(c.Sheets, "sheet"), record.Plural(c.Tables, "table"), record.Plural(c.TableRows, "row"))
	if out != "" {
		fmt.Fprintf(&b, "out   %s, %s in %s\n", record.Plural(c.Occurrences, "occurrence"), record.Plural(c.Measurements, "measurement"), out)
		writeMore(&b, c)
	} else {
		fmt.Fprintf(&b, "out   %s checked, nothing written\n", record.Plural(c.Captures, "capture"))
	}
	fmt.Fprintf(&b, "%s %s\n", word, r.Tally.Levels)
	where := "--format csv lists all of them"
	if out != "" {
		where = "findings.csv and report.html list all of them"
	}
	writeCauses(&b, &r.Tally, paintOf(w), where)
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
		_, err := fmt.Fprintln(w, "Ready to publish: no undecided errors.")
		return err
	}
	var b strings.Builder
	if n := len(r.Drafted); n > 0 {
		are := "are"
		if n == 1 {
			are = "is"
		}
		fmt.Fprintf(&b, "Not ready to publish: under dataset in %s, %s %s still the draft's placeholder text.", survey.FileName, strings.Join(r.Drafted, ", "), are)
		if r.Errors == 0 {
			_, err := fmt.Fprintln(w, b.String(), "Next: write your own text, and run again.")
			return err
		}
		b.WriteByte('\n')
	}
	fmt.Fprintf(&b, "Not ready to publish: %s undecided", record.Plural(r.Errors, "error"))
	switch {
	case !published:
	case r.Kept:
		b.WriteString(", published anyway")
	case r.LeftOut > 0:
		fmt.Fprintf(&b, ", %s left out", record.Plural(r.LeftOut, "value"))
	}
	fmt.Fprintf(&b, ". %s\n", r.Next)
	_, err := io.WriteString(w, b.String())
	return err
}

// writeMore says what else went out.
func writeMore(b *strings.Builder, c pipeline.Counts) {
	if c.Absences > 0 {
		fmt.Fprintf(b, "      %s among the occurrences\n", record.Plural(c.Absences, "absence"))
	}
	if c.Media > 0 {
		fmt.Fprintf(b, "      %s listed\n", oneOrMany(c.Media, "1 photograph or recording", "%d photographs or recordings"))
	}
	if c.Package != nil {
		rows := 0
		for _, n := range c.Package {
			rows += n
		}
		fmt.Fprintf(b, "      data package with %s, %s\n", record.Plural(len(c.Package), "table"), record.Plural(rows, "row"))
	}
}

// oneOrMany is one for a count of 1, else many with the count.
func oneOrMany(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return fmt.Sprintf(many, n)
}

// writeCauses writes a line for each cause, worst first: how often, the rule and
// the first place.
func writeCauses(b *strings.Builder, t *tally.Tally, p paint, where string) {
	causes := t.Causes()
	rest := 0
	for i, c := range causes {
		if i >= most {
			rest += c.Count
			continue
		}
		f := c.First
		fmt.Fprintf(b, "%s %s: %s", p.level(f.Level, fmt.Sprintf("%-11s", record.Plural(c.Count, f.Level.String()))), f.Rule, oneLine(f.At))
		if c.Count > 1 {
			b.WriteString(" and elsewhere")
		}
		fmt.Fprintf(b, ": %s", oneLine(findings.Short(f.Reason)))
		if f.Suggestion != "" {
			fmt.Fprintf(b, " (perhaps %s)", oneLine(f.Suggestion))
		}
		b.WriteByte('\n')
	}
	if rest > 0 {
		fmt.Fprintf(b, "and %d more of %s; %s\n", rest, record.Plural(len(causes)-most, "other kind"), where)
	}
}
