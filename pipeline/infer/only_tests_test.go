package infer

import (
	"cmp"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// What only tests call.

// inOrder returns the captures in an order that does not depend on the one they
// came in.
func inOrder(captures []*record.Capture) []*record.Capture {
	out := slices.Clone(captures)
	sorting.StableFunc(out, compareCaptures)
	return out
}

func compareCaptures(a, b *record.Capture) int {
	return cmp.Or(strings.Compare(a.ID, b.ID), a.Address().Compare(b.Address()), strings.Compare(a.Key, b.Key))
}

// Infer runs the whole stage over captures that are all at hand; a survey that
// comes in parts takes an Inference. flagged holds the IDs of captures with
// findings from screening: nothing is learnt from them and they get no
// condition index. The captures are not changed; the caller adds Derived
// readings and Fill values.
func Infer(captures []*record.Capture, flagged map[string]bool, in Inputs, s Settings) Result {
	var r Result
	captures = inOrder(captures)
	x := New(in, s)
	x.whole = &r
	r.Findings = x.Add(captures, func(i int) bool { return flagged[captures[i].ID] }).Findings
	if x.Learn() {
		r.Findings = append(r.Findings, x.Judge(captures)...)
	}
	r.Models = x.models
	r.Findings = append(r.Findings, x.Settle()...)
	members := make([][]int, len(x.conditions.groups))
	for n := range captures {
		if g := x.kept.group(n); g >= 0 {
			members[g] = append(members[g], n)
		}
	}
	for _, g := range x.groups() {
		r.Groups = append(r.Groups, *g)
		for _, n := range members[x.conditions.byName[g.Name]] {
			for _, reading := range x.Readings(n, captures[n]) {
				r.Derived = append(r.Derived, Derived{captures[n].ID, reading})
			}
		}
	}
	record.SortFindings(r.Findings)
	return r
}
