package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// usage writes what --help says below the description of a verb: the form, the
// examples, the verbs below it and the flags, at most 80 columns wide.
func usage(cmd *cobra.Command) error {
	var b strings.Builder
	fmt.Fprintf(&b, "Usage:\n  %s\n", cmd.UseLine())
	if cmd.Example != "" {
		fmt.Fprintf(&b, "\nExamples:\n%s\n", cmd.Example)
	}
	if cmd.HasAvailableSubCommands() {
		b.WriteString("\nVerbs:\n")
		for _, c := range cmd.Commands() {
			if c.IsAvailableCommand() || c.Name() == "help" {
				fmt.Fprintf(&b, "  %-11s %s\n", c.Name(), c.Short)
			}
		}
	}
	b.WriteString("\nFlags:\n")
	for _, flags := range []*pflag.FlagSet{cmd.LocalFlags(), cmd.InheritedFlags()} {
		flags.VisitAll(func(f *pflag.Flag) { writeFlag(&b, f) })
	}
	_, err := fmt.Fprint(cmd.OutOrStdout(), b.String())
	return err
}

// writeFlag writes a flag with what it takes, and below it what it is for.
func writeFlag(b *strings.Builder, f *pflag.Flag) {
	if f.Hidden {
		return
	}
	_, text := pflag.UnquoteUsage(f)
	name := "--" + f.Name
	if f.Shorthand != "" {
		name = "-" + f.Shorthand + ", " + name
	}
	if f.Value.Type() != "bool" {
		takes := "TEXT"
		if strings.HasPrefix(f.Value.Type(), "int") {
			takes = "NUMBER"
		}
		name += " " + takes
		if f.DefValue != "" && f.DefValue != "[]" && f.DefValue != "0" {
			text += " (" + f.DefValue + " if not given)"
		}
	}
	fmt.Fprintf(b, "  %s\n", name)
	writeWrapped(b, text, "      ")
}

// examples are the lines of a verb's examples.
func examples(lines ...string) string { return "  " + strings.Join(lines, "\n  ") }
