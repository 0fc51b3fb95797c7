package main

import (
	"context"
	"encoding/binary"
	"hash/maphash"
	"iter"
	"reflect"
	"slices"
	"strings"
	"sync"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/core/state"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/register"

	"spadefoot/pipeline"
)

func init() {
	for _, step := range []any{&listSheets{}, &readSheets{}, &readHeading{}, &placePiece{}, &gather{}, &match{}, &countMarks{}, &learnMarks{}, &followMarks{}, &sendMarks{},
		&fetch{}, &screen{}, &relearn{}, &rescreen{}, &seek{}, &infer{}, &compareSpecies{}, &link{}, begin, inOne, &conclude{}, &judge{}, &finish{}, &publish{}, &twice{}, &complete{}} {
		beam.RegisterDoFn(step) // they are called by reflection: a block is much work, and calls made for each form take minutes to compile
	}
	register.Combiner1[[]byte](&joinBlocks{})
	register.Combiner1[[]byte](&join{})
	register.Emitter1[[]byte]()
	register.Emitter1[string]()
	register.Emitter2[int, int]()
	register.Emitter2[int, []byte]()
	register.Iter1[int]()
	register.Iter1[[]byte]()
	register.Iter1[string]()
	beam.RegisterType(reflect.TypeFor[job]())
}

// job is what every worker knows of the run.
type job struct {
	Folder   string // of the survey
	Prepared string // folder that the outputs are prepared in
	Between  string // folder of what goes between the steps and is large
	Shards   int
	Preview  []byte // of the sheets: checks of scales, cells of remedies
	InOrder  bool   // one machine judges all parts
	Sealed   bool
	KeyFile  string // of the key, where the workers are other processes
}

// flows are the collections between the steps.
type flows struct {
	pieces, outline, parts, edges, learned, drawers, matched, fetched, screened, causes, counts, signs, followed, marks, verdicts, judged, whole, shards, identifiers beam.PCollection
}

