package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"spadefoot/pipeline"
	"spadefoot/schemas"
)

// addCompletion adds the verb that writes completions for shells, and the words
// that flags and the help take.
func addCompletion(root *cobra.Command) {
	root.InitDefaultCompletionCmd()
	for _, verb := range root.Commands() {
		if verb.Name() == "completion" {
			verb.Short = "Write completions for bash, zsh, fish or powershell"
			verb.Long = verb.Short + "."
			verb.Example = examples("spadefoot completion bash", "spadefoot completion zsh")
			verb.Args, verb.RunE = cobra.ArbitraryArgs, func(verb *cobra.Command, args []string) error {
				if len(args) == 0 {
					return verb.Help()
				}
				return &pipeline.CallError{Reason: fmt.Sprintf("completion: found %q; allowed: bash, zsh, fish, powershell", args[0])}
			}
		}
		for flag, words := range map[string][]string{
			"fail-on":   {"error", "warning", "note", "never"},
			"format":    {"text", "csv", "json"},
			"undecided": {"leave-out", "keep", "refuse"},
		} {
			if verb.Flags().Lookup(flag) != nil {
				_ = verb.RegisterFlagCompletionFunc(flag, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp)) // it fails only when called twice
			}
		}
	}
}

// helpWords are the topics and rules that begin as was typed.
func helpWords(_ *cobra.Command, _ []string, typed string) ([]string, cobra.ShellCompDirective) {
	var words []string
	all, _ := topics()
	for _, t := range all {
		words = append(words, t.name)
	}
	rules, _ := schemas.Rules()
	for _, r := range rules {
		words = append(words, r.Code)
	}
	var fit []string
	for _, w := range words {
		if strings.HasPrefix(w, typed) {
			fit = append(fit, w)
		}
	}
	return fit, cobra.ShellCompDirectiveNoFileComp
}
