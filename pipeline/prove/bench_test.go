package prove_test

import (
	"context"
	"encoding/csv"
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"spadefoot/pipeline/prove"
)

// benchArchive is the archive to measure with: the folder $SPADEFOOT_ARCHIVE,
// or one made of some captures. Bytes are those of its tables.
func benchArchive(b *testing.B) (dir string, bytes int64) {
	b.Helper()
	dir = os.Getenv("SPADEFOOT_ARCHIVE")
	if dir == "" {
		made, _ := written(b, 20_000)
		dir = filepath.Join(made, "darwin-core")
	}
	for _, path := range tables(b, dir) {
		info, err := os.Stat(path)
		if err != nil {
			b.Fatal(err)
		}
		bytes += info.Size()
	}
	return dir, bytes
}

func tables(b *testing.B, dir string) []string {
	paths, err := filepath.Glob(filepath.Join(dir, "*.csv"))
	if err != nil || len(paths) == 0 {
		b.Fatalf("%s holds no tables: %v", dir, err)
	}
	return paths
}

// BenchmarkProof proves an archive; compare BenchmarkBareRead.
func BenchmarkProof(b *testing.B) {
	dir, bytes := benchArchive(b)
	b.SetBytes(bytes)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := prove.Path(context.Background(), dir, prove.Options{TempDir: b.TempDir()}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkBareRead reads the same tables with encoding/csv and does nothing
// with them.
func BenchmarkBareRead(b *testing.B) {
	dir, bytes := benchArchive(b)
	b.SetBytes(bytes)
	b.ReportAllocs()
	for b.Loop() {
		for _, path := range tables(b, dir) {
			if err := bareRead(path); err != nil {
				b.Fatal(err)
			}
		}
	}
}

func bareRead(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.ReuseRecord = true
	for {
		if _, err := r.Read(); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
	}
}
