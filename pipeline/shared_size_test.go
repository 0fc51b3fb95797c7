package pipeline_test

import (
	"os/exec"
	"path/filepath"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record/need"
)

// What is learnt of all parts together stays small: samples fill up, and after that only
// the sessions do, up to as many as are known apart.
func TestWhatIsLearntStaysSmall(t *testing.T) {
	need.Fullest(t)
	const captures, bytes, perCapture = 100_000, 8 << 20, 16
	folder := filepath.Join(t.TempDir(), "bench")
	command := exec.Command("go", "run", "./testdata/bench", "-n", "200000", "-make", folder)
	command.Dir = need.Root(t)
	if said, err := command.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, said)
	}
	s, err := pipeline.Share(folder, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var pieces []pipeline.Piece
	err = s.Read(t.Context(), 0, func(p pipeline.Piece) error {
		pieces = append(pieces, p)
		return nil
	})
	var headings [][]byte
	for _, p := range pieces {
		heading, failed := p.Heading()
		if failed != nil || err != nil {
			t.Fatal(failed, err)
		}
		headings = append(headings, heading)
	}
	k := pipeline.Joined{Outline: blocks(headings...)}
	parts := map[int][]pipeline.Piece{}
	for _, p := range pieces {
		part, counts, err := s.PartOf(k, p)
		if err != nil {
			t.Fatal(err)
		}
		if counts {
			parts[part] = append(parts[part], p)
		}
	}
	var learned []byte
	seen, half := 0, 0
	for part := range len(parts) {
		g, err := s.Gather(k, part, parts[part])
		if err != nil {
			t.Fatal(err)
		}
		if learned, err = pipeline.JoinLearned(each(learned, g.Learned)); err != nil {
			t.Fatal(err)
		}
		for _, p := range parts[part] {
			seen += p.Captures
		}
		if half == 0 && seen >= captures {
			half = len(learned)
		}
	}
	if half > bytes || len(learned)-half > perCapture*captures {
		t.Errorf("%d bytes for %d captures, and %d for %d", half, captures, len(learned), seen)
	}
}
