package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/gob"
	"io"
	"maps"
	"slices"
	"sync"

	"github.com/apache/beam/sdks/v2/go/pkg/beam/core/state"

	"spadefoot/pipeline"
)

// judge is the one step in order, for surveys that need one: all screened parts, of one
// key, to what is said of each.
type judge struct {
	Job   job
	Quiet quiet
}

// judged is what is said of all captures, on its way.
type judged struct{ Whole *pipeline.Whole }

func (f *judge) ProcessElement(ctx context.Context, _ state.Provider, _ int, screened, outline, learned, matched, fetched, causes, marks side, verdict func(int, []byte), whole func([]byte)) error {
	k := f.Job.joined(outline, learned, matched, fetched)
	s, err := f.Job.survey()
	if err != nil {
		return err
	}
	parts, err := f.Job.inOrder(screened)
	if err != nil {
		return err
	}
	var out judged
	err = f.Job.write("findings.csv", func(w io.Writer) error {
		var err error
		out.Whole, err = s.Judge(ctx, k, f.Job.blocks(causes), f.Job.blocks(marks), parts, w, func(part int, said []byte) error {
			return f.Job.give(ctx, "verdicts", said, giveVerdict(part, verdict))
		})
		return err
	})
	if err != nil {
		return err
	}
	return f.Job.giveWhole(out, whole)
}

func (j *job) giveWhole(out judged, emit func([]byte)) error {
	var text bytes.Buffer
	if err := gob.NewEncoder(&text).Encode(out); err != nil {
		return err
	}
	block, err := j.seal(text.Bytes())
	if err == nil {
		emit(block)
	}
	return err
}

// judgedOnce reads what is said of all captures once for this process.
func (j *job) judgedOnce(block []byte) (*judged, error) {
	load, _ := j.process().judged.LoadOrStore(string(block), sync.OnceValues(func() (*judged, error) { return j.openJudged(block) }))
	return load.(func() (*judged, error))()
}

func (j *job) openJudged(block []byte) (*judged, error) {
	text, err := j.unseal(block)
	if err != nil {
		return nil, err
	}
	out := new(judged)
	return out, gob.NewDecoder(bytes.NewReader(text)).Decode(out)
}

// begin lets the one step begin even where nothing else comes.
func begin(_ []byte, emit func(int, []byte)) { emit(0, nil) }

// inOne gives all parts one key, with their numbers before them.
func inOne(number int, block []byte) (int, []byte) {
	return 0, append(binary.BigEndian.AppendUint32(nil, uint32(number)), block...)
}

// inOrder opens what inOne gave one key, in the order of the parts. One that came
// twice, from a bundle that the runner tried again, counts once.
func (j *job) inOrder(blocks side) (out []func() ([]byte, error), err error) {
	parts := map[uint32][]byte{}
	for block := []byte(nil); blocks(&block); {
		if len(block) > 4 {
			parts[binary.BigEndian.Uint32(block)] = bytes.Clone(block[4:])
		}
	}
	for _, number := range slices.Sorted(maps.Keys(parts)) {
		out = append(out, j.opens(bytes.TrimPrefix(parts[number], []byte{bodyVerdict})))
	}
	return out, nil
}

// ofPart are the blocks of one part: screened, its verdict, links.
func (j *job) ofPart(blocks side) (screened, verdict []byte, links [][]byte, err error) {
	for block := []byte(nil); blocks(&block); {
		switch own := slices.Clone(block); {
		case len(own) == 0:
			return nil, nil, nil, errBlock
		case own[0] == bodyVerdict:
			verdict = own[1:]
		case own[0] == bodyLinks:
			text, err := j.unseal(own[1:])
			if err != nil {
				return nil, nil, nil, err
			}
			links = append(links, text)
		default:
			screened = own
		}
	}
	return screened, verdict, links, nil
}

// giveVerdict emits a verdict that is sealed, or was.
func giveVerdict(part int, verdict func(int, []byte)) func([]byte) {
	return func(b []byte) { verdict(part, append([]byte{bodyVerdict}, b...)) }
}

// finish makes a screened part captures as they are published, by shard, and says
// which columns they need.
type finish struct {
	Job   job
	Quiet quiet
}

func (f *finish) ProcessElement(ctx context.Context, _ state.Provider, _ int, blocks, outline, learned, matched, fetched side, whole []byte, emit func(int, []byte), columns func([]byte)) error {
	j := &f.Job
	known, err := j.judgedOnce(slices.Clone(whole))
	if err != nil {
		return err
	}
	part, verdict, links, err := j.ofPart(blocks)
	if err != nil {
		return err
	}
	said, err := j.unseal(verdict)
	if err != nil {
		return err
	}
	return j.with(func(s *pipeline.Shared) error {
		return s.Finish(j.joined(outline, learned, matched, fetched), known.Whole, said, links, j.opens(part), j.Shards, func(p pipeline.Part) error {
			block, err := j.packPart(p)
			if err == nil {
				weigh(ctx, "judged", block)
				emit(p.Shard, block)
				err = j.emitFrame(ctx, "columns", columns)(p.Columns, nil)
			}
			return err
		})
	})
}
