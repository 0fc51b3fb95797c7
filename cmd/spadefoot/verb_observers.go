package main

import (
	"cmp"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"spadefoot/pipeline"
	"spadefoot/pipeline/observers"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/findings"
)

func observersCommand() *cobra.Command {
	var out string
	var common shared
	cmd := &cobra.Command{
		Use:     "observers FOLDER --out DIR",
		Short:   "Compare the people who measure, and say what to practise next",
		Example: examples("spadefoot observers training --out agreement", "spadefoot observers training --out agreement --quiet"),
		Args:    oneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			defer common.done()
			if out == "" {
				return &pipeline.CallError{Reason: "observers needs a folder to write to: --out DIR"}
			}
			compared, err := pipeline.Observe(cmd.Context(), args[0], out, common.options(cmd))
			if err != nil {
				return err
			}
			if err := observersSummary(cmd.OutOrStdout(), compared, out); err != nil {
				return err
			}
			return failing(cmp.Or(compared.Survey.FailOn, "never"), findings.Count(compared.Findings))
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "folder to write to; earlier files are replaced only if the run succeeds")
	common.add(cmd)
	return cmd
}

// What fits on one screen.
const (
	maxPeople = 8
	maxDoubts = 6
)

// observersSummary writes one screen: who reached the line on what, and what
// each should practise first.
func observersSummary(w io.Writer, r *pipeline.Observed, out string) error {
	var b strings.Builder
	readings := 0
	for _, o := range r.Observers {
		for _, sc := range o.Scores {
			readings += sc.Readings
		}
	}
	fmt.Fprintf(&b, "%s\n", oneLine(r.Survey.Dataset.Title))
	fmt.Fprintf(&b, "in    %s, %s by %s on %s\n", record.Plural(r.Captures, "row"), record.Plural(readings, "reading"),
		record.Plural(len(r.Observers), "observer"), record.Plural(len(r.Measurements), "measurement"))
	fmt.Fprintf(&b, "out   %s in %s\n", strings.Join(r.Written, ", "), out)
	fmt.Fprintf(&b, "found %s\n", findings.Count(r.Findings))
	for i, o := range r.Observers {
		if i == maxPeople {
			fmt.Fprintf(&b, "and %s; observers.csv lists all of them\n", record.Plural(len(r.Observers)-maxPeople, "more observer"))
			break
		}
		fmt.Fprintf(&b, "%-5s %s: %s\n", observerWord(o), o.Name, observerCounts(o))
		if len(o.Practise) > 0 {
			fmt.Fprintf(&b, "      next: %s\n", firstClause(o.Practise[0]))
		}
	}
	writeDoubts(&b, r.Findings)
	_, err := io.WriteString(w, b.String())
	return err
}

func observerWord(o observers.Observer) string {
	if v := o.Verdict(); v == observers.Pass || v == observers.Fail {
		return string(v)
	}
	return "open"
}

// observerCounts lists the measurements by verdict.
func observerCounts(o observers.Observer) string {
	by := map[observers.Verdict][]string{}
	for _, sc := range o.Scores {
		by[sc.Verdict] = append(by[sc.Verdict], sc.Measurement)
	}
	var parts []string
	for _, v := range []observers.Verdict{observers.Fail, observers.NotSure, observers.Pass, observers.NotEnough} {
		if n := len(by[v]); n > 0 && v == observers.Pass {
			parts = append(parts, fmt.Sprintf("pass on %d", n))
		} else if n > 0 {
			parts = append(parts, fmt.Sprintf("%s on %s", v, strings.Join(by[v], ", ")))
		}
	}
	return strings.Join(parts, "; ")
}

// writeDoubts shows the first findings above notes; those of the comparison
// come first.
func writeDoubts(b *strings.Builder, fs []record.Finding) {
	shown := 0
	for _, f := range fs {
		if f.Level < record.Warning {
			continue
		}
		if shown++; shown <= maxDoubts {
			fmt.Fprintf(b, "%-7s %s: %s\n", f.Level, f.At, f.Reason)
		}
	}
	if shown > maxDoubts {
		fmt.Fprintf(b, "and %d more; observers.html and observers.json list all of them\n", shown-maxDoubts)
	}
}

// firstClause is the measurement and what is wrong, without the advice.
func firstClause(task string) string {
	name, rest, _ := strings.Cut(task, ": ")
	for _, end := range []string{": ", "; "} {
		if what, _, ok := strings.Cut(rest, end); ok {
			return name + ": " + what
		}
	}
	return task
}
