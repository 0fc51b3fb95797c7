package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/x/beamx"
	"github.com/klauspost/compress/zstd"

	"spadefoot/pipeline"
	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/draft"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record/need"
)

// top is the folder of the program whose rooms this one calls.
const top = "../.."

func TestMain(m *testing.M) {
	flag.Parse()
	beam.Init()
	if os.Getenv("SPADEFOOT_SHARED") == "" {
		os.Setenv("SPADEFOOT_SHARED", filepath.Join(top, "..", "shared"))
	}
	os.Exit(m.Run())
}

// The union of the shards is what one machine publishes, whatever the number of
// bundles and shards: rows of occurrences and measurements with their
// identifiers, findings, description.
func TestShardsAreTheRun(t *testing.T) {
	for _, c := range []struct {
		folder          string
		bundles, shards int
	}{
		{"demo", 1, 1}, {"demo", 2, 4}, {"demo", 7, 7}, {"notebook", 1, 2}, {"notebook", 2, 3}, {"notebook", 7, 5},
	} {
		t.Run(fmt.Sprintf("%s in %d bundles and %d shards", c.folder, c.bundles, c.shards), func(t *testing.T) {
			sameAsRun(t, filepath.Join(top, "testdata", c.folder), c.shards, c.bundles)
		})
	}
}

// So are those of workbooks that a pattern names.
func TestWorkbooksOfAPatternAreTheRun(t *testing.T) {
	folder := t.TempDir()
	if err := os.CopyFS(folder, os.DirFS(filepath.Join(top, "testdata", "demo"))); err != nil {
		t.Fatal(err)
	}
	about := filepath.Join(folder, "survey.yaml")
	text := read(t, about)
	if !strings.Contains(text, "file: marrow-2023.xlsx") {
		t.Fatal("the demo has no workbook")
	}
	write(t, about, strings.Replace(text, "file: marrow-2023.xlsx", "file: '*.xlsx'", 1))
	sameAsRun(t, folder, 3, 2)
}

// So are those of a survey with remedies, whose cells the program that is called
// looks for.
func TestRemediesAreCarriedOut(t *testing.T) {
	folder := t.TempDir()
	if err := os.CopyFS(folder, os.DirFS(filepath.Join(top, "testdata", "demo"))); err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(folder, "remedies.csv"), `file,sheet,row,column,capture,field,found,action,replacement,rule,who,when,why
,,,,MC24-002,tibiaLength,"73,9",replace,"37,9",,I. Varga,2024-09-02,digits exchanged
june-2024-reyes.csv,,,,MC24-005,,,drop,,,I. Varga,2024-09-05,entered twice
june-2024-reyes.csv,,13,L,,,925,confirm,,value-off-line,I. Varga,2024-09-05,weighed again
marrow-2023.xlsx,Summer,8,L,,,see book,clear,,,T. Okafor,2024-09-04,the book is lost
`)
	sameAsRun(t, folder, 3, 2)
}

// So are those of a survey that is walked in parts, whose parts reach over files,
// which patterns name.
func TestShardsOfManyFilesAreTheRun(t *testing.T) {
	folder, one := seasons(t), t.TempDir()
	if _, err := pipeline.Run(context.Background(), folder, one, pipeline.Options{}); err != nil {
		t.Fatal(err)
	}
	for _, bundles := range []int{1, 2, 7} {
		sameAs(t, one, folder, bundles, 3)
	}
}

// And those of the nine tables of public repositories, as drafted.
func TestShardsOfOpenSheetsAreTheRun(t *testing.T) {
	folder := need.Shared(t, "opendata/sheets")
	names, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		if !name.IsDir() {
			continue
		}
		t.Run(name.Name(), func(t *testing.T) {
			about := rows(t, read(t, filepath.Join(folder, name.Name(), "about.csv")))
			file := about[1][slices.Index(about[0], "file")]
			survey := filepath.Join(t.TempDir(), "survey")
			if _, err := draft.Write(context.Background(), []string{filepath.Join(folder, name.Name(), file)}, survey, draft.Options{}); err != nil {
				t.Fatal(err)
			}
			sameAsRun(t, survey, 3, 1, 2, 7)
		})
	}
}

