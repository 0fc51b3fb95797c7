package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"

	"github.com/spf13/cobra"

	"spadefoot/pipeline"
	"spadefoot/pipeline/config"
	"spadefoot/pipeline/record/budget"
)

// The exit codes; scripts rely on them.
const (
	exitClean    = 0
	exitFindings = 1
	exitCall     = 2
	exitInput    = 3
	exitOutput   = 4
	exitStopped  = 130 // the shell's custom for an interrupt: 128 + SIGINT
)

// errFindings ends a run whose findings reach the failing level.
var errFindings = errors.New("findings at or above the failing level")

// program is the command line: the verbs, and what they share.
func program(stdout, stderr io.Writer) *cobra.Command {
	var memory int64
	root := &cobra.Command{
		Use:               "spadefoot",
		Short:             "From field sheets to a checked Darwin Core archive, with every doubt listed",
		SilenceErrors:     true,
		SilenceUsage:      true,
		Example:           examples("spadefoot run demo --out out", "spadefoot help weighing"),
		PersistentPreRunE: func(*cobra.Command, []string) error { return allow(memory) },
	}
	root.PersistentFlags().Int64Var(&memory, "memory", 0, "memory limit in megabytes; half of the machine's memory if not given")
	root.SetHelpCommand(helpCommand(root))
	root.AddCommand(draftCommand(), runCommand(), checkCommand(), remediesCommand(), observersCommand(), formsCommand(), deskCommand(), proveCommand(), versionCommand())
	root.SetOut(stdout)
	root.SetErr(stderr)
	addCompletion(root)
	root.SetUsageFunc(usage)
	return root
}

// run is the program without the process round it.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	out, errs := harmless(stdout), harmless(stderr)
	defer out.end()
	defer errs.end()
	root := program(out, errs)
	root.SetArgs(args)
	err := stopped(ctx, root.ExecuteContext(ctx))
	if err != nil && !errors.Is(err, errFindings) {
		fmt.Fprintln(errs, "spadefoot: "+strings.ReplaceAll(inWords(err), "\n", "\nspadefoot: "))
	}
	return exitCode(err)
}

func exitCode(err error) int {
	file, ok := errors.AsType[*fs.PathError](err)
	switch {
	case err == nil:
		return exitClean
	case errors.Is(err, errFindings), errors.As(err, new(*pipeline.UndecidedError)):
		return exitFindings
	case errors.Is(err, context.Canceled):
		return exitStopped
	case errors.As(err, new(config.Mistakes)), errors.As(err, new(*pipeline.CallError)):
		return exitCall
	case errors.As(err, new(*pipeline.InputError)), errors.As(err, new(*budget.Exceeded)), errors.As(err, new(*memoryError)):
		return exitInput
	case errors.As(err, new(*pipeline.OutputError)), ok && file.Op == "write": // standard output may be a file
		return exitOutput
	case ok:
		return exitInput
	}
	return exitCall
}

// oneFolder is the argument of the verbs that work on a survey folder.
func oneFolder(cmd *cobra.Command, args []string) error {
	if len(args) != 1 {
		return &pipeline.CallError{Reason: fmt.Sprintf("%s takes one survey folder, found %d arguments; usage: %s", cmd.Name(), len(args), cmd.UseLine())}
	}
	return nil
}