// build lays out the pipeline; DEVELOPERS.md has the drawing.
func (j *job) build(s beam.Scope, sheets, bundles int) (f flows) {
	start := beam.Impulse(s)
	with := func(sides ...beam.PCollection) (out []beam.Option) {
		for _, side := range sides {
			out = append(out, beam.SideInput{Input: side})
		}
		return out
	}
	f.pieces = beam.ParDo(s, &readSheets{Job: *j}, beam.GroupByKey(s, beam.ParDo(s, &listSheets{sheets, bundles}, start)))
	f.outline = beam.Combine(s, &joinBlocks{*j}, beam.ParDo(s, &readHeading{Job: *j}, f.pieces))
	placed := beam.GroupByKey(s, beam.ParDo(s, &placePiece{Job: *j}, f.pieces, with(f.outline)...))
	parts, edges, learned, drawers := beam.ParDo4(s, &gather{Job: *j}, placed, with(f.outline)...)
	f.parts, f.edges, f.learned, f.drawers = parts, edges, beam.Combine(s, &join{*j, ofLearned}, learned), drawers
	drawn := beam.GroupByKey(s, drawers)
	f.matched = beam.Combine(s, &joinBlocks{*j}, beam.ParDo(s, &match{Job: *j}, drawn, with(f.outline)...))
	f.counts = beam.Combine(s, &joinBlocks{*j}, beam.ParDo(s, &countMarks{Job: *j}, drawn, with(f.outline)...))
	f.signs = beam.Combine(s, &joinBlocks{*j}, beam.ParDo(s, &learnMarks{Job: *j}, drawn, with(f.outline, f.counts)...))
	f.fetched = beam.Combine(s, &joinBlocks{*j}, beam.ParDo(s, &fetch{Job: *j}, parts, with(f.outline, f.learned, f.matched)...))
	known := with(f.outline, f.learned, f.matched, f.fetched)
	screened, some := beam.ParDo2(s, &screen{Job: *j}, beam.GroupByKey(s, beam.Flatten(s, parts, edges)), known...)
	f.causes = beam.Combine(s, &join{*j, ofCauses}, some)
	for range pipeline.Rounds {
		more := beam.ParDo(s, &relearn{Job: *j}, screened, slices.Concat(known, with(f.causes))...)
		f.causes = beam.Combine(s, &join{*j, ofCauses}, beam.Flatten(s, f.causes, more))
	}
	f.screened = beam.ParDo(s, &rescreen{Job: *j}, screened, append(known, with(f.causes)...)...)
	f.followed = beam.Combine(s, &joinBlocks{*j}, beam.ParDo(s, &followMarks{Job: *j}, drawn, append(known, with(f.causes, f.counts, f.signs)...)...))
	f.marks = beam.ParDo(s, &sendMarks{Job: *j}, start, with(f.counts, f.signs, f.followed)...)
	caused, begun := slices.Concat(known, with(f.causes, f.marks)), beam.ParDo(s, begin, start)
	said := []beam.PCollection{f.screened}
	if j.InOrder {
		all := beam.GroupByKey(s, beam.Flatten(s, beam.ParDo(s, inOne, f.screened), begun))
		f.verdicts, f.whole = beam.ParDo2(s, &judge{Job: *j}, all, caused...)
	} else {
		sought := beam.Combine(s, &joinBlocks{*j}, beam.ParDo(s, &seek{Job: *j}, f.screened, append(known, with(f.marks)...)...))
		inferred, seen, links := beam.ParDo3(s, &infer{Job: *j}, f.screened, slices.Concat(caused, with(sought))...)
		seen = beam.Combine(s, &join{*j, ofSeen}, seen)
		f.verdicts = beam.ParDo(s, &compareSpecies{Job: *j}, beam.GroupByKey(s, beam.Flatten(s, f.screened, inferred)), append(known, with(seen)...)...)
		linked := beam.ParDo(s, &link{Job: *j}, beam.GroupByKey(s, links), known...)
		all := beam.GroupByKey(s, beam.Flatten(s, beam.ParDo(s, inOne, f.verdicts), begun))
		none, whole := beam.ParDo2(s, &conclude{Job: *j}, all, slices.Concat(caused, with(sought, seen))...)
		f.whole, said = whole, append(said, linked, none)
	}
	judged, needed := beam.ParDo2(s, &finish{Job: *j}, beam.GroupByKey(s, beam.Flatten(s, append(said, f.verdicts)...)), append(known, with(f.whole)...)...)
	f.judged = judged
	columns := beam.Combine(s, &join{*j, ofColumns}, needed)
	shards, identifiers := beam.ParDo2(s, &publish{Job: *j}, beam.GroupByKey(s, f.judged), with(f.whole, columns)...)
	again := beam.ParDo(s, &twice{Job: *j}, beam.GroupByKey(s, identifiers))
	f.shards, f.identifiers = shards, identifiers
	beam.ParDo0(s, &complete{Job: *j}, f.whole, with(shards, again)...)
	return f
}

// quiet is a state of keys that a step declares and never uses. While a bundle of a
// step with side inputs is at work, Prism asks in a closed loop whether there is more
// to do for it (v2.77.0, buildEventTimeBundle of ordinary stages in
// internal/engine/elementmanager.go), which takes one processor all the time; of a
// step with state it knows.
type quiet = state.Value[bool]

// side is a side input of one block or none.
type side = func(*[]byte) bool

// blockOf is the block of a side input; nil for none.
func blockOf(s side) []byte {
	var block []byte
	s(&block)
	return block
}

// joined is what is known so far: outline, learned, matched and fetched, as many of
// them as there are.
func (j *job) joined(sides ...side) (k pipeline.Joined) {
	for i, s := range sides {
		*[]*pipeline.Blocks{&k.Outline, &k.Learned, &k.Matched, &k.Fetched}[i] = j.blocks(s)
	}
	return k
}

// blocks are those of a side input, which are read when they are asked for.
func (j *job) blocks(s side) pipeline.Blocks {
	all := slices.Clone(blockOf(s))
	return pipeline.Blocks{Key: maphash.Bytes(seed, all), All: j.framed(all)}
}

var seed = maphash.MakeSeed()

// frame seals a block so that several can stand in one.
func (j *job) frame(block []byte) ([]byte, error) {
	block, err := j.seal(block)
	return frame(block), err
}

