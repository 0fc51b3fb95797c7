package main

import (
	"context"
	"io"

	"github.com/apache/beam/sdks/v2/go/pkg/beam/core/state"

	"spadefoot/pipeline"
)

// seek gives the captures of a part that are compared with others of their mark.
type seek struct {
	Job   job
	Quiet quiet
}

func (f *seek) ProcessElement(ctx context.Context, _ state.Provider, number int, part []byte, outline, learned, matched, fetched, marks side, emit func([]byte)) error {
	j := &f.Job
	return j.with(func(s *pipeline.Shared) error {
		block, err := s.Seek(j.joined(outline, learned, matched, fetched), j.blocks(marks), number, j.opens(part))
		if err != nil || block == nil {
			return err
		}
		return j.emitFrame(ctx, "sought", emit)(block, nil)
	})
}

// infer judges a screened part further. It gives a verdict on it, what is learnt of it,
// and its marked captures by drawers.
type infer struct {
	Job   job
	Quiet quiet
}

func (f *infer) ProcessElement(ctx context.Context, _ state.Provider, number int, part []byte, outline, learned, matched, fetched, causes, marks, sought side, verdict func(int, []byte), seen func([]byte), links func(int, []byte)) error {
	j := &f.Job
	return j.with(func(s *pipeline.Shared) error {
		inferred, err := s.Infer(j.joined(outline, learned, matched, fetched), j.blocks(causes), j.blocks(marks), j.blocks(sought), j.opens(part))
		if err != nil {
			return err
		}
		for at, block := range inferred.Links {
			if err := j.give(ctx, "marked", block, func(b []byte) { links(at, b) }); err != nil {
				return err
			}
		}
		if err := j.give(ctx, "inferred", inferred.Verdict, giveVerdict(number, verdict)); err != nil {
			return err
		}
		return j.emitFrame(ctx, "seen", seen)(inferred.Seen, nil)
	})
}

// compareSpecies compares a part with the species that were learnt. Where none were its
// verdict stays as it is.
type compareSpecies struct {
	Job   job
	Quiet quiet
}

func (f *compareSpecies) ProcessElement(ctx context.Context, _ state.Provider, number int, blocks, outline, learned, matched, fetched, seen side, emit func(int, []byte)) error {
	j := &f.Job
	part, verdict, _, err := j.ofPart(blocks)
	if err != nil {
		return err
	}
	return j.with(func(s *pipeline.Shared) error {
		said, err := s.Compare(j.joined(outline, learned, matched, fetched), j.blocks(seen), j.opens(verdict), j.opens(part))
		if err == nil && said != nil {
			verdict, err = j.seal(said)
		}
		if err == nil {
			weigh(ctx, "verdicts", verdict)
			giveVerdict(number, emit)(verdict)
		}
		return err
	})
}

// link finds the captures of one mark that follow each other.
type link struct {
	Job   job
	Quiet quiet
}

func (f *link) ProcessElement(ctx context.Context, _ state.Provider, _ int, blocks, outline, learned, matched, fetched side, emit func(int, []byte)) error {
	defer draw()()
	j := &f.Job
	k, all, err := j.drawer(blocks, outline, learned, matched, fetched)
	if err != nil {
		return err
	}
	return j.with(func(s *pipeline.Shared) error {
		links, err := s.Link(k, all)
		if err != nil {
			return err
		}
		for part, block := range links {
			err := j.give(ctx, "links", block, func(b []byte) { emit(part, append([]byte{bodyLinks}, b...)) })
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// conclude judges the survey as a whole, by the verdicts on all parts, of one key. A survey without captures gets a verdict here.
type conclude struct {
	Job   job
	Quiet quiet
}

func (f *conclude) ProcessElement(ctx context.Context, _ state.Provider, _ int, verdicts, outline, learned, matched, fetched, causes, marks, sought, seen side, none func(int, []byte), whole func([]byte)) error {
	j := &f.Job
	k := j.joined(outline, learned, matched, fetched)
	all, err := j.inOrder(verdicts)
	if err != nil {
		return err
	}
	s, err := j.survey()
	if err != nil {
		return err
	}
	if len(all) == 0 {
		block, err := pipeline.NoVerdict()
		if err == nil {
			err = j.give(ctx, "verdicts", block, giveVerdict(0, none))
		}
		if err != nil {
			return err
		}
	}
	var out judged
	err = j.write("findings.csv", func(w io.Writer) (err error) {
		out.Whole, err = s.Conclude(ctx, k, j.blocks(causes), j.blocks(marks), j.blocks(sought), j.blocks(seen), all, w)
		return err
	})
	if err != nil {
		return err
	}
	return j.giveWhole(out, whole)
}
