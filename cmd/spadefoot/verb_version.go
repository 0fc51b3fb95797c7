package main

import (
	"fmt"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"
)

// version of the program, for run.json, reports and people: that of the tag in a
// program that was released, set by the linker.
var version = "development"

func versionCommand() *cobra.Command {
	var modules bool
	cmd := &cobra.Command{
		Use:     "version",
		Short:   "Print the version",
		Example: examples("spadefoot version", "spadefoot version --modules"),
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			text := "spadefoot " + version + "\n"
			if modules {
				text += moduleLines()
			}
			_, err := fmt.Fprint(cmd.OutOrStdout(), text)
			return err
		},
	}
	cmd.Flags().BoolVar(&modules, "modules", false, "also print the version of Go and of the modules in the program")
	return cmd
}

// moduleLines returns a line for Go and for each module in the program.
func moduleLines() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return ""
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n", info.GoVersion)
	for _, m := range info.Deps {
		fmt.Fprintf(&b, "%s %s\n", m.Path, m.Version)
	}
	return b.String()
}
