package desk

import (
	"fmt"
	"strings"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
)

// comparison is what differs between two walks of a survey.
type comparison struct {
	Gone, New        difference
	Captures         int // more than before
	Readings, Values int // more than before: numbers, and texts of terms
}

// difference is the errors and warnings that one walk has and another has not.
type difference struct {
	First []record.Finding
	N     int
}

// More is how many there are beside the first ones.
func (d difference) More() int { return d.N - len(d.First) }

// compare holds a walk against an earlier one.
func compare(before, after *pipeline.Snapshot) (c comparison, err error) {
	c = comparison{Captures: after.Counts.Captures - before.Counts.Captures, Readings: after.Readings - before.Readings, Values: after.Values - before.Values}
	if c.Gone, err = without(before, after); err != nil {
		return c, err
	}
	c.New, err = without(after, before)
	return c, err
}

// doubtKey tells a doubt from others. The reason is not part of it, since its
// figures change with every other value.
func doubtKey(f *record.Finding) digest.Digest {
	return digest.Start.Text(f.Rule).Byte(0).Text(f.At.File).Byte(0).Text(f.At.Sheet).Byte(0).Text(fmt.Sprint(f.At.Row, f.At.Column))
}

func without(a, b *pipeline.Snapshot) (out difference, err error) {
	have := map[digest.Digest]bool{}
	for f, err := range b.Doubts() {
		if err != nil {
			return out, err
		}
		have[doubtKey(&f)] = true
	}
	for f, err := range a.Doubts() {
		switch {
		case err != nil:
			return out, err
		case have[doubtKey(&f)]:
			continue
		}
		if out.N++; len(out.First) < maxListed {
			out.First = append(out.First, f)
		}
	}
	return out, nil
}

// String says it in a sentence or two.
func (c comparison) String() string {
	var parts []string
	for _, p := range []struct {
		n    int
		word string
	}{{c.Captures, "capture"}, {c.Readings, "number"}, {c.Values, "value"}} {
		switch {
		case p.n > 0:
			parts = append(parts, record.Plural(p.n, p.word)+" more")
		case p.n < 0:
			parts = append(parts, record.Plural(-p.n, p.word)+" fewer")
		}
	}
	doubts := fmt.Sprintf("Doubts: %d gone, %d new.", c.Gone.N, c.New.N)
	if len(parts) == 0 {
		return doubts
	}
	return "Read: " + strings.Join(parts, ", ") + ". " + doubts
}