// The sheet of 100,000 captures that speed is measured with, in eight files.
func TestShardsOfTheBenchAreTheRun(t *testing.T) {
	need.Fullest(t)
	folder := filepath.Join(t.TempDir(), "bench")
	command := exec.Command("go", "run", "./testdata/bench", "-n", "100000", "-make", folder)
	command.Dir = top
	if said, err := command.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, said)
	}
	heading, rest, _ := strings.Cut(read(t, filepath.Join(folder, "sheet.csv")), "\n")
	lines := slices.Collect(strings.Lines(rest))
	for i := range 8 {
		from, to := i*len(lines)/8, (i+1)*len(lines)/8
		write(t, filepath.Join(folder, fmt.Sprintf("sheet-%d.csv", i)), heading+"\n"+strings.Join(lines[from:to], ""))
	}
	if err := os.Remove(filepath.Join(folder, "sheet.csv")); err != nil {
		t.Fatal(err)
	}
	about := filepath.Join(folder, "survey.yaml")
	write(t, about, strings.Replace(read(t, about), "sheet.csv", "sheet-*.csv", 1))
	sameAsRun(t, folder, 7, 1, 2, 7)
}

// A worker that is killed in the middle of a run leaves nothing behind, and the run
// made again has every row once. Prism does not try a bundle again.
func TestAKilledWorkerLosesNothing(t *testing.T) {
	need.Fullest(t)
	folder, one, many := seasons(t), t.TempDir(), t.TempDir()
	if _, err := pipeline.Run(context.Background(), folder, one, pipeline.Options{}); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Minute)
	defer cancel()
	command := exec.CommandContext(ctx, "./run.sh", folder, many, "--shards", "3", "--bundles", "7")
	command.Cancel = func() error { return command.Process.Signal(os.Interrupt) } // its trap ends what it started
	command.WaitDelay = 10 * time.Second
	command.Env = append(os.Environ(), "KILL_AFTER=1", fmt.Sprintf("PORT=%d", freePort(t)))
	text, err := command.CombinedOutput()
	if said := string(text); err != nil || !strings.Contains(said, "killed the worker") || !strings.Contains(said, "the run failed and released nothing") {
		t.Fatalf("%v\n%s", err, said)
	}
	compare(t, one, many)
}

// freePort is a port of this machine that nothing listened on a moment ago.
func freePort(t *testing.T) int {
	t.Helper()
	listener, err := net.Listen("tcp", "localhost:0")
	if err != nil {
		t.Fatal(err)
	}
	defer listener.Close()
	return listener.Addr().(*net.TCPAddr).Port
}

func sameAsRun(t *testing.T, folder string, shards int, bundles ...int) {
	t.Helper()
	one := t.TempDir()
	if _, err := pipeline.Run(context.Background(), folder, one, pipeline.Options{}); err != nil {
		t.Fatal(err)
	}
	for _, n := range bundles {
		sameAs(t, one, folder, n, shards)
	}
}

// sameAs compares what one machine wrote with the shards of a folder.
func sameAs(t *testing.T, one, folder string, bundles, shards int) {
	t.Helper()
	many := t.TempDir()
	if err := (call{[]string{folder}, many, shards, bundles, ""}).run(context.Background(), io.Discard); err != nil {
		t.Fatal(err)
	}
	compare(t, one, many)
}

// compare compares what a run released with what the shards hold.
func compare(t *testing.T, one, many string) {
	t.Helper()
	for _, name := range []string{darwincore.OccurrenceFile, darwincore.MeasurementFile, darwincore.MediaFile} {
		want, err := os.ReadFile(filepath.Join(one, darwincore.Folder, name))
		if got := union(t, many, name); got != string(want) {
			t.Errorf("%s is not that of one machine (%d bytes, want %d; %v)", name, len(got), len(want), err)
		}
	}
	same(t, "findings.csv", read(t, filepath.Join(many, "findings.csv")), withoutProof(read(t, filepath.Join(one, "findings.csv"))))
	same(t, "eml.xml", read(t, filepath.Join(many, darwincore.Folder, darwincore.EMLFile)), read(t, filepath.Join(one, darwincore.Folder, darwincore.EMLFile)))
	proved(t, many)
}

