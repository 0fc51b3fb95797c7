package main

import (
	"context"
	"reflect"
	"sync"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/register"

	"spadefoot/pipeline"
)

func init() {
	register.DoFn2x0[[]byte, func(int, int)](&listSheets{})
	register.DoFn4x1[context.Context, int, func(*int) bool, func(int, []byte), error](&readSheets{})
	register.DoFn5x1[context.Context, int, func(*[]byte) bool, func(int, []byte), func([]byte), error](&judge{})
	register.DoFn2x2[int, []byte, []byte, error](&needColumns{})
	register.Combiner1[[]byte](&joinColumns{})
	register.DoFn7x1[context.Context, int, func(*[]byte) bool, []byte, []byte, func([]byte), func(string, int), error](&publish{})
	register.Function2x1(sum)
	register.Function3x0(twice)
	register.DoFn3x1[[]byte, func(*[]byte) bool, func(*string) bool, error](&complete{})
	register.Emitter1[[]byte]()
	register.Emitter1[string]()
	register.Emitter2[int, int]()
	register.Emitter2[int, []byte]()
	register.Emitter2[string, int]()
	register.Iter1[int]()
	register.Iter1[[]byte]()
	register.Iter1[string]()
	beam.RegisterType(reflect.TypeFor[job]())
}

// job is what every worker knows of the run.
type job struct {
	Folder   string // of the survey
	Prepared string // folder that the outputs are prepared in
	Shards   int
	Sealed   bool
	KeyFile  string // of the key, where the workers are other processes
}

// flows are the collections between the steps.
type flows struct{ pieces, parts, whole, shards beam.PCollection }

// build lays out the pipeline:
//
//	sheets ─ readSheets ─ pieces ─ judge ─┬─ parts ─ needColumns ─ joinColumns ─┐
//	                       (one key)      ├─ parts by shard ─ publish ◄─────────┤
//	                                      └─ whole ─────────────▲───► complete  │
//	                                publish ─ identifiers ─ sum ─ twice ─▲      │
//
// readSheets, needColumns and publish work on as many machines as there are
// groups of sheets, parts and shards. judge is one step on one machine.
func (j *job) build(s beam.Scope, sheets, bundles int) flows {
	start := beam.Impulse(s)
	groups := beam.GroupByKey(s, beam.ParDo(s, &listSheets{sheets, bundles}, start))
	pieces := beam.ParDo(s, &readSheets{Job: *j}, groups)
	parts, whole := beam.ParDo2(s, &judge{Job: *j}, beam.GroupByKey(s, pieces))
	columns := beam.Combine(s, &joinColumns{}, beam.ParDo(s, &needColumns{Job: *j}, parts))
	shards, identifiers := beam.ParDo2(s, &publish{Job: *j}, beam.GroupByKey(s, parts), beam.SideInput{Input: whole}, beam.SideInput{Input: columns})
	again := beam.ParDo(s, twice, beam.CombinePerKey(s, sum, identifiers))
	beam.ParDo0(s, &complete{Job: *j}, whole, beam.SideInput{Input: shards}, beam.SideInput{Input: again})
	return flows{pieces, parts, whole, shards}
}

// loaded are the surveys that this process has read: one of each folder, for one
// DoFn at a time.
var loaded sync.Map

// survey lends the survey of the job; the second result gives it back.
func (j *job) survey() (*pipeline.Shared, func(), error) {
	value, _ := loaded.LoadOrStore(j.Folder+"\x00"+j.Prepared, &sync.Pool{})
	pool := value.(*sync.Pool)
	s, ok := pool.Get().(*pipeline.Shared)
	if !ok {
		var err error
		if s, err = pipeline.Share(j.Folder, pipeline.Options{}); err != nil {
			return nil, nil, err
		}
	}
	return s, func() { pool.Put(s) }, nil
}

// listSheets hands out the numbers of the sheets in groups.
type listSheets struct{ Sheets, Groups int }

func (f *listSheets) ProcessElement(_ []byte, emit func(group, sheet int)) {
	for i := range f.Sheets {
		emit(i%f.Groups, i)
	}
}

// readSheets takes the sheets of a group to pieces. All go to one key, since
// they are judged in their order.
type readSheets struct{ Job job }

func (f *readSheets) ProcessElement(ctx context.Context, _ int, sheets func(*int) bool, emit func(int, []byte)) error {
	s, back, err := f.Job.survey()
	if err != nil {
		return err
	}
	defer back()
	var sheet int
	for sheets(&sheet) {
		err := s.Read(ctx, sheet, func(p pipeline.Piece) error {
			block, err := f.Job.packPiece(p)
			if err == nil {
				emit(0, block)
			}
			return err
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// needColumns gathers the columns that a part needs.
type needColumns struct{ Job job }

func (f *needColumns) ProcessElement(_ int, block []byte) ([]byte, error) {
	p, err := f.Job.unpackPart(block)
	if err != nil {
		return nil, err
	}
	s, back, err := f.Job.survey()
	if err != nil {
		return nil, err
	}
	defer back()
	return s.Columns(p)
}

// joinColumns joins the columns of all parts.
type joinColumns struct{}

func (joinColumns) MergeAccumulators(a, b []byte) ([]byte, error) { return pipeline.JoinColumns(a, b) }

func sum(a, b int) int { return a + b }

// twice lets identifiers through that more than one occurrence has.
func twice(id string, n int, emit func(string)) {
	if n > 1 {
		emit(id)
	}
}
