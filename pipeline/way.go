package pipeline

import (
	"context"
	"fmt"

	"spadefoot/pipeline/record"
)

// stage is one step of the way.
type stage struct {
	name string
	do   func(*way) error
}

// judged are the stages up to the judgement: what check needs.
var judged = []stage{
	{"read", (*way).read},
	{"lay out", (*way).layOut},
	{"map", (*way).mapHeadings},
	{"remedy", (*way).remedy},
	{"normalise", (*way).normalise},
	{"weigh", (*way).weigh},
	{"screen", (*way).screen},
	{"infer", (*way).infer},
	{"withhold", (*way).withhold},
}

// published are the stages that make and prove the archive.
var published = []stage{
	{"standardise", (*way).standardise},
	{"prove", (*way).proveAll},
	{"report", (*way).report},
	{"guard", (*way).guard},
}

// walk takes the stages in order and stops between two of them when ctx ends.
func (w *way) walk(ctx context.Context, stages []stage) error {
	for _, s := range stages {
		if err := ctx.Err(); err != nil {
			return errStopped(s.name, err)
		}
		if w.progress != nil {
			w.progress(s.name)
		}
		w.ctx = ctx
		if err := s.do(w); err != nil {
			return err
		}
		w.settle()
	}
	return ctx.Err()
}

func errStopped(stage string, err error) error {
	return fmt.Errorf("stopped before the stage %q: %w", stage, err)
}

// settle gives every new finding its level in this survey and drops those that
// a person answered and those of rules that the survey turned off; the order is
// the outputs'.
func (w *way) settle() {
	kept := w.findings[:w.settled]
	for _, f := range w.decided.outcome.Silence(w.findings[w.settled:]) {
		if level, on := w.survey.Level(f.Rule, f.Level); on {
			f.Level = level
			kept = append(kept, f)
		}
	}
	w.findings = kept
	w.settled = len(kept)
}

func (w *way) find(fs ...record.Finding) { w.findings = append(w.findings, fs...) }