// proved proves the whole by what proves any archive, and compares meta.xml with
// the files that are there.
func proved(t *testing.T, out string) {
	t.Helper()
	folder := filepath.Join(out, darwincore.Folder)
	r, err := prove.Path(context.Background(), folder, prove.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Findings {
		if f.Level.String() == "error" {
			t.Errorf("proof of the whole: %s: %s", f.At, f.Reason)
		}
	}
	var meta struct {
		Core       []string `xml:"core>files>location"`
		Extensions []string `xml:"extension>files>location"`
	}
	if err := xml.Unmarshal([]byte(read(t, filepath.Join(folder, darwincore.MetaFile))), &meta); err != nil {
		t.Fatal(err)
	}
	files, _ := filepath.Glob(filepath.Join(folder, "*.csv.gz"))
	for i := range files {
		files[i] = filepath.Base(files[i])
	}
	named := slices.Sorted(slices.Values(slices.Concat(meta.Core, meta.Extensions)))
	if !slices.Equal(named, files) {
		t.Errorf("meta.xml names %v, and there are %v", named, files)
	}
	captures := 0
	var sum summary
	if err := json.Unmarshal([]byte(read(t, filepath.Join(out, summaryFile))), &sum); err != nil {
		t.Fatal(err)
	}
	for _, s := range sum.Shards {
		captures += s.Counts.Occurrences
		if !s.Proved {
			t.Errorf("shard %d: %s", s.Shard, s.Refused)
		}
	}
	if captures != sum.Counts.Captures {
		t.Errorf("%d captures in the shards, and %d of the whole", captures, sum.Counts.Captures)
	}
}

// union is the text of all shards of a file under one line of headings.
func union(t *testing.T, out, name string) string {
	files, _ := filepath.Glob(filepath.Join(out, darwincore.Folder, strings.TrimSuffix(name, ".csv")+"-*.csv.gz"))
	var all strings.Builder
	for i, file := range files {
		z, err := gzip.NewReader(strings.NewReader(read(t, file)))
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(z)
		if err != nil {
			t.Fatal(err)
		}
		heading, rest, _ := strings.Cut(string(text), "\n")
		if i == 0 {
			all.WriteString(heading + "\n")
		}
		all.WriteString(rest)
	}
	return all.String()
}

// withoutProof leaves out the findings on the files of the archive, which each
// shard has its own of.
func withoutProof(findings string) string {
	var out strings.Builder
	for line := range strings.Lines(findings) {
		if !strings.Contains(line, ","+darwincore.Folder+"/") {
			out.WriteString(line)
		}
	}
	return out.String()
}

func same(t *testing.T, what, got, want string) {
	t.Helper()
	if got == want {
		return
	}
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range min(len(g), len(w)) {
		if g[i] != w[i] {
			t.Errorf("%s, line %d\ngot  %s\nwant %s", what, i+1, g[i], w[i])
			return
		}
	}
	t.Errorf("%s: %d lines, want %d", what, len(g), len(w))
}

func read(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func rows(t *testing.T, text string) [][]string {
	t.Helper()
	all, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// seasons is a survey of some 20,200 captures in thirteen files of three folders.
// Some captures are entered twice in two files, some have no key.
func seasons(t *testing.T) string {
	dir := t.TempDir()
	n := 0
	for f := range 13 {
		var text strings.Builder
		text.WriteString("Number,Date,Species,Toe clip,Sex,SVL (mm),Gross (g),Bag (g),Remarks\n")
		for i := range 1500 + 9*f {
			n++
			number, length := fmt.Sprintf("MC-%05d", n), 48+float64(n*7919%251)/10
			if n%997 == 0 {
				number = ""
			}
			if n%1501 == 0 {
				length *= 10 // a decimal slipped
			}
			mark := ""
			if n%5 == 0 {
				mark = fmt.Sprintf("T%d", n%2000)
			}
			fmt.Fprintf(&text, "%s,2023-%02d-%02d,Lithobates pipiens,%s,%s,%.1f,%.1f,%.1f,%s\n", number, 4+f%3, 1+i%28, mark, []string{"F", "M", ""}[n%3],
				length, length*length*length*1.1e-4+3.5, 3.5, []string{"", "calling", "n/a"}[n%3])
		}
		folder := filepath.Join(dir, fmt.Sprintf("season-%d", f%3))
		if err := os.MkdirAll(folder, 0o755); err != nil {
			t.Fatal(err)
		}
		write(t, filepath.Join(folder, fmt.Sprintf("sheet-%02d.csv", f)), text.String())
	}
	write(t, filepath.Join(dir, "survey.yaml"), `dataset:
  id: https://marrow-creek.invalid/datasets/seasons
  title: Frogs of Marrow Creek
  description: Frogs of three seasons, made up for a test.
  language: en
  published: "2024-01-31"
  licence: https://creativecommons.org/licenses/by/4.0/legalcode
  creators: [{family: Varga}]
  contacts: [{family: Varga, email: varga@marrow-creek.invalid}]
instruments:
  - {name: caliper, kind: dial caliper, unit: mm, graduation: 0.1, capacity: 150}
sheets: [{file: season-*/*.csv, weighing: {way: same-row, unit: g}}]
mapping:
  headings:
    - {heading: Number, term: recordNumber}
    - {heading: Date, term: eventDate}
    - {heading: Species, term: scientificName}
    - {heading: Toe clip, term: organismID}
    - {heading: Sex, term: sex}
    - {heading: SVL (mm), measurement: snoutVentLength, unit: mm, instrument: caliper}
    - {heading: Gross (g), weighing: gross, unit: g}
    - {heading: Bag (g), weighing: tare, unit: g}
    - {heading: Remarks, term: occurrenceRemarks}
`)
	return dir
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// A file that cannot be read is a finding with its name, and what is told of the
// others is released: a torn workbook, an empty one, a pipe, a folder; text in no
// encoding, nothing at all, and rows that are cut off are read as far as they go.
func TestABadFileIsAFinding(t *testing.T) {
	demo, folder, out := filepath.Join(top, "testdata", "demo"), t.TempDir(), t.TempDir()
	if err := os.CopyFS(folder, os.DirFS(demo)); err != nil {
		t.Fatal(err)
	}
	bad := map[string]string{"torn.xlsx": "PK\x03\x04 torn", "empty.xlsx": "", "empty.csv": "",
		"bytes.csv": "Number,Date\nMC-9901,\xff\xfe\xc3\x28 \x80\n", "cut.csv": "Number,Date\nMC-9902,\"2023-05"}
	for name, text := range bad {
		write(t, filepath.Join(folder, name), text)
	}
	if err := syscall.Mkfifo(filepath.Join(folder, "pipe.csv"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Join(folder, "folder.csv"), 0o700); err != nil {
		t.Fatal(err)
	}
	entries := "sheets:\n"
	for _, name := range slices.Sorted(maps.Keys(bad)) {
		entries += "  - {file: " + name + ", mapping: june.yaml}\n"
	}
	entries += "  - {file: pipe.csv, mapping: june.yaml}\n  - {file: folder.csv, mapping: june.yaml}\n"
	path := filepath.Join(folder, "survey.yaml")
	write(t, path, strings.Replace(read(t, path), "sheets:\n", entries, 1))
	if err := (call{[]string{folder}, out, 2, 2, ""}).run(context.Background(), io.Discard); err != nil {
		t.Fatal(err)
	}
	findings := read(t, filepath.Join(out, "findings.csv"))
	for _, name := range []string{"torn.xlsx", "empty.xlsx", "pipe.csv", "folder.csv"} {
		if !strings.Contains(findings, "error,file-unread,"+name) {
			t.Errorf("%s is not told of", name)
		}
	}
	for name := range bad {
		if !strings.Contains(findings, ","+name+",") {
			t.Errorf("nothing is said of %s", name)
		}
	}
	one := t.TempDir()
	if _, err := pipeline.Run(context.Background(), demo, one, pipeline.Options{}); err != nil {
		t.Fatal(err)
	}
	rest := union(t, out, darwincore.OccurrenceFile)
	for _, row := range rows(t, read(t, filepath.Join(one, darwincore.Folder, darwincore.OccurrenceFile)))[1:] {
		if !strings.Contains(rest, row[0]) {
			t.Errorf("%s of a good file is missing", row[0])
		}
	}
	proved(t, out)
}

// dump writes what goes between two steps into files, as a runner would.
type dump struct{ Folder string }

func (d *dump) ProcessElement(block []byte) error {
	return os.WriteFile(filepath.Join(d.Folder, fmt.Sprintf("%x", sha256.Sum256(block))), block, 0o644)
}

func valueOf(_ int, block []byte) []byte { return block }

func init() {
	beam.RegisterDoFn(&dump{})
	beam.RegisterFunction(valueOf)
}

// No place of a sensitive taxon stands in anything that goes between two steps,
// nor in what is prepared. Without the seal they would be found there.
func TestNoPlaceGoesBetweenTwoSteps(t *testing.T) {
	folder := t.TempDir()
	if err := os.CopyFS(folder, os.DirFS(filepath.Join(top, "testdata", "demo"))); err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(folder, "sensitive.csv"), "taxon,grid,reason\nRanidae,0.1,invented for the test\nBufonidae,0.1,invented for the test\n")
	sites := rows(t, read(t, filepath.Join(folder, "sites.csv")))
	var secrets []string
	for _, row := range sites[1:] {
		secrets = append(secrets, row[0])
	}
	for _, sealed := range []bool{true, false} {
		survey, err := pipeline.Share(folder, pipeline.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if !survey.Secret() {
			t.Fatal("nothing is sensitive")
		}
		between := t.TempDir()
		j := job{Folder: folder, Prepared: t.TempDir(), Between: between, Shards: 2, Sealed: sealed}
		if err := j.describe(survey); err != nil {
			t.Fatal(err)
		}
		p, s := beam.NewPipelineWithRoot()
		f := j.build(s, survey.Sheets(), 2)
		for _, c := range []beam.PCollection{beam.ParDo(s, valueOf, f.pieces), f.outline, beam.ParDo(s, valueOf, f.parts), beam.ParDo(s, valueOf, f.edges), f.learned, beam.ParDo(s, valueOf, f.drawers), f.matched, f.fetched,
			beam.ParDo(s, valueOf, f.screened), f.causes, f.counts, f.signs, f.followed, f.marks, beam.ParDo(s, valueOf, f.verdicts), beam.ParDo(s, valueOf, f.judged), beam.ParDo(s, valueOf, f.identifiers), f.whole, f.shards} {
			beam.ParDo0(s, &dump{between}, c)
		}
		if err := beamx.Run(context.Background(), p); err != nil {
			t.Fatal(err)
		}
		if told := tells(t, between, secrets); (len(told) > 0) == sealed {
			t.Errorf("sealed %v: between steps %v stand", sealed, told)
		}
		if told := tells(t, j.Prepared, secrets); len(told) > 0 {
			t.Errorf("sealed %v: %v stand in what is prepared", sealed, told)
		}
	}
}

// tells lists the texts that stand in the files of a folder, unpacked.
func tells(t *testing.T, folder string, texts []string) []string {
	found, files := map[string]bool{}, 0
	err := filepath.WalkDir(folder, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		files++
		text := read(t, path)
		if z, err := gzip.NewReader(strings.NewReader(text)); err == nil && strings.HasSuffix(path, ".gz") {
			b, _ := io.ReadAll(z)
			text = string(b)
		}
		text += expanded(t, text)
		for _, s := range texts {
			if strings.Contains(strings.ToLower(text), strings.ToLower(s)) {
				found[s] = true
			}
		}
		return nil
	})
	if err != nil || files < 3 {
		t.Fatalf("%d files in %s: %v", files, folder, err)
	}
	return slices.Sorted(maps.Keys(found))
}

// expanded are the compressed bodies that stand in a text.
func expanded(t *testing.T, text string) string {
	var all strings.Builder
	const frame = "\x28\xb5\x2f\xfd" // RFC 8878, section 3.1.1
	for at := strings.Index(text, frame); at >= 0; {
		z, err := zstd.NewReader(strings.NewReader(text[at:]))
		if err != nil {
			t.Fatal(err)
		}
		_, _ = io.Copy(&all, z) // what follows the body is none
		z.Close()
		next := strings.Index(text[at+1:], frame)
		if next < 0 {
			break
		}
		at += 1 + next
	}
	return all.String()
}

// A body that is too large for an element goes by a file, which may not be damaged.
func TestALargeBodyGoesByAFile(t *testing.T) {
	for _, sealed := range []bool{false, true} {
		j := job{Between: t.TempDir(), Sealed: sealed}
		text := make([]byte, 3*inElement)
		rand.NewChaCha8([32]byte{}).Read(text)
		body, err := j.seal(text)
		if err != nil || len(body) > 100 {
			t.Fatal(err, len(body))
		}
		if got, err := j.unseal(body); err != nil || !bytes.Equal(got, text) {
			t.Error(err)
		}
		if stored, err := j.stored(); err != nil || stored.Blocks != 1 || stored.Bytes < int64(len(text)) {
			t.Error(err, stored)
		}
		path := j.between(body[1:])
		damaged := []byte(read(t, path))
		damaged[len(damaged)/2]++
		write(t, path, string(damaged))
		if _, err := j.unseal(body); !errors.Is(err, errBlock) {
			t.Errorf("damage is not noticed: %v", err)
		}
	}
}

// Workers of other processes need a key, and one key opens what it sealed.
func TestSeal(t *testing.T) {
	var j job
	if err := j.secure("PROCESS", "localhost:8073"); err == nil {
		t.Error("no key is asked for")
	}
	if err := j.secure("", ""); err != nil || !j.Sealed {
		t.Error(err)
	}
	for _, p := range []pipeline.Piece{{Sheet: 3, Attempt: 1, Number: 12, Data: []byte("Alder Seep")}, {Sheet: 3, Attempt: -1, Number: pipeline.AboutSheet}} {
		block, err := j.packPiece(p)
		if err != nil || bytes.Contains(block, []byte("Alder")) {
			t.Fatal(err, block)
		}
		got, err := j.unpackPiece(block)
		if err != nil || got.Sheet != p.Sheet || got.Attempt != p.Attempt || got.Number != p.Number || !bytes.Equal(got.Data, p.Data) {
			t.Error(err, got)
		}
		block[len(block)-1]++
		if _, err := j.unpackPiece(block); err == nil {
			t.Error("damage is not noticed")
		}
	}
	other := j
	other.KeyFile = filepath.Join(t.TempDir(), "key")
	write(t, other.KeyFile, strings.Repeat("k", keySize))
	block, _ := j.packPart(pipeline.Part{Number: 1, Data: []byte("text")})
	if _, err := other.unpackPart(block); err == nil {
		t.Error("another key opens it")
	}
}

// Parts that a runner gives twice, after a bundle was tried again, count once, and
// in their order.
func TestTriedAgainCountsOnce(t *testing.T) {
	var j job
	var blocks [][]byte
	for _, n := range []byte{2, 0, 1, 1, 2} {
		block, err := j.seal([]byte{n})
		if err != nil {
			t.Fatal(err)
		}
		_, one := inOne(int(n), block)
		blocks = append(blocks, one)
	}
	all, err := j.inOrder(iterated(append(blocks, nil)))
	if err != nil {
		t.Fatal(err)
	}
	var got []byte
	for _, open := range all {
		p, err := open()
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, p...)
	}
	if !bytes.Equal(got, []byte{0, 1, 2}) {
		t.Error(got)
	}
	blocks = nil
	for _, n := range []int{4, 3, 4} {
		block, _ := j.packPart(pipeline.Part{Number: n})
		blocks = append(blocks, block)
	}
	var numbers []int
	for p, err := range j.partsOf(iterated(blocks)) {
		if err != nil {
			t.Fatal(err)
		}
		numbers = append(numbers, p.Number)
	}
	if !slices.Equal(numbers, []int{3, 4}) {
		t.Error(numbers)
	}
}

func iterated(blocks [][]byte) func(*[]byte) bool {
	return func(b *[]byte) bool {
		if len(blocks) == 0 {
			return false
		}
		*b, blocks = blocks[0], blocks[1:]
		return true
	}
}
