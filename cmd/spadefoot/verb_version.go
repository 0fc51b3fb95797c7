package main

import (
	"fmt"

	"github.com/spf13/cobra"
)

// version of the program; run.json carries it.
const version = "0.1.0"

func versionCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Print the version",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, err := fmt.Fprintln(cmd.OutOrStdout(), "spadefoot", version)
			return err
		},
	}
}
