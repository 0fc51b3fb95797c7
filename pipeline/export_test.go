package pipeline

import (
	"context"

	"spadefoot/pipeline/record"
)

// InParts walks a survey of more than so many rows in parts of so many captures.
func InParts(rows, captures int) Options { return Options{wholeRows: rows, partRows: captures} }

// ToldFrom walks as InParts does, and tells layouts from the first rows alone that
// a survey of one part may have.
func ToldFrom(rows, captures int) Options {
	return Options{wholeRows: rows, partRows: captures, windowRows: rows}
}

// ProposalsOf walks the stages up to the judgement and returns what is to be decided
// on findings of a level and above, as data: nothing is written.
func ProposalsOf(ctx context.Context, folder string, level record.Level, o Options) (*Proposals, error) {
	o.proposing = true
	w, err := start(folder, o)
	if err != nil {
		return nil, err
	}
	return w.proposals(ctx, o, level)
}
