package main

import (
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
)

func remediesCommand() *cobra.Command {
	var common shared
	var p pipeline.ProposeOptions
	var notes bool
	cmd := &cobra.Command{
		Use:     "remedies FOLDER [--out FILE]",
		Short:   "Write a table with a row to decide on for each finding",
		Example: examples("spadefoot remedies demo", "spadefoot remedies demo --out doubts.csv --notes"),
		Long: "Writes remedies.csv, and remedies.xlsx beside it, for a person to complete: the\n" +
			"existing rows, and a new row without an action for each finding. A row does\n" +
			"nothing until somebody writes replace, confirm, clear or drop in it, with who,\n" +
			"when and why. You can use either of the two files.",
		Args: oneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			defer common.done()
			p.Level = record.Warning
			if notes {
				p.Level = record.Note
			}
			done, err := pipeline.Propose(cmd.Context(), args[0], p, common.options(cmd))
			if err != nil {
				return err
			}
			files := done.Path
			if done.Beside != "" {
				files += " and " + filepath.Base(done.Beside)
			}
			_, err = fmt.Fprintf(cmd.OutOrStdout(), "%s: rows to decide on: %d; kept unchanged: %d\n", files, done.Wanted, done.Kept)
			return err
		},
	}
	cmd.Flags().StringVar(&p.Out, "out", "", "file to write instead of the survey's table of remedies")
	cmd.Flags().BoolVar(&p.Replace, "update", false, "add to the existing table; decided rows stay unchanged")
	cmd.Flags().BoolVar(&notes, "notes", false, "include notes, not only warnings and errors")
	common.add(cmd)
	return cmd
}
