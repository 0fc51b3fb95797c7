//go:build !onemachine

package pipeline

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"iter"
	"math"
	"os"
	"path/filepath"
	"slices"

	"spadefoot/pipeline/account"
	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/recaptures"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/store"
	"spadefoot/pipeline/undecided"
)

// Shard is what is said of a shard that was published.
type Shard struct {
	Number   int
	Captures int
	Counts   prove.Counts
	LeftOut  int                      // values that are not published since nobody decided on them
	Findings []record.Finding         // of its proof
	Refused  string                   // why it may not be released; empty where it passed
	Cells    map[int][]account.Counts // by table, of those that have captures in the shard
	Gathered []byte
}

// JoinColumns joins the columns that parts need.
func JoinColumns(blocks iter.Seq2[[]byte, error]) ([]byte, error) {
	var g darwincore.Gathered
	for block, err := range blocks {
		var one darwincore.Gathered
		if err == nil {
			err = one.UnmarshalBinary(block)
		}
		if err != nil {
			return nil, err
		}
		g.Join(&one)
	}
	return g.MarshalBinary()
}

// Publish writes the parts of a shard as an archive of its own into a folder
// that exists, and proves it. The columns are those of all parts. A shard that
// does not pass its proof says so; the error is one of files.
func (s *Shared) Publish(ctx context.Context, dir string, number int, whole *Whole, columns []byte, parts iter.Seq2[Part, error]) (*Shard, error) {
	var g darwincore.Gathered
	if err := g.UnmarshalBinary(columns); err != nil {
		return nil, err
	}
	w := *s.walk
	w.laid, w.computed = receivedTables(whole.Tables), whole.Computed
	archive, err := darwincore.Create(dir, w.dataset(), w.label)
	if err != nil {
		return nil, w.archiveError(err)
	}
	defer archive.Discard()
	book := w.emptyBook()
	archive.Watch(book)
	archive.Fix(&g)
	out := &Shard{Number: number}
	for p, err := range parts {
		if err != nil {
			return nil, err
		}
		captures, err := store.Unpack(p.Data)
		if err != nil {
			return nil, err
		}
		out.Captures += len(captures)
		for _, c := range captures {
			out.LeftOut += undecided.Count(c)
			if err := w.sample.Add(c); err != nil {
				return nil, err
			}
		}
		if err := archive.AddPart(captures); err != nil {
			return nil, err
		}
	}
	counts, err := archive.Close()
	if err != nil {
		return nil, err
	}
	if out.Gathered, err = archive.Gathered().MarshalBinary(); err != nil {
		return nil, err
	}
	out.Counts = prove.Counts(counts)
	out.Cells = map[int][]account.Counts{}
	for k, t := range w.laid {
		cells, some := make([]account.Counts, len(t.table.Columns)), false
		for i := range cells {
			cells[i] = book.Column(t.table, i)
			some = some || cells[i] != account.Counts{}
		}
		if some {
			out.Cells[k] = cells
		}
	}
	return out, s.proveShard(ctx, dir, out, errors.Join(w.sample.Check(), book.Lost()))
}

// emptyBook is a book that has the tables and none of their cells.
func (w *walk) emptyBook() *account.Book {
	book := account.New()
	for _, t := range w.laid {
		book.Add(t.table, nil, nil, w.survey.Sheets[t.ref].Map.Remarks)
	}
	return book
}

// proveShard reads a shard back.
func (s *Shared) proveShard(ctx context.Context, dir string, out *Shard, wrong error) error {
	if out.Captures != out.Counts.Occurrences {
		wrong = errors.Join(wrong, fmt.Errorf("%d captures went in and %d occurrences came out", out.Captures, out.Counts.Occurrences))
	}
	var err error
	out.Findings, err = prove.Archive(ctx, filepath.Join(dir, darwincore.Folder), out.Counts, prove.Options{TempDir: dir})
	switch {
	case errors.As(err, new(*prove.RefusedError)):
		wrong = errors.Join(wrong, err)
	case err != nil:
		return err
	}
	if wrong != nil {
		out.Refused = wrong.Error()
	}
	return nil
}

