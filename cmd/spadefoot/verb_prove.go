package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"spadefoot/pipeline"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/prove/archives"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/findings"
)

func proveCommand() *cobra.Command {
	var o archives.Options
	var failOn, format, only, today string
	cmd := &cobra.Command{
		Use:     "prove PATH",
		Short:   "Check any Darwin Core archive or table against the standard",
		Example: examples("spadefoot prove out/darwin-core.zip", "spadefoot prove out/darwin-core.zip --responses answers.csv"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &pipeline.CallError{Reason: fmt.Sprintf("prove takes one path, found %d; usage: %s", len(args), cmd.UseLine())}
			}
			if err := allowed("--format", format, "text", "csv", "json"); err != nil {
				return err
			}
			if err := allowed("--fail-on", failOn, "error", "warning", "note", "never"); err != nil {
				return err
			}
			if only != "" {
				o.Only = strings.Split(only, ",")
			}
			var err error
			if o.Today, err = theDay(today); err != nil {
				return err
			}
			result, err := archives.Prove(cmd.Context(), args[0], o)
			if err != nil {
				return err
			}
			if err := writeProof(cmd.OutOrStdout(), format, args[0], result); err != nil {
				return err
			}
			return failing(failOn, findings.Count(result.Findings))
		},
	}
	cmd.Flags().StringVar(&o.Responses, "responses", "", "file to write the answers of the published quality tests to, as CSV")
	cmd.Flags().StringVar(&o.Measures, "measures", "", "file to write how many records comply with each quality test to, as CSV")
	cmd.Flags().BoolVar(&o.Quality, "quality", false, "report failed quality tests as findings")
	cmd.Flags().StringVar(&only, "only", "", "labels of the quality tests to answer, or of use cases such as Alien-Species, separated by commas")
	cmd.Flags().StringArrayVar(&o.Taxa, "taxa", nil, "table of names for the quality tests that look names up: a Darwin Core Taxon table or a checklist; AUTHORITY=FILE for an authority other than the default")
	cmd.Flags().StringVar(&o.Marine, "marine", "", "table of names known to live in the sea, for the quality tests")
	cmd.Flags().StringVar(&o.Divisions, "divisions", "", "GeoJSON of first-level divisions of countries, for the quality tests")
	cmd.Flags().StringVar(&o.Centroids, "centroids", "", "table of centres of countries, for the quality tests")
	cmd.Flags().StringVar(&o.Descriptors, "descriptors", "", "folder of the data package's published table schemas, to compare the field descriptors with")
	cmd.Flags().StringVar(&today, "today", "", "the date used as today (ISO 8601); today's date if not given")
	cmd.Flags().StringVar(&format, "format", "text", "format of standard output: text, csv or json")
	cmd.Flags().StringVar(&failOn, "fail-on", "error", "exit with 1 if any finding is at this level or above: error, warning, note or never")
	return cmd
}

// theDay reads a day; the clock is asked only for the answers to tests of an
// archive that somebody else made, never for the outputs of a run.
func theDay(text string) (time.Time, error) {
	if text == "" {
		return time.Now(), nil
	}
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return day, &pipeline.CallError{Reason: "--today: found " + text + "; write it as 2026-11-25"}
	}
	return day, nil
}

func allowed(flag, word string, words ...string) error {
	if slices.Contains(words, word) {
		return nil
	}
	return &pipeline.CallError{Reason: fmt.Sprintf("%s: found %q; allowed: %s", flag, word, strings.Join(words, ", "))}
}

func failing(word string, n findings.Counts) error {
	if word == "never" {
		return nil
	}
	var level record.Level
	if err := level.UnmarshalText([]byte(word)); err != nil {
		return err
	}
	if n.AtLeast(level) > 0 {
		return errFindings
	}
	return nil
}

func writeProof(w io.Writer, format, path string, r *prove.Result) error {
	switch format {
	case "csv":
		return findings.CSV(w, r.Findings)
	case "json":
		return findings.JSON(w, r.Findings)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n", path)
	for _, p := range r.Parts {
		kind := "extension"
		switch {
		case !strings.Contains(p.RowType, "/"):
			kind = "table"
		case p.Core:
			kind = "core"
		}
		fmt.Fprintf(&b, "%-9s %s, %s, %s\n", kind, oneLine(p.RowType), record.Plural(p.Rows, "row"), record.Plural(len(p.Columns), "column"))
	}
	fmt.Fprintf(&b, "found     %s\n", findings.Count(r.Findings))
	for _, f := range r.Findings {
		fmt.Fprintf(&b, "%-7s %s: %s", f.Level, oneLine(f.At), oneLine(f.Reason))
		if f.Value != "" && !strings.Contains(f.Reason, f.Value) {
			fmt.Fprintf(&b, " (found %q)", shortened(f.Value))
		}
		if f.Reference != "" {
			fmt.Fprintf(&b, " [%s]", f.Reference)
		}
		b.WriteByte('\n')
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// shortened keeps the beginning of a long value.
func shortened(text string) string {
	if r := []rune(text); len(r) > 80 {
		return string(r[:80]) + "..."
	}
	return text
}
