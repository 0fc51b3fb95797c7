package main

import (
	"errors"
	"io"
	"iter"

	"github.com/spf13/cobra"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/findings"
)

func checkCommand() *cobra.Command {
	var common shared
	var ci continuous
	var format string
	cmd := &cobra.Command{
		Use:     "check FOLDER",
		Short:   "Check the sheets of a survey folder without writing an archive",
		Example: examples("spadefoot check notebook", "spadefoot check demo --fail-on never --markdown findings.md"),
		Args:    oneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			defer common.done()
			if err := allowed("--format", format, "text", "csv", "json"); err != nil {
				return err
			}
			if err := ci.begin(format); err != nil {
				return err
			}
			options := common.options(cmd)
			options.Writes = ci.paths()
			options.OnResult = func(r *pipeline.Result) error {
				j, err := ci.finish(cmd.OutOrStdout(), args[0], r, common.failWord(r, "error"))
				if err != nil {
					return err
				}
				if err := r.Guarded("standard output", cmd.OutOrStdout(), func(w io.Writer) error { return j.print(w, r, format) }); err != nil {
					return err
				}
				return j.verdict()
			}
			_, err := pipeline.Check(cmd.Context(), args[0], options)
			return err
		},
	}
	cmd.Flags().StringVar(&format, "format", "text", "format of standard output: text, csv or json")
	ci.addFiles(cmd)
	ci.addKnown(cmd)
	common.add(cmd)
	return cmd
}

// print writes what goes to standard output.
func (j *judged) print(w io.Writer, r *pipeline.Result, format string) (err error) {
	switch format {
	case "csv":
		failed := findings.EachCSV(w, plain(r.Each(), &err))
		return errors.Join(failed, err)
	case "json":
		failed := findings.EachJSON(w, r.Tally.Levels, plain(r.Each(), &err))
		return errors.Join(failed, err)
	}
	return errors.Join(j.summary(w, r, ""), j.ready(w, r.Ready, false))
}

// plain returns findings up to an error, which it keeps.
func plain(fs iter.Seq2[record.Finding, error], failed *error) iter.Seq[record.Finding] {
	return func(yield func(record.Finding) bool) {
		for f, err := range fs {
			if err != nil {
				*failed = err
				return
			}
			if !yield(f) {
				return
			}
		}
	}
}