func frame(sealed []byte) []byte {
	return append(binary.AppendUvarint(nil, uint64(len(sealed))), sealed...)
}

// frames is the number of blocks that stand in one.
func frames(block []byte) (n int) {
	for ; len(block) > 0; n++ {
		size, k := binary.Uvarint(block)
		if k <= 0 || size > uint64(len(block)-k) {
			return joinAt // the reader says what is wrong
		}
		block = block[k+int(size):]
	}
	return n
}

// framed are the blocks that stand in one, opened one after the other.
func (j *job) framed(all []byte) iter.Seq2[[]byte, error] {
	return func(yield func([]byte, error) bool) {
		for block := all; len(block) > 0; {
			size, n := binary.Uvarint(block)
			if n <= 0 || size > uint64(len(block)-n) {
				yield(nil, errBlock)
				return
			}
			body := block[n : n+int(size)]
			block = block[n+int(size):]
			if len(body) > 0 && body[0] == bodyList {
				list, err := j.fetched(append([]byte{bodyFile}, body[1:]...))
				if err != nil {
					yield(nil, err)
					return
				}
				block = append(list, block...)
				continue
			}
			if one, err := j.unseal(body); !yield(one, err) || err != nil {
				return
			}
		}
	}
}

// together are the blocks that stand in one, for those that are needed together.
func (j *job) together(block []byte) (out [][]byte, err error) {
	for one, err := range j.framed(block) {
		if err != nil {
			return nil, err
		}
		out = append(out, one)
	}
	return out, nil
}

// joinBlocks puts framed blocks into one.
type joinBlocks struct{ Job job }

func (*joinBlocks) MergeAccumulators(a, b []byte) []byte { return append(a[:len(a):len(a)], b...) }

// ExtractOutput puts a long list of blocks into a file: as a side input it is read for
// each element of the steps that take it.
func (f *joinBlocks) ExtractOutput(all []byte) ([]byte, error) {
	if len(all) <= inElement {
		return all, nil
	}
	body, err := f.Job.put(all)
	if err != nil {
		return nil, err
	}
	return frame(append([]byte{bodyList}, body[1:]...)), nil
}

// join joins what was said of parts, of one kind. What is said of a few of them waits
// as it came, so that the whole is not read and written again for each.
type join struct {
	Job job
	Of  kind
}

// kind is what is joined.
type kind int

const (
	ofLearned kind = iota
	ofCauses
	ofSeen
	ofColumns
)

// joinAt is the number of blocks that are joined at once.
const joinAt = 128

// MergeAccumulators puts framed blocks beside each other, and joins them when there
// are many.
func (f *join) MergeAccumulators(a, b []byte) ([]byte, error) {
	all := (*joinBlocks)(nil).MergeAccumulators(a, b)
	if frames(all) < joinAt {
		return all, nil
	}
	return f.ExtractOutput(all)
}

// ExtractOutput joins framed blocks to one. What is one already stays as it is, so
// that what is known by it is not worked out again.
func (f *join) ExtractOutput(all []byte) ([]byte, error) {
	if frames(all) == 1 {
		return all, nil
	}
	block, err := [...]func(iter.Seq2[[]byte, error]) ([]byte, error){pipeline.JoinLearned, pipeline.JoinCauses, pipeline.JoinSeen, pipeline.JoinColumns}[f.Of](f.Job.framed(all))
	if err != nil {
		return nil, err
	}
	return f.Job.frame(block)
}

// loaded are the jobs that this process works on, by their names.
var loaded sync.Map

// process is what a process keeps of a job: each is read once.
type process struct {
	survey func() (*pipeline.Shared, error)
	judged sync.Map // what is said of all captures, by its block
}

func (j *job) process() *process {
	p, _ := loaded.LoadOrStore(j.name(), &process{survey: sync.OnceValues(j.share)})
	return p.(*process)
}

func (j *job) survey() (*pipeline.Shared, error) { return j.process().survey() }

// name tells a job from others of this process.
func (j *job) name() string { return j.Folder + "\x00" + j.Prepared }

