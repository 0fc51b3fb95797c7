package darwincore

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"

	"spadefoot/pipeline/record/need"
)

// zipped writes a text in pieces of a size through the deflater, and returns the
// zip.
func zipped(t testing.TB, text []byte, piece int) []byte {
	t.Helper()
	dir := t.TempDir()
	d := newDeflater()
	p, err := newPacking(d, filepath.Join(dir, "text"), dir)
	if err != nil {
		t.Fatal(err)
	}
	for rest := text; len(rest) > 0; rest = rest[min(piece, len(rest)):] {
		if _, err := p.Write(rest[:min(piece, len(rest))]); err != nil {
			t.Fatal(err)
		}
	}
	if err := p.finish(); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := writeZip(&out, []entry{{"text", p}}); err != nil {
		t.Fatal(err)
	}
	p.drop()
	d.stop()
	if b, err := os.ReadFile(filepath.Join(dir, "text")); err != nil || !bytes.Equal(b, text) {
		t.Fatalf("the file differs from what was written: %v", err)
	}
	return out.Bytes()
}

// unzipped returns the text of a zip of one file, which the reader holds against
// its sum.
func unzipped(t testing.TB, b []byte) []byte {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	f, err := z.File[0].Open()
	if err != nil {
		t.Fatal(err)
	}
	text, err := io.ReadAll(f)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// Blocks come together as one stream, whatever their number, and the bytes do
// not depend on the number of processors or of writes.
func TestDeflate(t *testing.T) {
	for _, n := range []int{0, 1, blockSize - 1, blockSize, blockSize + 1, 9*blockSize + 5} {
		text := sheetOf(n)
		var want []byte
		for _, processors := range []int{1, 2, 5} {
			before := runtime.GOMAXPROCS(processors)
			got := zipped(t, text, 100000*processors+3)
			runtime.GOMAXPROCS(before)
			if want == nil {
				want = got
			}
			if !bytes.Equal(got, want) {
				t.Errorf("%d bytes: other bytes on %d processors", n, processors)
			}
		}
		if !bytes.Equal(unzipped(t, want), text) {
			t.Errorf("%d bytes do not come back", n)
		}
	}
}

// A disk that is full is an error soon, not at the end: full of the file, or of what
// it was deflated to.
func TestDeflatedOnFullDisk(t *testing.T) {
	open := func(name string) *os.File {
		f, err := os.OpenFile(name, os.O_WRONLY, 0)
		if err != nil {
			t.Skip("no device like " + name)
		}
		t.Cleanup(func() { f.Close() })
		return f
	}
	full, null := open("/dev/full"), open(os.DevNull)
	d := newDeflater()
	defer d.stop()
	text := sheetOf(blockSize)
	for _, p := range []*packing{{deflater: d, file: null, packed: full}, {deflater: d, file: full, packed: null}, {deflater: d, file: full}} {
		p.begin()
		var err error
		for range 2 * cap(d.blocks) {
			if _, err = p.Write(text); err != nil {
				break
			}
		}
		if !errors.Is(err, syscall.ENOSPC) {
			t.Errorf("%v", err)
		}
		if p.block != nil {
			d.blocks <- p.block
		}
	}
}

func FuzzDeflate(f *testing.F) {
	f.Add([]byte("a,b\n1,2\n"), uint8(3), uint16(1000))
	f.Add([]byte{}, uint8(0), uint16(0))
	f.Fuzz(func(t *testing.T, text []byte, piece uint8, times uint16) {
		text = bytes.Repeat(text, int(times)%2048+1)
		if len(text) > 3*blockSize {
			text = text[:3*blockSize]
		}
		if got := unzipped(t, zipped(t, text, 1<<(piece%22))); !bytes.Equal(got, text) {
			t.Errorf("%d bytes come back as %d", len(text), len(got))
		}
	})
}

// sheetOf makes so many bytes of something like rows.
func sheetOf(n int) []byte {
	b := make([]byte, 0, n+100)
	for i := 0; len(b) < n; i++ {
		b = append(b, OccurrenceID("x", fmt.Sprint(i))...)
		b = fmt.Appendf(b, ",snout-vent length,%d.%d,mm,\"as written: \"\"%d\"\"\"\n", i%90, i%7, i%11)
	}
	return b[:n]
}

// TestLargeEntry makes an entry of 5 GiB from one block over and over, which
// blocks allow that refer to nothing before them.
func TestLargeEntry(t *testing.T) {
	const times = 5 << 10
	dir := t.TempDir()
	block := make([]byte, blockSize)
	z := zipped(t, block, blockSize)
	r, err := zip.NewReader(bytes.NewReader(z), int64(len(z)))
	if err != nil {
		t.Fatal(err)
	}
	raw, err := r.File[0].OpenRaw()
	if err != nil {
		t.Fatal(err)
	}
	packed, err := io.ReadAll(raw)
	if err != nil {
		t.Fatal(err)
	}
	packed = bytes.TrimSuffix(packed, lastBlock)
	p := &packing{size: times * blockSize}
	if p.packed, err = os.Create(filepath.Join(dir, "packed")); err != nil {
		t.Fatal(err)
	}
	long := os.Getenv("SPADEFOOT_LONG") != ""
	for range times {
		p.packed.Write(packed)
		if long {
			p.crc = crc32.Update(p.crc, crc32.IEEETable, block)
		}
	}
	p.packed.Write(lastBlock)
	p.zip = times*uint64(len(packed)) + uint64(len(lastBlock))
	path := filepath.Join(dir, "large.zip")
	if err := writeFile(path, func(w io.Writer) error { return writeZip(w, []entry{{"large", p}}) }); err != nil {
		t.Fatal(err)
	}
	p.packed.Close()
	large, err := zip.OpenReader(path)
	if err != nil {
		t.Fatal(err)
	}
	defer large.Close()
	for _, f := range large.File {
		if f.UncompressedSize64 != times*blockSize || f.CRC32 != p.crc {
			t.Errorf("%s has %d bytes", f.Name, f.UncompressedSize64)
		}
	}
	if !long {
		return
	}
	out, err := exec.Command(need.Tool(t, "unzip"), "-t", path).CombinedOutput()
	if err != nil {
		t.Errorf("unzip: %v\n%s", err, out)
	}
}

func BenchmarkDeflate(b *testing.B) {
	text := sheetOf(8 * blockSize)
	d := newDeflater()
	defer d.stop()
	dir := b.TempDir()
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		p, err := newPacking(d, os.DevNull, dir)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := p.Write(text); err != nil {
			b.Fatal(err)
		}
		if err := p.finish(); err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(text))/float64(p.zip), "ratio")
		p.drop()
	}
}
