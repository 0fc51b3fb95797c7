package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"spadefoot/pipeline"
	"spadefoot/schemas"
)

// helpCommand prints a topic, a rule, or the flags of a verb.
func helpCommand(root *cobra.Command) *cobra.Command {
	return &cobra.Command{
		Use:               "help [TOPIC | VERB | RULE]",
		Short:             "Explain a topic, a verb or a finding code",
		Example:           examples("spadefoot help weighing", "spadefoot help tare-missing"),
		ValidArgsFunction: helpWords,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				if err := root.Help(); err != nil {
					return err
				}
				return listTopics(cmd.OutOrStdout())
			}
			return explain(cmd.OutOrStdout(), root, strings.Join(args, " "))
		},
	}
}

// explain writes what is known under a name.
func explain(w io.Writer, root *cobra.Command, name string) error {
	if t, ok := findTopic(name); ok {
		text, err := t.text()
		if err != nil {
			return err
		}
		_, err = io.WriteString(w, text)
		return err
	}
	if i := slices.IndexFunc(root.Commands(), func(c *cobra.Command) bool { return c.Name() == name }); i >= 0 {
		return root.Commands()[i].Help()
	}
	if r, ok := schemas.RuleOf()[name]; ok {
		_, err := io.WriteString(w, ruleText(r))
		return err
	}
	return &pipeline.CallError{Reason: fmt.Sprintf("there is no topic, verb or rule %q; spadefoot help lists the topics, spadefoot help rules the rules", name)}
}

// listTopics writes a line for each topic.
func listTopics(w io.Writer) error {
	topics, err := topics()
	if err != nil {
		return err
	}
	var b strings.Builder
	b.WriteString("\nTopics (spadefoot help TOPIC):\n")
	for _, t := range topics {
		fmt.Fprintf(&b, "  %-14s %s\n", t.name, t.title)
	}
	_, err = io.WriteString(w, b.String())
	return err
}
