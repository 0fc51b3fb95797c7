package prove_test

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record/need"
)

// TestLong proves an archive of many rows in bounded memory. It runs with
// SPADEFOOT_LONG=1, or with the number of rows in its place.
func TestLong(t *testing.T) {
	n, err := strconv.Atoi(os.Getenv("SPADEFOOT_LONG"))
	if err != nil {
		t.Skip("runs with SPADEFOOT_LONG=1")
	}
	if n == 1 {
		n = 1_000_000
	}
	dir, _ := written(t, 1)
	dir = filepath.Join(dir, "darwin-core")
	swell(t, filepath.Join(dir, "occurrence.csv"), n)
	swell(t, filepath.Join(dir, "measurementorfact.csv"), n)
	var peak uint64
	o := prove.Options{TempDir: t.TempDir(), MayReport: func(int) {
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		peak = max(peak, m.HeapInuse)
	}}
	start := time.Now()
	result, err := prove.Path(context.Background(), dir, o)
	if err != nil {
		t.Fatal(err)
	}
	if need.Errors(result.Findings) > 0 || result.Parts[0].Rows != n || result.Parts[1].Rows != n {
		t.Errorf("%v, %+v", result.Findings, result.Parts)
	}
	t.Logf("%d rows in core and extension each: %v, heap at most %d MB", n, time.Since(start).Round(time.Millisecond), peak>>20)
	if peak > 300<<20 {
		t.Errorf("the heap grew to %d MB", peak>>20)
	}
}

// swell repeats the first row of a file with identifiers of their own.
func swell(t *testing.T, path string, n int) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var header, row string
	for i, line := range strings.Split(string(b), "\n") {
		switch i {
		case 0:
			header = line
		case 1:
			row = line[len("urn:uuid:00000000-0000-0000-0000-000000000000"):]
		}
	}
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	w := bufio.NewWriter(f)
	fmt.Fprintln(w, header)
	for i := range n {
		fmt.Fprintf(w, "urn:uuid:%036d%s\n", i*7919%n, row)
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	f.Close()
}
