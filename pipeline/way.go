package pipeline

import (
	"context"
	"fmt"
	"slices"

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
		if err := w.enter(ctx, s.name); err != nil {
			return err
		}
		if err := s.do(w); err != nil {
			return err
		}
		w.settle()
	}
	return ctx.Err()
}

// enter begins a stage, unless ctx has ended.
func (w *way) enter(ctx context.Context, stage string) error {
	if err := ctx.Err(); err != nil {
		return fmt.Errorf("stopped before the stage %q: %w", stage, err)
	}
	if w.progress != nil {
		w.progress(stage)
	}
	w.ctx = ctx
	return nil
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

// leaveOut drops findings, settled or not.
func (w *way) leaveOut(drop func(record.Finding) bool) {
	settled := slices.DeleteFunc(slices.Clone(w.findings[:w.settled]), drop)
	rest := slices.DeleteFunc(slices.Clone(w.findings[w.settled:]), drop)
	w.findings, w.settled = append(settled, rest...), len(settled)
}

func (w *way) find(fs ...record.Finding) { w.findings = append(w.findings, fs...) }
