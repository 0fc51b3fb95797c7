package pipeline

import (
	"context"
	"io/fs"
	"math"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
)

// Looked is the survey as Look found it.
type Looked struct {
	*Result
	Proposals *Proposals     // what is to be decided on errors and warnings, behind what has been
	Gathered  *report.Gather // what the page of a report tells: causes and pictures
	Missing   error          // what the description lacks for publishing, of type config.Mistakes; nil for nothing
}

// Look walks the stages up to the judgement, writes nothing and withholds
// nothing: what it gives is for the team's own eyes. All captures, findings and
// rows of tables are in the result, so that memory grows with the survey.
func Look(ctx context.Context, folder string, o Options) (*Looked, error) {
	o.wholeRows, o.partRows, o.proposing = math.MaxInt, math.MaxInt, true
	w, err := start(folder, o)
	if err != nil {
		return nil, err
	}
	w.sensitive = sensitive{}
	looked := &Looked{Missing: w.publishable()}
	if looked.Proposals, err = w.proposals(ctx, o, record.Warning); err != nil {
		return nil, err
	}
	if looked.Result, err = w.result(o); err != nil {
		return nil, err
	}
	looked.Gathered = w.newGather(w.neighbours())
	looked.Gathered.Add(looked.Captures, looked.Findings)
	looked.Gathered.End(nil)
	return looked, nil
}

// insteadOf is a folder in which some files have another text.
type insteadOf struct {
	fs.FS
	texts map[string][]byte
}

// ReadFile implements fs.ReadFileFS.
func (f insteadOf) ReadFile(name string) ([]byte, error) {
	if text, ok := f.texts[name]; ok {
		return text, nil
	}
	return fs.ReadFile(f.FS, name)
}
