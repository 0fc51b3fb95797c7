package main

import (
	"errors"
	"io"
	"slices"
	"strings"
	"testing"

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
	if err := sum.tell(io.Discard); !errors.Is(err, errRefused) || exitCode(err) != 1 {
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
