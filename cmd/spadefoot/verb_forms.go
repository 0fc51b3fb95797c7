package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"spadefoot/pipeline"
	"spadefoot/pipeline/forms/formset"
	"spadefoot/pipeline/record"
)

func formsCommand() *cobra.Command {
	var out string
	var o formset.Options
	cmd := &cobra.Command{
		Use:     "forms FOLDER --out DIR",
		Short:   "Write a workbook to type into and field sheets to print",
		Example: examples("spadefoot forms demo --out next", "spadefoot forms demo --out three-times --replicates 3 --sessions 8"),
		Long: "For each mapping of the survey, writes a workbook with a tab for each session,\n" +
			"drop-down lists and checks that warn, and a field sheet to print on A4 or letter\n" +
			"paper. DIR is itself a survey folder: spadefoot run DIR reads what you type into\n" +
			"the workbook without further work. DIR must be new or empty.",
		Args: oneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			if out == "" {
				return &pipeline.CallError{Reason: "forms needs a folder to write to: --out DIR"}
			}
			if o.Sessions < 1 || o.Replicates < 1 {
				return &pipeline.CallError{Reason: fmt.Sprintf("--sessions and --replicates: found %d and %d; give numbers of 1 or more", o.Sessions, o.Replicates)}
			}
			o.Flags = map[string]*pflag.Flag{"survey.from": cmd.Flags().Lookup("from"), "survey.to": cmd.Flags().Lookup("to")}
			f, err := pipeline.Forms(cmd.Context(), args[0], out, o)
			if err != nil {
				return err
			}
			_, err = fmt.Fprint(cmd.OutOrStdout(), formsSummary(f))
			return err
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "folder to write to; new or empty")
	cmd.Flags().StringVar(&o.Mapping, "mapping", "", "make a form for this mapping only, by file or name; all if not given")
	cmd.Flags().IntVar(&o.Sessions, "sessions", 4, "how many tabs to type into")
	cmd.Flags().IntVar(&o.Replicates, "replicates", 1, "how often each length is measured")
	cmd.Flags().StringArrayVar(&o.Observers, "observer", nil, "name of a person who measures, may be repeated; the survey's creators and contacts if not given")
	cmd.Flags().String("from", "", "first day of the survey; overrides survey.from")
	cmd.Flags().String("to", "", "last day of the survey; overrides survey.to")
	return cmd
}

func formsSummary(f *formset.Formed) string {
	var b strings.Builder
	for _, one := range f.Forms {
		fmt.Fprintf(&b, "%s: %s; to print: %s\n", one.Workbook, record.Plural(one.Columns, "column"), strings.Join(one.Pages, ", "))
	}
	if f.SitesOut > 0 {
		fmt.Fprintf(&b, "%s left out: places of sensitive taxa are withheld, and no capture shows that these are not among them\n", record.Plural(f.SitesOut, "site"))
	}
	fmt.Fprintf(&b, "type captures in, then: spadefoot run %s --out OUT\n", f.Folder)
	return b.String()
}
