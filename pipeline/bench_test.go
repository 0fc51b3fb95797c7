package pipeline

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"spadefoot/pipeline/record/need"
)

// benchFolder is the survey folder to measure with: $SPADEFOOT_SURVEY, or the
// demo.
func benchFolder(tb testing.TB) string {
	if folder := os.Getenv("SPADEFOOT_SURVEY"); folder != "" {
		return folder
	}
	return filepath.Join(need.Root(tb), "testdata", "demo")
}

// BenchmarkStages walks all stages and says what each stage takes of it, in
// microseconds per capture.
func BenchmarkStages(b *testing.B) {
	b.ReportAllocs()
	folder, out := benchFolder(b), b.TempDir()
	took := map[string]time.Duration{}
	captures := 0
	for b.Loop() {
		last, since := "", time.Now()
		r, err := Run(context.Background(), folder, out, Options{Progress: func(stage string) {
			took[last] += time.Since(since)
			last, since = strings.ReplaceAll(stage, " ", "-"), time.Now()
		}})
		if err != nil {
			b.Fatal(err)
		}
		took[last] += time.Since(since)
		captures += r.Counts.Captures
	}
	delete(took, "")
	for stage, t := range took {
		b.ReportMetric(float64(t.Microseconds())/float64(captures), stage+"-µs/capture")
	}
}

// The outputs are the same bytes on one processor and on many, whether the
// survey is held or walked in parts.
func TestSameBytesOnAnyNumberOfProcessors(t *testing.T) {
	t.Run("held", func(t *testing.T) { sameBytesOnAnyNumber(t, Options{Version: "test"}) })
	t.Run("in parts", func(t *testing.T) { sameBytesOnAnyNumber(t, Options{Version: "test", wholeRows: 1, partRows: 30}) })
}

func sameBytesOnAnyNumber(t *testing.T, o Options) {
	var want map[string][]byte
	for _, processors := range []int{1, 2, 5} {
		before := runtime.GOMAXPROCS(processors)
		out := t.TempDir()
		_, err := Run(context.Background(), benchFolder(t), out, o)
		runtime.GOMAXPROCS(before)
		if err != nil {
			t.Fatal(err)
		}
		got := map[string][]byte{}
		err = filepath.WalkDir(out, func(path string, d os.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			name, _ := filepath.Rel(out, path)
			got[name], err = os.ReadFile(path)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		if want == nil {
			want = got
			continue
		}
		for name := range want {
			if !bytes.Equal(got[name], want[name]) {
				t.Errorf("%s differs between 1 and %d processors", name, processors)
			}
		}
		if len(got) != len(want) {
			t.Errorf("%d files on %d processors, %d on one", len(got), processors, len(want))
		}
	}
}
