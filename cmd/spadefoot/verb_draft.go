package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
)

func draftCommand() *cobra.Command {
	var out string
	var o pipeline.DraftOptions
	cmd := &cobra.Command{
		Use:   "draft SHEET... --out FOLDER",
		Short: "Propose a survey folder for sheets that nobody has mapped yet",
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case len(args) == 0:
				return &pipeline.CallError{Reason: "draft needs one sheet or more; the form is: " + cmd.UseLine()}
			case out == "":
				return &pipeline.CallError{Reason: "draft needs a folder to write to: --out FOLDER"}
			}
			d, err := pipeline.Draft(cmd.Context(), args, out, o)
			if err != nil {
				return err
			}
			_, err = fmt.Fprint(cmd.OutOrStdout(), draftSummary(d))
			return err
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "folder to write the survey to; new or empty")
	cmd.Flags().StringVar(&o.Checklist, "checklist", "", "checklist of names; makes columns of names easier to recognise")
	cmd.Flags().StringVar(&o.Title, "title", "", "title of the data set")
	return cmd
}

// draftSummary says for each tab how many headings were understood and which
// were not.
func draftSummary(d *pipeline.Drafted) string {
	var b strings.Builder
	for _, s := range d.Sheets {
		var open, unsure []string
		for _, g := range s.Draft.Guesses {
			switch {
			case g.Meaning.Role == record.Unmatched:
				open = append(open, g.Heading)
			case g.Confidence < 0.7:
				unsure = append(unsure, g.Heading)
			}
		}
		fmt.Fprintf(&b, "%s: %d tables, %d rows, %d of %d headings understood\n",
			record.Address{File: s.File, Sheet: s.Tab}, s.Tables, s.Rows, len(s.Draft.Guesses)-len(open), len(s.Draft.Guesses))
		if len(unsure) > 0 {
			fmt.Fprintf(&b, "  unsure: %s\n", strings.Join(unsure, ", "))
		}
		if len(open) > 0 {
			fmt.Fprintf(&b, "  open:   %s\n", strings.Join(open, ", "))
		}
	}
	fmt.Fprintf(&b, "look through %s, then: spadefoot run %s --out DIR\n", d.Folder, d.Folder)
	return b.String()
}
