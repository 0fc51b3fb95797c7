package pipeline

import (
	"context"
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
