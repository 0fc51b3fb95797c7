package pipeline_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"iter"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"golang.org/x/sync/errgroup"

	"spadefoot/pipeline"
	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/draft"
	"spadefoot/pipeline/record/need"
)

// What machines do with a survey by turns comes to the bytes of Run: the rows
// of all shards one after the other, the findings, the description.
func TestSharedSaysWhatRunSays(t *testing.T) {
	herons := heronSurvey(t, func(files map[string]string) {
		files["survey.yaml"] = strings.Replace(files["survey.yaml"], "package: true", "package: false", 1)
	})
	decidedDemo := demoCopy(t, map[string]string{"remedies.csv": decided + `june-2024-reyes.csv,,9,,MC24-005,,,drop,,,I. Varga,2024-09-05,entered twice
june-2024-reyes.csv,,13,L,,,925,confirm,,value-off-line,I. Varga,2024-09-05,weighed again
`})
	for _, c := range []struct {
		name, folder string
		o            pipeline.Options
		shards       int
	}{
		{"demo, held", filepath.Join(need.Root(t), "testdata", "demo"), pipeline.Options{}, 4},
		{"demo, in parts", filepath.Join(need.Root(t), "testdata", "demo"), pipeline.InParts(1, 30), 3},
		{"sensitive, held", herons, pipeline.Options{}, 1},
		{"sensitive, in parts", herons, pipeline.InParts(1, 3), 2},
		{"remedies, held", decidedDemo, pipeline.Options{}, 3},
		{"remedies, in parts", decidedDemo, pipeline.InParts(1, 30), 2},
		{"slip of many, in parts", slippedSurvey(t), pipeline.InParts(1, 100), 2},
		{"peculiar animals, in parts", pipeline.PeculiarSurvey(t), pipeline.InParts(1, 64), 2},
		{"notebook", filepath.Join(need.Root(t), "testdata", "notebook"), pipeline.InParts(1, 20), 2},
	} {
		t.Run(c.name, func(t *testing.T) { sharedSaysWhatRunSays(t, c.folder, c.o, c.shards) })
	}
}

// slippedSurvey has two columns swapped in its first third, and two rows further down
// that exchanged them.
func slippedSurvey(t *testing.T) string {
	draw := rand.New(rand.NewPCG(4, 5))
	like := func(of, spread float64) float64 { return of * math.Exp(spread*draw.NormFloat64()) }
	var rows [600][3]float64
	for i := range rows {
		length := like(65, 0.15)
		rows[i] = [3]float64{length, like(0.48*length, 0.03), like(0.35*length, 0.03)}
		if i < 200 {
			rows[i][1], rows[i][2] = rows[i][2], rows[i][1]
		}
	}
	rows[403], rows[404] = [3]float64{80, 26, 19}, [3]float64{54, 38.4, 28}
	var b strings.Builder
	b.WriteString("No,Date,Species,SVL,Tibia,Head W\n")
	for i, r := range rows {
		fmt.Fprintf(&b, "MC%04d,2024-04-%02d,Lithobates clamitans,%.1f,%.1f,%.1f\n", i, 1+i%28, r[0], r[1], r[2])
	}
	folder := t.TempDir()
	for name, text := range map[string]string{"frogs.csv": b.String(), "survey.yaml": `dataset:
  id: https://marrow-creek.invalid/slipped
  title: Slipped
  description: Invented.
  licence: https://creativecommons.org/publicdomain/zero/1.0/legalcode
  creators: [{family: Varga}]
sheets: [{file: frogs.csv}]
mapping:
  key: [recordNumber]
  headings:
    - {heading: "No", term: recordNumber}
    - {heading: Date, term: eventDate}
    - {heading: Species, term: scientificName}
    - {heading: SVL, measurement: snoutVentLength, unit: mm}
    - {heading: Tibia, measurement: tibiaLength, unit: mm}
    - {heading: Head W, measurement: headWidth, unit: mm}
`} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return folder
}

