package main

import (
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"golang.org/x/term"

	"spadefoot/pipeline"
)

// shared are the flags that run and check have in common.
type shared struct {
	failOn string
	quiet  bool

	progress *progress // nil for quiet
}

func (s *shared) add(cmd *cobra.Command) {
	cmd.Flags().StringVar(&s.failOn, "fail-on", "", "exit with 1 if any finding is at this level or above: error, warning, note or never")
	cmd.Flags().String("dataset-id", "", "identifier of the data set; overrides dataset.id in survey.yaml")
	cmd.Flags().String("published", "", "date of publication (ISO 8601); overrides dataset.published")
	cmd.Flags().BoolVar(&s.quiet, "quiet", false, "no progress on standard error")
}

// options binds the flags to keys of survey.yaml.
func (s *shared) options(cmd *cobra.Command) pipeline.Options {
	o := pipeline.Options{Version: version, Flags: map[string]*pflag.Flag{
		"failOn":            cmd.Flags().Lookup("fail-on"),
		"dataset.id":        cmd.Flags().Lookup("dataset-id"),
		"dataset.published": cmd.Flags().Lookup("published"),
	}}
	if f, ok := fileOf(cmd.ErrOrStderr()); ok && !s.quiet && term.IsTerminal(int(f.Fd())) {
		s.progress = &progress{out: f, now: time.Now}
		o.Progress, o.Parts = s.progress.enter, s.progress.part
	}
	return o
}

// done leaves the line of progress, wherever the work ended.
func (s *shared) done() {
	if s.progress != nil {
		s.progress.end()
	}
}
