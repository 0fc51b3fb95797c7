package pipeline

import (
	"context"
	"io/fs"
	"math"
)

// Look walks the stages up to the judgement, writes nothing and withholds
// nothing: what it gives is for the team's own eyes. All captures, findings and
// rows of tables are in the result, so that memory grows with the survey.
func Look(ctx context.Context, folder string, o Options) (_ *Result, err error) {
	o.wholeRows, o.partRows = math.MaxInt, math.MaxInt
	w, err := start(folder, o)
	if err != nil {
		return nil, err
	}
	defer w.close(&err)
	w.sensitive = sensitive{}
	if err := w.walk(ctx, o, judged); err != nil {
		return nil, err
	}
	return w.result(o)
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
