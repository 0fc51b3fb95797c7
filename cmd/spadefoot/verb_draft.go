package main

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"spadefoot/pipeline"
	"spadefoot/pipeline/draft"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/record"
)

func draftCommand() *cobra.Command {
	var out string
	var o draft.Options
	var ask bool
	cmd := &cobra.Command{
		Use:     "draft SHEET|FOLDER... --out FOLDER",
		Short:   "Propose a survey folder for sheets that nobody has mapped yet",
		Example: examples("spadefoot draft demo/june-2024-reyes.csv --out new-survey", "spadefoot draft demo/marrow-2023.xlsx --out old-years --title \"Marrow Creek\""),
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case len(args) == 0:
				return &pipeline.CallError{Reason: "draft needs at least one sheet; usage: " + cmd.UseLine()}
			case out == "":
				return &pipeline.CallError{Reason: "draft needs a folder to write to: --out FOLDER"}
			}
			if ask {
				if !answers(cmd.InOrStdin()) {
					return &pipeline.CallError{Reason: "draft --ask needs a terminal, and there is none; without --ask the questions are at the top of each mapping"}
				}
				o.Ask = asker(cmd.InOrStdin(), cmd.OutOrStdout())
			}
			d, err := draft.Write(cmd.Context(), args, out, o)
			if err != nil {
				return err
			}
			_, err = fmt.Fprint(cmd.OutOrStdout(), draftSummary(d))
			return err
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "folder to write the survey to: new, empty, or a survey folder to add to")
	cmd.Flags().StringVar(&o.Checklist, "checklist", "", "checklist of names; makes name columns easier to recognise")
	cmd.Flags().StringVar(&o.Title, "title", "", "title of the data set")
	cmd.Flags().BoolVar(&ask, "ask", false, "ask the open questions one by one and write the answers")
	return cmd
}

// answers reports whether somebody can answer: a file that is not a terminal does
// not.
func answers(in io.Reader) bool {
	f, ok := in.(*os.File)
	if !ok {
		return true
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

// asker puts a question with its answers, numbered, and reads a number. An empty
// line leaves things as they are.
func asker(in io.Reader, out io.Writer) func(string, mapping.Question) (int, error) {
	lines := bufio.NewScanner(in)
	last := ""
	return func(where string, q mapping.Question) (int, error) {
		if where != last {
			fmt.Fprintf(out, "%s (an empty line keeps the first answer)\n", where)
			last = where
		}
		fmt.Fprintf(out, "\n%s\n", oneLine(q.Text))
		for i, a := range q.Answers {
			fmt.Fprintf(out, "  %d  %s\n", i+1, oneLine(a.Text))
		}
		for {
			fmt.Fprint(out, "? ")
			if !lines.Scan() {
				return 0, lines.Err()
			}
			text := strings.TrimSpace(lines.Text())
			if text == "" {
				return 0, nil
			}
			if n, err := strconv.Atoi(text); err == nil && n >= 1 && n <= len(q.Answers) {
				return n - 1, nil
			}
			fmt.Fprintf(out, "please enter a number from 1 to %d\n", len(q.Answers))
		}
	}
}

// knownForm says that a sheet has a form that the survey knows, or nearly so.
func knownForm(s draft.Sheet) string {
	where := record.Address{File: s.File, Sheet: s.Tab}
	if len(s.Added)+len(s.Gone) == 0 {
		return fmt.Sprintf("%s: %s, %s, a known form: mapped by %s\n", where, record.Plural(s.Tables, "table"), record.Plural(s.Rows, "row"), s.Mapping)
	}
	text := fmt.Sprintf("%s: %s, %s, a known form that has changed: check %s\n", where, record.Plural(s.Tables, "table"), record.Plural(s.Rows, "row"), s.Mapping)
	if len(s.Added) > 0 {
		text += fmt.Sprintf("  new:  %s\n", strings.Join(s.Added, ", "))
	}
	if len(s.Gone) > 0 {
		text += fmt.Sprintf("  gone: %s\n", strings.Join(s.Gone, ", "))
	}
	return text
}

// questionsShown is how many questions about a sheet the summary tells.
const questionsShown = 6

// draftSummary says for each tab how many headings were understood which
// were not, and what is to be asked.
func draftSummary(d *draft.Drafted) string {
	var b strings.Builder
	for _, p := range d.LeftAlone {
		fmt.Fprintf(&b, "%s: skipped, a file that a program keeps beside the sheets\n", p)
	}
	asked := map[string]bool{} // mappings, of which one may serve several tabs
	for _, s := range d.Sheets {
		if s.Known {
			b.WriteString(knownForm(s))
			continue
		}
		var open, unsure []string
		for _, g := range s.Draft.Guesses {
			switch {
			case g.Meaning.Role == record.Unmatched:
				open = append(open, g.Heading)
			case g.Confidence < 0.7:
				unsure = append(unsure, g.Heading)
			}
		}
		fmt.Fprintf(&b, "%s: %s, %s, %d of %s understood\n",
			oneLine(record.Address{File: s.File, Sheet: s.Tab}), record.Plural(s.Tables, "table"), record.Plural(s.Rows, "row"), len(s.Draft.Guesses)-len(open), record.Plural(len(s.Draft.Guesses), "heading"))
		if len(unsure) > 0 {
			fmt.Fprintf(&b, "  unsure: %s\n", oneLine(strings.Join(unsure, ", ")))
		}
		if len(open) > 0 {
			fmt.Fprintf(&b, "  open:   %s\n", oneLine(strings.Join(open, ", ")))
		}
		if asked[s.Mapping] {
			continue
		}
		asked[s.Mapping] = true
		for i, q := range s.Draft.Questions() {
			if i == questionsShown {
				fmt.Fprintf(&b, "  %s has the other questions\n", s.Mapping)
				break
			}
			fmt.Fprintf(&b, "  %d. %s\n     change in %s: %s\n", i+1, oneLine(q.Text), s.Mapping, oneLine(q.Line))
		}
	}
	fmt.Fprintf(&b, "look through %s, then: spadefoot run %s --out DIR\n", d.Folder, d.Folder)
	return b.String()
}
