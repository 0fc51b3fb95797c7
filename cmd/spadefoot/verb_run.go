package main

import (
	"github.com/spf13/cobra"

	"spadefoot/pipeline"
)

func runCommand() *cobra.Command {
	var out, exact string
	var common shared
	var ci continuous
	var since sinceRun
	cmd := &cobra.Command{
		Use:     "run FOLDER --out DIR",
		Short:   "Write the archive, findings and report of a survey folder",
		Example: examples("spadefoot run demo --out out", "spadefoot run demo --out out --package --undecided keep"),
		Args:    oneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			defer common.done()
			if out == "" {
				return &pipeline.CallError{Reason: "run needs a folder to write to: --out DIR"}
			}
			if err := ci.begin("text"); err != nil {
				return err
			}
			if err := since.begin(out); err != nil {
				return err
			}
			options := common.options(cmd)
			options.Writes = ci.paths()
			options.ExactPlaces = exact
			options.Flags["archive.package"] = cmd.Flags().Lookup("package")
			options.Flags["archive.undecided"] = cmd.Flags().Lookup("undecided")
			options.OnResult = func(r *pipeline.Result) error {
				j, err := ci.finish(cmd.OutOrStdout(), args[0], r, common.failWord(r, "never"))
				if err != nil {
					return err
				}
				if err := j.summary(cmd.OutOrStdout(), r, out); err != nil {
					return err
				}
				if err := since.write(cmd.OutOrStdout(), out); err != nil {
					return err
				}
				if err := j.ready(cmd.OutOrStdout(), r.Ready, true); err != nil {
					return err
				}
				return j.verdict()
			}
			_, err := pipeline.Run(cmd.Context(), args[0], out, options)
			return err
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "folder to write to; earlier files are replaced only if the run succeeds")
	cmd.Flags().StringVar(&exact, "exact-places", "", "file outside the output folder to write withheld places to; nothing else contains them")
	cmd.Flags().StringVar(&since.dir, "since", "", "output folder of an earlier run to compare with; the folder of --out if not given")
	cmd.Flags().Bool("package", false, "also write a Darwin Core Data Package, as archive.package in survey.yaml does")
	cmd.Flags().String("undecided", "", "what to do with values that have an undecided error: leave-out, keep or refuse; overrides archive.undecided in survey.yaml")
	ci.addKnown(cmd)
	common.add(cmd)
	return cmd
}
