package prove_test

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline/prove"
)

func hostile(t *testing.T, path string, o prove.Options, why string) {
	t.Helper()
	_, err := prove.Path(context.Background(), path, o)
	var h *prove.HostileError
	if !errors.As(err, &h) || !strings.Contains(err.Error(), why) {
		t.Errorf("got %v, want a refusal with %q", err, why)
	}
}

func TestHostileFolder(t *testing.T) {
	dir := filepath.Join(func() string { d, _ := written(t, 1); return d }(), "darwin-core")
	if err := os.Symlink("/etc/passwd", filepath.Join(dir, "more.csv")); err != nil {
		t.Skip(err)
	}
	hostile(t, dir, prove.Options{}, "is a link")
}

func TestLimits(t *testing.T) {
	dir, _ := written(t, 50)
	path := filepath.Join(dir, "darwin-core.zip")
	hostile(t, path, prove.Options{Limits: prove.Limits{Ratio: 250, Total: 1000, Files: 10}}, "more than 1000 bytes")
	hostile(t, path, prove.Options{Limits: prove.Limits{Ratio: 250, Total: 1 << 30, Files: 3}}, "more than 3 files")
}

// TestLyingZip changes the size that the table of contents gives for a file.
func TestLyingZip(t *testing.T) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	w, err := z.CreateHeader(&zip.FileHeader{Name: "frogs.csv", Method: zip.Deflate})
	if err != nil {
		t.Fatal(err)
	}
	w.Write([]byte("occurrenceID\n" + strings.Repeat("x", 5000) + "\n"))
	z.Close()
	raw := b.Bytes()
	at := bytes.LastIndex(raw, []byte("PK\x01\x02"))
	raw[at+24], raw[at+25] = 10, 0 // unpacked size
	path := filepath.Join(t.TempDir(), "lying.zip")
	if err := os.WriteFile(path, raw, 0o644); err != nil {
		t.Fatal(err)
	}
	hostile(t, path, prove.Options{}, "unpacks to more than its stated size")
}

func TestUnreadable(t *testing.T) {
	dir := t.TempDir()
	if _, err := prove.Path(context.Background(), filepath.Join(dir, "none"), prove.Options{}); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a path that is not there gives %v", err)
	}
	cut := filepath.Join(dir, "cut.zip")
	os.WriteFile(cut, []byte("PK\x03\x04 and no more"), 0o644)
	if _, err := prove.Path(context.Background(), cut, prove.Options{}); err == nil || !strings.Contains(err.Error(), "cut.zip") {
		t.Errorf("a truncated zip gives %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	big := filepath.Join(dir, "big.csv")
	os.WriteFile(big, []byte("occurrenceID\n"+strings.Repeat("x\n", 40000)), 0o644)
	if _, err := prove.Path(ctx, big, prove.Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("an interrupted proof gives %v", err)
	}
}
