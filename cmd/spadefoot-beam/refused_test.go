package main

import (
	"errors"
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/apache/beam/sdks/v2/go/pkg/beam/runners"

	"spadefoot/pipeline"
	"spadefoot/pipeline/prove"
)

// A shard that did not pass its proof is told of with its reason, and ends the
// program with exit code 1; an identifier of two occurrences is wrong with the
// whole.
func TestARefusedShardIsToldOf(t *testing.T) {
	said := []*shardSaid{
		{Shard: &pipeline.Shard{Number: 0, Counts: prove.Counts{Occurrences: 3}}, Files: []string{"occurrence-00000-of-00002.csv.gz"}},
		{Shard: &pipeline.Shard{Number: 1, Counts: prove.Counts{Occurrences: 2}, Refused: "a heading is no term"}},
	}
	sum := (&job{Shards: 2}).summed(&judged{Whole: &pipeline.Whole{}}, said)
	if sum.Refused != 1 || sum.Shards[1].Proved || sum.Shards[1].Refused != "a heading is no term" || !sum.Shards[0].Proved || sum.Counts.Occurrences != 5 {
		t.Errorf("%+v", sum)
	}
	if err := sum.print(io.Discard, "out"); !errors.Is(err, errRefused) || exitCode(err) != 1 {
		t.Error(err)
	}
	ids := []string{"b", "a"}
	got := repeated(func(id *string) bool {
		if len(ids) == 0 {
			return false
		}
		*id, ids = ids[0], ids[1:]
		return true
	})
	if len(got) != 1 || !strings.Contains(got[0], "2 identifiers") || !strings.HasSuffix(got[0], "a, b") {
		t.Error(got)
	}
	var doubled []string
	var j job
	var blocks [][]byte
	for _, ids := range []string{"thrice\ntwice\nonce\n", "thrice\ntwice\nthrice\n"} {
		block, err := j.seal([]byte(ids))
		if err != nil {
			t.Fatal(err)
		}
		blocks = append(blocks, block)
	}
	if err := (&twice{}).ProcessElement(0, iterated(blocks), func(id string) { doubled = append(doubled, id) }); err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(doubled, []string{"thrice", "twice"}) {
		t.Error(doubled)
	}
}

// A call that cannot be carried out is refused before anything is read, with what is
// wrong and what would be right.
func TestWrongCallsAreRefused(t *testing.T) {
	for _, c := range []struct {
		call   call
		runner string
		want   string
	}{
		{call{nil, "out", 1, 1, ""}, "", "takes one survey folder, after the flags; found 0 arguments"},
		{call{[]string{"a", "--out", "b"}, "", 1, 1, ""}, "", "found 3 arguments; usage: spadefoot-beam --out DIR [flags] FOLDER"},
		{call{[]string{"a"}, "", 1, 1, ""}, "", "needs a folder to write to: --out DIR"},
		{call{[]string{"a"}, "out", 0, 1, ""}, "", "--shards: found 0; give 1 or more"},
		{call{[]string{"a"}, "out", 1, -1, ""}, "", "--bundles: found -1; give 1 or more"},
		{call{[]string{"a"}, "out", 1, 1, ""}, "sparks", `--runner: found "sparks"; allowed: prism, universal, flink, spark, dataflow`},
	} {
		was := *runners.Runner
		*runners.Runner = c.runner
		err := c.call.run(t.Context(), io.Discard)
		*runners.Runner = was
		if err == nil || !strings.Contains(err.Error(), c.want) || exitCode(err) != 2 {
			t.Errorf("%+v: %v, want %q", c.call, err, c.want)
		}
	}
}