// Complete writes meta.xml and eml.xml of all shards into a folder, whose files
// they name, and returns what is wrong with the whole, so that it must not be
// released: cells and captures that are not accounted for.
func (s *Shared) Complete(dir string, whole *Whole, shards []*Shard, files darwincore.ShardFiles) (wrong []string, err error) {
	w := *s.walk
	w.laid, w.computed = receivedTables(whole.Tables), whole.Computed
	book := account.New()
	for _, t := range w.laid {
		book.Add(t.table, t.filled, t.dropped, w.survey.Sheets[t.ref].Map.Remarks)
	}
	var g darwincore.Gathered
	captures := 0
	for _, one := range shards {
		var gathered darwincore.Gathered
		if err := gathered.UnmarshalBinary(one.Gathered); err != nil {
			return nil, err
		}
		g.Join(&gathered)
		captures += one.Captures
		for k, t := range w.laid {
			for i, c := range one.Cells[k] {
				book.Enter(t.table, i, c)
			}
		}
	}
	if err := book.Settle(); err != nil {
		wrong = append(wrong, err.Error())
	}
	if captures != whole.Counts.Captures {
		wrong = append(wrong, fmt.Sprintf("%d captures were judged and %d are in the shards", whole.Counts.Captures, captures))
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, err
	}
	return wrong, darwincore.Describe(dir, w.dataset(), &g, files)
}

// passOn says of each part what Finish needs to know. Where places are withheld, or
// a person decided on a row, the captures are finished here.
func (w *walk) passOn(give func(part int, verdict []byte) error) error {
	if err := w.refuse(); err != nil {
		return err
	}
	if err := w.linkMarks(); err != nil {
		return err
	}
	w.spreadDoubts()
	if w.store.Parts() == 0 {
		block, err := NoVerdict()
		return errors.Join(err, give(0, block))
	}
	for i := range w.store.Parts() {
		v, err := w.verdict(i)
		if err != nil {
			return err
		}
		block, err := encode(v)
		if err = errors.Join(err, w.ctx.Err()); err != nil {
			return err
		}
		if err := give(i, block); err != nil {
			return err
		}
	}
	return nil
}

func (w *walk) verdict(i int) (v verdict, err error) {
	v.First, v.Species = w.store.First(i), store.PackFindings(nil)
	w.captures, w.findings, w.settled = nil, nil, 0
	if w.sensitive.result != nil || len(w.decided.parts[i]) > 0 {
		if w.captures, err = w.store.Take(i, &w.buffers[0]); err != nil {
			return v, err
		}
		if err := errors.Join(w.finish(i), w.guardPart()); err != nil {
			return v, err
		}
		v.Finished = store.Pack(w.captures)
		return v, nil
	}
	aside, err := w.aside.Run(i)
	if err = errors.Join(err, w.recall(i)); err != nil {
		return v, err
	}
	to := math.MaxInt
	if i+1 < len(w.animal) {
		to = w.animal[i+1]
	}
	v.Found, v.Aside = packDoubts(w.findings), packDoubts(aside)
	var failed error
	v.Standing, err = w.verdicts.inference.Standing(w.animal[i], to)
	v.Links, failed = w.linksOf(i)
	return v, errors.Join(err, failed)
}

// linksOf are the identifiers of the captures before those of a part, by index.
func (w *walk) linksOf(i int) (map[int]string, error) {
	var out map[int]string
	from, n := w.store.First(i), w.store.Size(i)
	for k := range n {
		at, there := w.before[from+k]
		if !there {
			continue
		}
		before, err := w.store.Find(at)
		if err != nil {
			return nil, err
		}
		if out == nil {
			out = map[int]string{}
		}
		out[k] = recaptures.Identifier(before)
	}
	return out, nil
}

// guardPart looks through the captures in hand for places that are withheld,
// before they leave this machine.
func (w *walk) guardPart() error {
	r := w.sensitive.result
	if r == nil || r.Guard == nil {
		return nil
	}
	read, in := io.Pipe()
	go func() { in.CloseWithError(json.NewEncoder(in).Encode(w.captures)) }()
	defer read.Close()
	return w.guardFile("captures.json", read)
}