// describe gives workers what they must know of the survey before they read it.
func (j *job) describe(s *pipeline.Shared) error {
	j.InOrder = s.InOrder()
	preview, err := s.Preview()
	if err == nil {
		j.Preview, err = j.seal(preview)
	}
	return err
}

func (j *job) share() (*pipeline.Shared, error) {
	preview, err := j.unseal(j.Preview)
	if err != nil {
		return nil, err
	}
	return pipeline.ShareWith(j.Folder, pipeline.Options{}, preview)
}

// with hands the survey over for a piece of work.
func (j *job) with(work func(s *pipeline.Shared) error) error {
	s, err := j.survey()
	if err != nil {
		return err
	}
	return work(s)
}

// listSheets hands out the numbers of the sheets in groups.
type listSheets struct{ Sheets, Groups int }

func (f *listSheets) ProcessElement(_ []byte, emit func(group, sheet int)) {
	for i := range f.Sheets {
		emit(i%f.Groups, i)
	}
}

// readSheets takes the sheets of a group to pieces, which go by the number of the sheet.
type readSheets struct{ Job job }

func (f *readSheets) ProcessElement(ctx context.Context, _ int, sheets func(*int) bool, emit func(int, []byte)) error {
	return f.Job.with(func(s *pipeline.Shared) error {
		var sheet int
		for sheets(&sheet) {
			err := s.Read(ctx, sheet, func(p pipeline.Piece) error {
				block, err := f.Job.packPiece(p)
				if err == nil {
					weigh(ctx, "pieces", block)
					emit(sheet, block)
				}
				return err
			})
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// readHeading gives what the outline knows of a piece.
type readHeading struct{ Job job }

func (f *readHeading) ProcessElement(ctx context.Context, _ int, block []byte) (_ []byte, err error) {
	p, err := f.Job.unpackPiece(block)
	if err != nil {
		return nil, err
	}
	heading, err := p.Heading()
	if err != nil {
		return nil, err
	}
	if block, err = f.Job.frame(heading); err == nil {
		weigh(ctx, "headings", block)
	}
	return block, err
}

// placePiece sends a piece to its part.
type placePiece struct {
	Job   job
	Quiet quiet
}

func (f *placePiece) ProcessElement(ctx context.Context, _ state.Provider, _ int, block []byte, outline side, emit func(int, []byte)) error {
	k := f.Job.joined(outline)
	head, _, err := openPiece(block)
	if err != nil {
		return err
	}
	return f.Job.with(func(s *pipeline.Shared) error {
		part, counts, err := s.PartOf(k, pipeline.Piece{Sheet: int(head.Sheet), Attempt: int(head.Attempt), Number: int(head.Number)})
		if err == nil && counts {
			weigh(ctx, "placed pieces", block)
			emit(part, block)
		}
		return err
	})
}

// gather puts a part together and learns of it.
type gather struct {
	Job   job
	Quiet quiet
}

func (f *gather) ProcessElement(ctx context.Context, _ state.Provider, part int, pieces, outline side, emit, edge func(int, []byte), learned func([]byte), drawer func(int, []byte)) error {
	j := &f.Job
	k := j.joined(outline)
	var all []pipeline.Piece
	var block []byte
	for pieces(&block) {
		p, err := j.unpackPiece(block)
		if err != nil {
			return err
		}
		all = append(all, p)
	}
	return j.with(func(s *pipeline.Shared) error {
		g, err := s.Gather(k, part, all)
		if err != nil {
			return err
		}
		for at, block := range g.Drawers {
			if err := j.give(ctx, "drawers", block, func(b []byte) { drawer(at, b) }); err != nil {
				return err
			}
		}
		if err := j.give(ctx, "parts", g.Part, func(b []byte) { emit(part, b) }); err != nil {
			return err
		}
		for to, block := range g.Edges {
			if err := j.give(ctx, "next to parts", block, func(b []byte) { edge(to, b) }); err != nil {
				return err
			}
		}
		return j.emitFrame(ctx, "learned", learned)(g.Learned, nil)
	})
}

// weigh counts the bytes of a block that goes to another step.
func weigh(ctx context.Context, what string, block []byte) {
	beam.NewDistribution(betweenSteps, what).Update(ctx, int64(len(block)))
}

// betweenSteps is what the bytes are counted under.
const betweenSteps = "between steps"

// give seals a block and emits it.
func (j *job) give(ctx context.Context, what string, block []byte, emit func([]byte)) error {
	block, err := j.seal(block)
	if err == nil {
		weigh(ctx, what, block)
		emit(block)
	}
	return err
}

// match finds what the captures of a drawer have in common.
type match struct {
	Job   job
	Quiet quiet
}

func (f *match) ProcessElement(ctx context.Context, _ state.Provider, _ int, blocks, outline side, emit func([]byte)) error {
	return f.Job.onDrawer(ctx, "matched", blocks, outline, emit, (*pipeline.Shared).Match)
}

// drawing bounds the drawers that a process has open at once: each holds what a million
// captures put there.
var drawing = make(chan struct{}, 2)

// draw waits until a drawer may be opened, and returns what closes it.
func draw() (shut func()) {
	drawing <- struct{}{}
	return func() { <-drawing }
}

// onDrawer does a piece of work on a drawer and emits what it gives, as a frame.
func (j *job) onDrawer(ctx context.Context, what string, blocks, outline side, emit func([]byte), work func(*pipeline.Shared, pipeline.Joined, [][]byte) ([]byte, error)) error {
	defer draw()()
	k, all, err := j.drawer(blocks, outline)
	if err != nil {
		return err
	}
	return j.with(func(s *pipeline.Shared) error { return j.emitFrame(ctx, what, emit)(work(s, k, all)) })
}

// drawer is what is known, and the blocks of a drawer or a part.
func (j *job) drawer(blocks side, known ...side) (k pipeline.Joined, all [][]byte, err error) {
	k = j.joined(known...)
	var block []byte
	for blocks(&block) {
		one, err := j.unseal(block)
		if err != nil {
			return k, nil, err
		}
		all = append(all, one)
	}
	return k, all, nil
}

// emitFrame emits what a step gives, as a frame.
func (j *job) emitFrame(ctx context.Context, what string, emit func([]byte)) func(block []byte, err error) error {
	return func(block []byte, err error) error {
		if err == nil {
			block, err = j.frame(block)
		}
		if err == nil {
			weigh(ctx, what, block)
			emit(block)
		}
		return err
	}
}

// countMarks counts the captures of one mark that contradict each other.
type countMarks struct {
	Job   job
	Quiet quiet
}

func (f *countMarks) ProcessElement(ctx context.Context, _ state.Provider, _ int, blocks, outline side, emit func([]byte)) error {
	return f.Job.onDrawer(ctx, "counts of marks", blocks, outline, emit, (*pipeline.Shared).CountMarks)
}

// learnMarks gathers what recaptures show.
type learnMarks struct {
	Job   job
	Quiet quiet
}

func (f *learnMarks) ProcessElement(ctx context.Context, _ state.Provider, drawer int, blocks, outline, counts side, emit func([]byte)) error {
	defer draw()()
	j := &f.Job
	k, all, err := j.drawer(blocks, outline)
	if err != nil {
		return err
	}
	m, err := j.marked(counts, nil)
	if err != nil {
		return err
	}
	return j.with(func(s *pipeline.Shared) error {
		return j.emitFrame(ctx, "signs of marks", emit)(s.LearnMarks(k, m, drawer, all))
	})
}

// marked is what is known of marks so far.
func (j *job) marked(counts, signs side) (m pipeline.Marked, err error) {
	if m.Counts, err = j.together(blockOf(counts)); err != nil || signs == nil {
		return m, err
	}
	m.Signs, err = j.together(blockOf(signs))
	return m, err
}

// followMarks pairs captures of one mark.
type followMarks struct {
	Job   job
	Quiet quiet
}

func (f *followMarks) ProcessElement(ctx context.Context, _ state.Provider, _ int, blocks, outline, learned, matched, fetched, causes, counts, signs side, emit func([]byte)) error {
	defer draw()()
	j := &f.Job
	k, all, err := j.drawer(blocks, outline, learned, matched, fetched)
	if err != nil {
		return err
	}
	m, err := j.marked(counts, signs)
	if err != nil {
		return err
	}
	return j.with(func(s *pipeline.Shared) error {
		return j.emitFrame(ctx, "marks that follow", emit)(s.FollowMarks(k, j.blocks(causes), m, all))
	})
}

// sendMarks makes one block of what is known of marks.
type sendMarks struct{ Job job }

func (f *sendMarks) ProcessElement(ctx context.Context, _ []byte, counts, signs, followed side, emit func([]byte)) error {
	m, err := f.Job.marked(counts, signs)
	if err != nil {
		return err
	}
	if m.Followed, err = f.Job.together(blockOf(followed)); err != nil {
		return err
	}
	return f.Job.emitFrame(ctx, "marks", emit)(m.Block())
}

// fetch gives the captures of a part that others are compared with.
type fetch struct {
	Job   job
	Quiet quiet
}

func (f *fetch) ProcessElement(ctx context.Context, _ state.Provider, number int, part []byte, outline, learned, matched side, emit func([]byte)) error {
	j := &f.Job
	k := j.joined(outline, learned, matched)
	return j.with(func(s *pipeline.Shared) error {
		block, err := s.Fetch(k, number, j.opens(part))
		if err != nil || block == nil {
			return err
		}
		return j.emitFrame(ctx, "fetched", emit)(block, nil)
	})
}

// screen judges a part, with the captures on either side of it.
type screen struct {
	Job   job
	Quiet quiet
}

func (f *screen) ProcessElement(ctx context.Context, _ state.Provider, part int, blocks, outline, learned, matched, fetched side, emit func(int, []byte), causes func([]byte)) error {
	j := &f.Job
	k, all, err := j.drawer(blocks, outline, learned, matched, fetched)
	if err != nil {
		return err
	}
	return j.with(func(s *pipeline.Shared) error {
		screened, some, err := s.Screen(k, all)
		if err != nil {
			return err
		}
		if err := j.give(ctx, "screened", screened, func(b []byte) { emit(part, b) }); err != nil {
			return err
		}
		return j.emitFrame(ctx, "causes", causes)(some, nil)
	})
}

// relearn learns a part as corrected where any part has a cause of many.
type relearn struct {
	Job   job
	Quiet quiet
}

func (f *relearn) ProcessElement(ctx context.Context, _ state.Provider, _ int, part []byte, outline, learned, matched, fetched, causes side, emit func([]byte)) error {
	j := &f.Job
	return j.with(func(s *pipeline.Shared) error {
		more, err := s.Relearn(j.joined(outline, learned, matched, fetched), j.blocks(causes), j.opens(part))
		if err != nil || more == nil {
			return err
		}
		return j.emitFrame(ctx, "causes", emit)(more, nil)
	})
}

// rescreen judges a part by the causes of all.
type rescreen struct {
	Job   job
	Quiet quiet
}

func (f *rescreen) ProcessElement(ctx context.Context, _ state.Provider, number int, part []byte, outline, learned, matched, fetched, causes side, emit func(int, []byte)) error {
	j := &f.Job
	return j.with(func(s *pipeline.Shared) error {
		again, err := s.Rescreen(j.joined(outline, learned, matched, fetched), j.blocks(causes), j.opens(part))
		if err == nil && again != nil {
			part, err = j.seal(again)
		}
		if err == nil {
			weigh(ctx, "screened again", part)
			emit(number, slices.Clone(part))
		}
		return err
	})
}

// twice lets the identifiers of a drawer through that more than one occurrence has.
type twice struct{ Job job }

func (f *twice) ProcessElement(_ int, blocks side, emit func(string)) error {
	defer draw()()
	var all []string
	for block := []byte(nil); blocks(&block); {
		text, err := f.Job.unseal(block)
		if err != nil {
			return err
		}
		all = append(all, strings.Fields(string(text))...)
	}
	slices.Sort(all)
	for i, id := range all {
		if i > 0 && id == all[i-1] && (i == 1 || id != all[i-2]) {
			emit(id)
		}
	}
	return nil
}
