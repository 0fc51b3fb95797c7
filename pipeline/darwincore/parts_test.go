package darwincore_test

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"syscall"
	"testing"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/record"
	"spadefoot/testdata/readback"
)

// varied are captures whose rows need more columns the later they come, and
// some of which only one has.
func varied(n int) []*record.Capture {
	out := make([]*record.Capture, n)
	for i := range out {
		c := capture(i)
		c.Set(record.Value{Field: record.Of("eventDate"), Text: fmt.Sprintf("2021-%02d-%02d", 1+i%12, 1+i%28), Verbatim: "as on the sheet"})
		if i%3 == 0 {
			c.Weighing, c.Extras, c.Remarks = nil, nil, nil
		}
		if i > n/2 {
			c.Set(record.Value{Field: record.Of("locality"), Text: "Beaver Pond, \"north\" end\nof it"})
			c.Set(record.Value{Field: record.Of("zone"), Text: "A"})
		}
		if i == n-1 {
			c.Set(record.Value{Field: record.Of("associatedMedia"), Text: "a.jpg | https://marrowcreek.example/b.wav"})
			c.Set(record.Value{Field: record.Of("bed"), Text: "Oldman Formation"})
		}
		out[i] = c
	}
	return out
}

// writeParts writes captures part by part into a folder of its own and returns
// the bytes of all files.
func writeParts(t testing.TB, expect *darwincore.Columns, parts ...[]*record.Capture) map[string][]byte {
	t.Helper()
	dir := t.TempDir()
	a, err := darwincore.Create(dir, dataset(), label)
	if err != nil {
		t.Fatal(err)
	}
	if expect != nil {
		a.Expect(expect)
	}
	for _, p := range parts {
		if err := a.AddPart(p); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := a.Close(); err != nil {
		t.Fatal(err)
	}
	out := map[string][]byte{}
	err = filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, _ := filepath.Rel(dir, path)
		out[filepath.ToSlash(name)], err = os.ReadFile(path)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func sameFiles(t *testing.T, what string, got, want map[string][]byte) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%s: %d files, want %d", what, len(got), len(want))
	}
	for name := range want {
		if !bytes.Equal(got[name], want[name]) {
			t.Errorf("%s: %s differs", what, name)
		}
	}
}

// columnsOf gathers the columns of captures as an earlier pass would.
func columnsOf(captures []*record.Capture) *darwincore.Columns {
	s := darwincore.NewRowBuilder(dataset(), nil).RowWriter()
	var c darwincore.Columns
	for _, capture := range captures {
		s.Occurrence(capture)
		s.Note(&c, capture)
	}
	return &c
}

// However the captures are parted, and whatever columns are expected, the same
// files come out, on any number of processors.
func TestPartsDoNotShow(t *testing.T) {
	all := varied(700)
	want := writeParts(t, nil, all)
	if len(want) != 6 {
		t.Fatalf("%d files, want 6", len(want))
	}
	onlySome := &record.Capture{Key: "x", Values: []record.Value{{Field: record.Of("habitat"), Text: "marsh"}}}
	tooMany := columnsOf(all)
	tooMany.Join(columnsOf([]*record.Capture{onlySome}))
	for _, processors := range []int{1, 2, 5} {
		before := runtime.GOMAXPROCS(processors)
		for what, got := range map[string]map[string][]byte{
			"one by one":       writeParts(t, nil, slices.Collect(slices.Chunk(all, 1))...),
			"parts of 300":     writeParts(t, nil, slices.Collect(slices.Chunk(all, 300))...),
			"expected columns": writeParts(t, columnsOf(all), slices.Collect(slices.Chunk(all, 300))...),
			"too many columns": writeParts(t, tooMany, all),
			"too few columns":  writeParts(t, columnsOf(all[:5]), all),
			"no columns":       writeParts(t, &darwincore.Columns{}, all),
		} {
			sameFiles(t, fmt.Sprintf("%s, %d processors", what, processors), got, want)
		}
		runtime.GOMAXPROCS(before)
	}
}

// Columns that were gathered beforehand are those that are needed.
func TestColumnsFit(t *testing.T) {
	all := varied(300)
	a, err := darwincore.Create(t.TempDir(), dataset(), label)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Discard()
	columns := columnsOf(all)
	all[7].Set(record.Value{Field: record.Of("associatedOccurrences"), Text: "known later"})
	columns.Add("associatedOccurrences")
	columns.Add("measurementRemarks")
	a.Expect(columns)
	for part := range slices.Chunk(all, 100) {
		if err := a.AddPart(part); err != nil {
			t.Fatal(err)
		}
	}
	if !darwincore.Settled(a) {
		t.Error("the columns that were gathered are not those that hold something")
	}
}

// The zip holds the files of the folder, and every reader that we know takes
// its blocks for one stream.
func TestZipHoldsTheFolder(t *testing.T) {
	files := writeParts(t, nil, varied(3000)) // the measurements are longer than a block
	if n := len(files["darwin-core/measurementorfact.csv"]); n < 3<<20 {
		t.Fatalf("%d bytes of measurements", n)
	}
	z, err := zip.NewReader(bytes.NewReader(files["darwin-core.zip"]), int64(len(files["darwin-core.zip"])))
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, f := range z.File {
		names = append(names, f.Name)
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(r)
		if err != nil || !bytes.Equal(b, files["darwin-core/"+f.Name]) {
			t.Errorf("%s differs from the folder: %v", f.Name, err)
		}
		if y := f.Modified.UTC().Year(); y != 1980 {
			t.Errorf("%s is of %d", f.Name, y)
		}
	}
	if want := []string{"occurrence.csv", "measurementorfact.csv", "media.csv", "meta.xml", "eml.xml"}; !slices.Equal(names, want) {
		t.Errorf("the zip holds %q, want %q", names, want)
	}
}

// An archive that is given up leaves nothing behind.
func TestDiscard(t *testing.T) {
	dir := t.TempDir()
	a, err := darwincore.Create(dir, dataset(), label)
	if err != nil {
		t.Fatal(err)
	}
	if err := a.AddPart(varied(600)); err != nil {
		t.Fatal(err)
	}
	a.Discard()
	if left, err := os.ReadDir(dir); err != nil || len(left) > 0 {
		t.Errorf("the folder holds %v, %v", left, err)
	}
}

// A full disk is an error, while rows are written, at the end and in the zip.
func TestFullDisk(t *testing.T) {
	full := "/dev/full"
	if _, err := os.Stat(full); err != nil {
		t.Skip("no device that is always full")
	}
	for _, c := range []struct {
		name     string
		captures int
	}{{"darwin-core/measurementorfact.csv", 2000}, {"darwin-core/occurrence.csv", 3}, {"darwin-core/eml.xml", 3}, {"darwin-core.zip", 3}} {
		dir := t.TempDir()
		if err := errors.Join(os.Mkdir(filepath.Join(dir, "darwin-core"), 0o755), os.Symlink(full, filepath.Join(dir, c.name))); err != nil {
			t.Fatal(err)
		}
		if _, err := readback.Write(dir, dataset(), label, slices.Values(varied(c.captures))); !errors.Is(err, syscall.ENOSPC) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// What cannot be written is an error.
func TestCannotWrite(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, darwincore.Folder), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	a, err := darwincore.Create(dir, dataset(), label)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Discard()
	if err := a.AddPart(varied(3)); err == nil {
		t.Error("no error where the folder is a file")
	}
}