// Finish makes a screened part what is published, by what Judge or Compare said of it
// and the blocks of Link, and gives it cut where a shard ends. The shards have as many
// captures each, or one fewer.
func (s *Shared) Finish(k Joined, whole *Whole, said []byte, links [][]byte, screened func() ([]byte, error), shards int, give func(Part) error) error {
	know, err := s.knowing(k).judged()
	if err != nil {
		return err
	}
	var v verdict
	if err := decodeBlock(said, &v); err != nil {
		return err
	}
	for _, block := range links {
		if err := decodeBlock(block, &v.Links); err != nil { // into those that are there
			return err
		}
	}
	var rest []*record.Capture
	if v.Finished != nil {
		rest, err = store.Unpack(v.Finished)
	} else {
		rest, err = know.finish(&v, whole, screened)
	}
	if err != nil {
		return err
	}
	at, all := v.First, whole.Counts.Captures
	cut := func(shard int, captures []*record.Capture) error {
		var g darwincore.Gathered
		s.builder().Needs(&g, captures)
		columns, err := g.MarshalBinary()
		if err != nil {
			return err
		}
		return give(Part{at, shard, store.Pack(captures), columns})
	}
	if all == 0 {
		return cut(0, nil)
	}
	for len(rest) > 0 {
		shard := at * shards / all
		n := min(len(rest), partCaptures, ((shard+1)*all+shards-1)/shards-at)
		if err := cut(shard, rest[:n]); err != nil {
			return err
		}
		at, rest = at+n, rest[n:]
	}
	return nil
}

// finish finishes a part as the walk does.
func (know *basis) finish(v *verdict, whole *Whole, screened func() ([]byte, error)) ([]*record.Capture, error) {
	p, err := screenedBefore(screened)
	if err != nil {
		return nil, err
	}
	w := *know.walk
	captures, err := store.Unpack(p.Named.Captures)
	found, failed := store.UnpackFindings(v.Found)
	species, wrong := store.UnpackFindings(v.Species)
	aside, bad := store.UnpackFindings(v.Aside)
	general, worse := store.UnpackFindings(whole.Doubts)
	if err := errors.Join(err, failed, wrong, bad, worse); err != nil {
		return nil, err
	}
	found = append(found, species...)
	record.SortFindings(found)
	w.captures, w.findings, w.settled = captures, found, len(found)
	fill(w.animals(), know.sexes.Fills(w.animals()))
	_, settings, err := w.inferInputs()
	if err != nil {
		return nil, err
	}
	w.verdicts.inference, w.animal = infer.New(infer.Inputs{}, settings), []int{0}
	if err := w.verdicts.inference.Receive(whole.Lines, v.Standing); err != nil {
		return nil, err
	}
	w.whole = general
	w.spreadDoubts()
	w.derive(0)
	w.doubt(aside)
	for k, id := range v.Links {
		recaptures.Link(captures[k], id)
	}
	return captures, nil
}

// fill fills values in, by the index of the capture.
func fill(captures []*record.Capture, values map[int]record.Value) {
	for i, value := range values {
		captures[i].Fill(value)
	}
}

// test asks the quality tests about a part, as it will be with its sexes filled in.
// It returns what they doubt, of the store, and of each doubt where it comes from.
func (know *basis) test(captures []*record.Capture) (found, from []byte) {
	animals := animalsAmong(captures)
	filled := map[*record.Capture]*record.Capture{}
	for i, value := range know.sexes.Fills(animals) {
		own := *animals[i]
		own.Values = slices.Clone(own.Values)
		own.Fill(value)
		filled[animals[i]] = &own
	}
	asked := slices.Clone(captures)
	for i, c := range asked {
		if own := filled[c]; own != nil {
			asked[i] = own
		}
	}
	var doubts []record.Finding
	for _, d := range know.quality.judge(asked).doubts {
		doubts, from = append(doubts, d.Finding), append(from, d.Mark())
	}
	return store.PackFindings(doubts), from
}