func sharedSaysWhatRunSays(t *testing.T, folder string, o pipeline.Options, shards int) {
	ctx, out := context.Background(), t.TempDir()
	ran, err := pipeline.Run(ctx, folder, out, o)
	if err != nil {
		t.Fatal(err)
	}
	s, err := pipeline.Share(folder, o)
	if err != nil {
		t.Fatal(err)
	}
	var findings bytes.Buffer
	var parts []pipeline.Part
	var needed [][]byte
	whole, err := judgedApart(t, s, shards, &findings, func(p pipeline.Part) error {
		parts, needed = append(parts, p), append(needed, p.Columns)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	columns, err := pipeline.JoinColumns(each(needed...))
	if err != nil {
		t.Fatal(err)
	}
	rows := map[string]string{}
	var done []*pipeline.Shard
	var files darwincore.ShardFiles
	for i := range shards {
		dir := t.TempDir()
		var of []pipeline.Part
		for _, p := range parts {
			if p.Shard == i {
				of = append(of, p)
			}
		}
		slices.SortFunc(of, func(a, b pipeline.Part) int { return a.Number - b.Number })
		shard, err := s.Publish(ctx, dir, i, whole, columns, func(yield func(pipeline.Part, error) bool) {
			for _, p := range of {
				if !yield(p, nil) {
					return
				}
			}
		})
		if err != nil || shard.Refused != "" {
			t.Fatal(err, shard)
		}
		done = append(done, shard)
		files.Occurrences = append(files.Occurrences, fmt.Sprintf("occurrence-%d.csv", i))
		for _, name := range []string{darwincore.OccurrenceFile, darwincore.MeasurementFile} {
			text, err := os.ReadFile(filepath.Join(dir, darwincore.Folder, name))
			if err != nil && name == darwincore.OccurrenceFile {
				t.Fatal(err)
			}
			if rows[name] != "" {
				_, after, _ := strings.Cut(string(text), "\n")
				text = []byte(after)
			}
			rows[name] += string(text)
		}
	}
	for name, got := range rows {
		want, _ := os.ReadFile(filepath.Join(out, darwincore.Folder, name))
		if got != string(want) {
			t.Errorf("%s: %s", name, firstLines(got, string(want)))
		}
	}
	want, err := os.ReadFile(filepath.Join(out, "findings.csv"))
	if err != nil {
		t.Fatal(err)
	}
	if got, want := findings.String(), withoutProof(string(want)); got != want {
		t.Errorf("findings: %s", firstLines(got, want))
	}
	dir := t.TempDir()
	wrong, err := s.Complete(dir, whole, done, files)
	if err != nil || len(wrong) > 0 {
		t.Fatal(err, wrong)
	}
	got, err := os.ReadFile(filepath.Join(dir, darwincore.EMLFile))
	if err != nil {
		t.Fatal(err)
	}
	if want, _ := os.ReadFile(filepath.Join(out, darwincore.Folder, darwincore.EMLFile)); !bytes.Equal(got, want) {
		t.Errorf("eml.xml: %s", firstLines(string(got), string(want)))
	}
	if whole.Counts.Captures != ran.Counts.Captures || whole.Counts.RowsRead != ran.Counts.RowsRead {
		t.Errorf("counts %+v, want %+v", whole.Counts, ran.Counts)
	}
}

// judgedApart takes a survey through the steps up to the judgement as machines
// would: each with nothing but the blocks of others, which come in any order, some
// of them twice, and several at once.
func judgedApart(t *testing.T, s *pipeline.Shared, shards int, findings io.Writer, give func(pipeline.Part) error) (*pipeline.Whole, error) {
	t.Helper()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	var pieces []pipeline.Piece
	var mu sync.Mutex
	atOnce := func(n int, do func(i int) error) {
		t.Helper()
		var all errgroup.Group
		for i := range n {
			all.Go(func() error { return do(i) })
		}
		must(all.Wait())
	}
	atOnce(s.Sheets(), func(i int) error {
		return s.Read(t.Context(), i, func(p pipeline.Piece) error {
			mu.Lock()
			defer mu.Unlock()
			pieces = append(pieces, p)
			return nil
		})
	})
	pieces = append(pieces, pieces[0])
	var k pipeline.Joined
	var headings, matched, fetched [][]byte
	for _, p := range pieces {
		heading, err := p.Heading()
		must(err)
		headings = append(headings, heading)
	}
	k.Outline = blocks(headings...)
	parts := map[int][]pipeline.Piece{}
	for _, p := range pieces {
		part, counts, err := s.PartOf(k, p)
		must(err)
		if counts {
			parts[part] = append(parts[part], p)
		}
	}
	named := map[int][]byte{}
	var learned []byte
	beside := map[int][][]byte{} // by part
	drawers := map[int][][]byte{}
	for _, part := range slices.Backward(slices.Sorted(maps.Keys(parts))) {
		g, err := s.Gather(k, part, parts[part])
		must(err)
		named[part] = g.Part
		for _, to := range slices.Backward(slices.Sorted(maps.Keys(g.Edges))) {
			beside[to] = append(beside[to], g.Edges[to], g.Edges[to])
		}
		learned, err = pipeline.JoinLearned(each(learned, g.Learned))
		must(err)
		for at, block := range g.Drawers {
			drawers[at] = append(drawers[at], block)
		}
	}
	var m pipeline.Marked
	for _, blocks := range drawers {
		one, err := s.Match(k, append(blocks, blocks[0]))
		must(err)
		matched = append(matched, one)
		one, err = s.CountMarks(k, blocks)
		must(err)
		m.Counts = append(m.Counts, one)
	}
	for at, blocks := range drawers {
		one, err := s.LearnMarks(k, m, at, blocks)
		must(err)
		m.Signs = append(m.Signs, one)
	}
	k.Learned, k.Matched = blocks(learned), blocks(matched...)
	for part, block := range named {
		one, err := s.Fetch(k, part, opens(block))
		must(err)
		fetched = append(fetched, one)
	}
	k.Fetched = blocks(fetched...)
	order := slices.Sorted(maps.Keys(parts))
	screened := make([][]byte, len(order))
	var causes []byte
	atOnce(len(order), func(i int) error {
		one, cause, err := s.Screen(k, append(beside[order[i]], named[order[i]]))
		if err != nil {
			return err
		}
		mu.Lock()
		defer mu.Unlock()
		screened[i] = one
		causes, err = pipeline.JoinCauses(each(causes, cause))
		return err
	})
	for range pipeline.Rounds {
		var learnt []byte
		for _, part := range screened {
			one, err := s.Relearn(k, blocks(causes), opens(part))
			must(err)
			learnt, err = pipeline.JoinCauses(each(learnt, one))
			must(err)
		}
		var err error
		causes, err = pipeline.JoinCauses(each(causes, learnt))
		must(err)
	}
	caused := blocks(causes)
	atOnce(len(screened), func(i int) error {
		again, err := s.Rescreen(k, caused, opens(screened[i]))
		if again != nil {
			screened[i] = again
		}
		return err
	})
	for _, blocks := range drawers {
		one, err := s.FollowMarks(k, caused, m, blocks)
		must(err)
		m.Followed = append(m.Followed, one)
	}
	marks, err := m.Block()
	must(err)
	verdicts, links := make([][]byte, len(screened)), map[int][][]byte{}
	if len(screened) == 0 {
		none, err := pipeline.NoVerdict()
		must(err)
		verdicts = append(verdicts, none)
	}
	var whole *pipeline.Whole
	if s.InOrder() {
		whole, err = s.Judge(t.Context(), k, caused, blocks(marks), opened(screened), findings, func(part int, verdict []byte) error {
			verdicts[part] = verdict
			return nil
		})
	} else {
		whole, err = toldApart(t, s, k, caused, blocks(marks), screened, verdicts[:len(screened)], links, findings)
	}
	if err != nil {
		return nil, err
	}
	for part, verdict := range verdicts {
		must(s.Finish(k, whole, verdict, links[part], func() ([]byte, error) { return screened[part], nil }, shards, give))
	}
	return whole, nil
}

// toldApart takes screened parts through Infer, Compare and Conclude.
func toldApart(t *testing.T, s *pipeline.Shared, k pipeline.Joined, caused, marks pipeline.Blocks, screened, verdicts [][]byte, links map[int][][]byte, findings io.Writer) (*pipeline.Whole, error) {
	t.Helper()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	var sought, seen [][]byte
	for part := range screened {
		one, err := s.Seek(k, marks, part, opens(screened[part]))
		must(err)
		sought = append(sought, one)
	}
	found, drawers := blocks(sought...), map[int][][]byte{}
	for part := range slices.Backward(screened) {
		looked, err := s.Infer(k, caused, marks, found, opens(screened[part]))
		must(err)
		verdicts[part] = looked.Verdict
		if seen = append(seen, looked.Seen); len(seen) == 3 {
			joined, err := pipeline.JoinSeen(each(seen...))
			must(err)
			seen = [][]byte{joined}
		}
		for at, block := range looked.Links {
			drawers[at] = append(drawers[at], block, block)
		}
	}
	joined, err := pipeline.JoinSeen(each(seen...))
	must(err)
	told := blocks(joined)
	for part := range screened {
		compared, err := s.Compare(k, told, opens(verdicts[part]), opens(screened[part]))
		must(err)
		if compared != nil {
			verdicts[part] = compared
		}
	}
	for _, blocks := range drawers {
		of, err := s.Link(k, blocks)
		must(err)
		for part, block := range of {
			links[part] = append(links[part], block)
		}
	}
	return s.Conclude(t.Context(), k, caused, marks, found, told, opened(verdicts), findings)
}

func opened(all [][]byte) (out []func() ([]byte, error)) {
	for _, block := range all {
		out = append(out, opens(block))
	}
	return out
}

// blocks are what other machines sent of all parts.
func blocks(all ...[]byte) pipeline.Blocks {
	return pipeline.Blocks{Key: sent.Add(1), All: each(all...)}
}

func each(all ...[]byte) iter.Seq2[[]byte, error] {
	return func(yield func([]byte, error) bool) {
		for _, block := range all {
			if !yield(block, nil) {
				return
			}
		}
	}
}

var sent atomic.Uint64

func opens(block []byte) func() ([]byte, error) {
	return func() ([]byte, error) { return block, nil }
}

// withoutProof leaves out the findings on the archive's own files.
func withoutProof(findings string) string {
	var out strings.Builder
	for line := range strings.Lines(findings) {
		if !strings.Contains(line, ","+darwincore.Folder+"/") {
			out.WriteString(line)
		}
	}
	return out.String()
}

func firstLines(got, want string) string {
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range min(len(g), len(w)) {
		if g[i] != w[i] {
			return fmt.Sprintf("line %d\ngot  %s\nwant %s", i+1, g[i], w[i])
		}
	}
	return fmt.Sprintf("%d lines, want %d", len(g), len(w))
}

// Of the nine tables of public repositories, as drafted, too.
func TestSharedSaysWhatRunSaysOfOpenSheets(t *testing.T) {
	eachOpenSheet(t, func(t *testing.T, path, _, survey string) {
		sharedSaysWhatRunSays(t, survey, pipeline.Options{}, 1)
	})
}

// A file that cannot be read is a finding, and the others are published.
func TestSharedGoesOnWithoutABadFile(t *testing.T) {
	folder := demoCopy(t, map[string]string{"broken.xlsx": "PK\x03\x04 not a workbook"})
	path := filepath.Join(folder, "survey.yaml")
	write(t, path, strings.Replace(read(t, path), "sheets:\n", "sheets:\n  - {file: broken.xlsx, mapping: june.yaml}\n  - {file: gone.csv, mapping: june.yaml}\n", 1))
	s, err := pipeline.Share(folder, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var findings bytes.Buffer
	whole, err := judgedApart(t, s, 1, &findings, func(pipeline.Part) error { return nil })
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"broken.xlsx", "gone.csv"} {
		if !strings.Contains(findings.String(), "error,file-unread,"+name) {
			t.Errorf("%s: no finding", name)
		}
	}
	if whole.Counts.Captures == 0 {
		t.Error("no captures")
	}
}

// A sheet whose later rows contradict its first ones is read a second time, and
// what the first reading gave does not count.
func TestSharedReadsASheetAgain(t *testing.T) {
	dir, sheet := t.TempDir(), strings.Builder{}
	sheet.WriteString("Number,Species,SVL (mm),Date\n")
	for i := range 2_100 {
		fmt.Fprintf(&sheet, "MC-%d,Lithobates pipiens,%d.5,2024-05-%02d\n", i, 50+i%20, 1+i%28)
	}
	sheet.WriteString("\n\nNumber,Species,SVL (mm),Date\n")
	for i := range 5 {
		fmt.Fprintf(&sheet, "LC-%d,Lithobates pipiens,61.0,2024-06-01\n", i)
	}
	path := filepath.Join(dir, "frogs.csv")
	write(t, path, sheet.String())
	survey := filepath.Join(dir, "survey")
	if _, err := draft.Write(context.Background(), []string{path}, survey, draft.Options{}); err != nil {
		t.Fatal(err)
	}
	sharedSaysWhatRunSays(t, survey, pipeline.ToldFrom(2_000, 400), 3)
}
