// Package pipeline takes what a field team wrote to what the world can use. This
// file lists the stages, in the order in which a run goes through them. What a
// walk holds is in walk.go; each of the other files carries out a stage, or a
// verb that goes through some of them.
//
//	read         read.go      files to sheets (pipeline/sheet), sheets to tables (layout),
//	                          headings to meaning (mapping), decisions (remedy), cells to
//	                          values (normalise)
//	             gather.go    gross and tare to net (weigh), and what is learnt of all captures
//	screen       judge.go     values against their group (screen)
//	infer        judge.go     sex, species, condition (infer)
//	withhold     withhold.go  places of sensitive taxa (withhold)
//	standardise  publish.go   captures to Darwin Core rows (darwincore), results (season)
//	prove        prove.go     files against the published standards (prove)
//	report       report.go    findings for people and machines (report)
//	guard        withhold.go  every file against the places that are withheld
//
// A stage gets what the stages before it made and never reaches back. This
// package knows the survey folder and the output folder; the rooms know neither.
package pipeline

import (
	"context"
	"fmt"
	"math"
	"os"
	"slices"
	"time"

	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/mapping/known"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/prove/quality/boundary"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/survey/size"
)

// judged are the stages that check goes through.
var judged = []stage{
	{"read", (*walk).read},         // sheets to parts of weighed captures
	{"screen", (*walk).screen},     // each part against the survey; what infer and the quality tests learn
	{"infer", (*walk).infer},       // species, condition, and the findings on the whole survey
	{"withhold", (*walk).withhold}, // from here on no place of a sensitive taxon is known
}

// published are the stages that follow in a run: they make the archive, the
// results and the report, and prove them.
var published = []stage{
	{"standardise", (*walk).standardise},
	{"prove", (*walk).proveAll},
	{"report", (*walk).report},
	{"guard", (*walk).guard},
}

// Check walks the stages up to the judgement and writes nothing.
func Check(ctx context.Context, folder string, o Options) (_ *Result, err error) {
	w, err := start(folder, o)
	if err != nil {
		return nil, err
	}
	defer w.close(&err)
	w.temp = os.TempDir() // a walk in parts leaves nothing there
	if err := w.walk(ctx, o, append(judged[:len(judged):len(judged)], stage{"guard", (*walk).guardDescription})); err != nil {
		return nil, err
	}
	return w.result(o)
}

// Run walks all stages and writes below out, all or nothing: the files are
// prepared and proved in their own folder and moved into place together.
func Run(ctx context.Context, folder, out string, o Options) (_ *Result, err error) {
	w, err := start(folder, o)
	if err != nil {
		return nil, err
	}
	if err := apart(out, folder); err != nil {
		return nil, err
	}
	if err := w.publishable(); err != nil {
		return nil, err
	}
	if w.exact, err = w.askExact(o.ExactPlaces, out); err != nil {
		return nil, err
	}
	defer w.exact.Discard()
	place, err := output.Prepare(out)
	if err != nil {
		return nil, err
	}
	defer place.Discard(&err)
	defer w.close(&err)
	place.Ours = ours
	w.out, w.temp, w.keep = place.Partial, place.Temp, place.Keep
	if err := w.walk(ctx, o, slices.Concat(judged, published)); err != nil {
		return nil, err
	}
	if err := w.unchanged(); err != nil {
		return nil, err
	}
	if err := w.spareOutputs(out); err != nil {
		return nil, err
	}
	if err := place.Commit(w.written, outlived(out, w.written)...); err != nil {
		return nil, err
	}
	if err := w.exact.Commit(); err != nil {
		return nil, err
	}
	return w.result(o)
}

// apart refuses an output folder in the survey folder: what a run writes would
// are among what the next one reads.
func apart(out, folder string) error {
	inside, err := output.Within(out, folder)
	if err == nil && inside {
		return &CallError{Reason: fmt.Sprintf("--out: %s is in the survey folder %s, where outputs would be read as sheets; give a folder beside it", out, folder)}
	}
	return nil // what cannot be found out here comes out when the folder is prepared
}

// stage is one step of the way.
type stage struct {
	name string
	do   func(*walk) error
}

// walk takes the stages in order. Where rows further down are not as the first
// ones said, all of them together say more, if they can be held.
func (w *walk) walk(ctx context.Context, o Options, stages []stage) error {
	if code := w.survey.Dataset.CountryCode; code != "" {
		go boundary.Known(code) // unpacks the borders, which screening asks for
	}
	go layout.Prepare()
	if err := w.settleSize(o); err != nil {
		return err
	}
	err := w.take(ctx, stages)
	if !layoutChanged(err) {
		return err
	}
	if n, counted := size.Rows(w.survey, w.inputs.Path, maxHeld); counted != nil || n > maxHeld {
		return err
	}
	w.close(&err)
	again, failed := start(w.folder, o)
	if failed != nil {
		return failed
	}
	again.proposal = w.proposal
	again.out, again.temp, again.keep, again.exact, again.held = w.out, w.temp, w.keep, w.exact, true
	if again.inspecting = w.inspecting; again.inspecting {
		again.sensitive = sensitive{}
	}
	again.partRows = math.MaxInt
	*w = *again
	return w.take(ctx, stages)
}

// take takes the stages in order and stops between two of them, or between two
// parts, when ctx ends.
func (w *walk) take(ctx context.Context, stages []stage) error {
	if err := w.open(); err != nil {
		return w.blame(err)
	}
	return w.along(ctx, stages)
}

// along takes the stages of a walk that is open.
func (w *walk) along(ctx context.Context, stages []stage) error {
	for _, s := range stages {
		if err := w.enter(ctx, s.name); err != nil {
			return err
		}
		switch err := s.do(w); {
		case err != nil && ctx.Err() != nil:
			return fmt.Errorf("stopped in the stage %q: %w", s.name, ctx.Err())
		case err != nil:
			return w.blame(err)
		}
	}
	if err := w.count(); err != nil {
		return w.blame(err)
	}
	return ctx.Err()
}

// enter begins a stage, unless ctx has ended.
func (w *walk) enter(ctx context.Context, stage string) error {
	if err := ctx.Err(); err != nil {
		return fmt.Errorf("stopped before the stage %q: %w", stage, err)
	}
	if w.progress != nil {
		w.progress(stage)
	}
	w.ctx = ctx
	return nil
}

func start(folder string, o Options) (*walk, error) {
	info, err := os.Stat(folder)
	switch {
	case err != nil:
		return nil, &CallError{Reason: folder + " does not exist; give the path of a survey folder"}
	case !info.IsDir():
		return nil, &CallError{Reason: folder + " is a file; give the folder that holds survey.yaml"}
	}
	w := &walk{folder: folder, files: output.Files(folder), inputs: output.NewInputs(folder), progress: o.Progress, parted: o.Parts, version: o.Version, proposing: o.proposing, seasonal: &seasonal{}}
	if o.Instead != nil {
		w.files = insteadOf{w.files, o.Instead}
	}
	w.survey, err = survey.Load(w.files, o.Flags, known.Words())
	if err != nil {
		return nil, err
	}
	if err := w.spareInputs(o); err != nil {
		return nil, err
	}
	w.today, _ = time.Parse(time.DateOnly, w.survey.Dataset.Published) // no full date: nothing counts as the future
	if err := w.loadTables(); err != nil {
		return nil, err
	}
	if err := w.loadDecisions(); err != nil {
		return nil, err
	}
	return w, nil
}
