package main

import (
	"github.com/spf13/cobra"

	"spadefoot/pipeline"
	"spadefoot/pipeline/report"
)

func checkCommand() *cobra.Command {
	var common shared
	var ci continuous
	var format string
	cmd := &cobra.Command{
		Use:   "check FOLDER",
		Short: "Judge the sheets of a survey folder and write no archive",
		Args:  oneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := allowed("--format", format, "text", "csv", "json"); err != nil {
				return err
			}
			if err := ci.begin(format); err != nil {
				return err
			}
			options := common.options(cmd)
			options.Whole = ci.names() || format != "text"
			result, err := pipeline.Check(cmd.Context(), args[0], options)
			if err != nil {
				return err
			}
			j, err := ci.finish(cmd.OutOrStdout(), args[0], result, common.failWord(result, "error"))
			if err != nil {
				return err
			}
			switch format {
			case "csv":
				err = report.FindingsCSV(cmd.OutOrStdout(), result.Findings)
			case "json":
				err = report.FindingsJSON(cmd.OutOrStdout(), result.Findings)
			default:
				err = j.summary(cmd.OutOrStdout(), result, "")
			}
			if err != nil {
				return err
			}
			return j.verdict()
		},
	}
	cmd.Flags().StringVar(&format, "format", "text", "what goes to standard output: text, csv or json")
	ci.addFiles(cmd)
	ci.addKnown(cmd)
	common.add(cmd)
	return cmd
}
