package remedy

import (
	"cmp"
	"fmt"
	"slices"
)

// Merge joins tables of remedies that are beside each other: a row that is
// in several counts once, and one that is decided in any of them is decided. The
// error is of type Mismatches where two decide the same row differently.
func Merge(tables ...[]Remedy) ([]Remedy, error) {
	var out []Remedy
	var wrong Mismatches
	for i, t := range tables {
		from := index(out)
		for k := range t {
			r := &t[k]
			n := from.take(r)
			switch {
			case i == 0 || n < 0:
				out = append(out, *r)
			case out[n].Action == Undecided:
				out[n] = either(out[n], *r)
			case r.Action != Undecided && (r.Action != out[n].Action || r.Replacement != out[n].Replacement):
				wrong = append(wrong, Mismatch{r.File, r.Line, fmt.Sprintf("contradicts %s, line %d; keep one of the two", out[n].File, out[n].Line)})
			}
		}
	}
	if len(wrong) > 0 {
		return nil, wrong
	}
	return out, nil
}

// either returns the one of two rows that is decided, the first if none is, with
// what is beside either.
func either(a, b Remedy) Remedy {
	out := a
	if b.Action != Undecided {
		out = b
	}
	out.Beside, out.Earlier = cmp.Or(a.Beside, b.Beside), cmp.Or(a.Earlier, b.Earlier)
	return out
}

// Revise puts decisions into a table: in place of the rows that they answer, or
// behind them.
func Revise(table, decisions []Remedy) []Remedy {
	out := slices.Clone(table)
	from := index(out)
	for i := range decisions {
		if n := from.take(&decisions[i]); n >= 0 {
			out[n] = decisions[i]
		} else {
			out = append(out, decisions[i])
		}
	}
	return out
}

// question is what remedies that are the same have in common, and more that
// seldom differs.
type question struct {
	rule, file, sheet, capture string
	row, column                int
}

// questions are the rows of a table by what they answer.
type questions struct {
	of map[question][]int
	rs []Remedy
}

func index(rs []Remedy) *questions {
	q := &questions{map[question][]int{}, rs}
	for i := range rs {
		k := asked(&rs[i])
		q.of[k] = append(q.of[k], i)
	}
	return q
}

func asked(r *Remedy) question {
	return question{r.Rule, r.At.File, r.At.Sheet, r.Capture, r.At.Row, r.At.Column}
}

// take returns the first row that answers the same and was not taken, or -1.
func (q *questions) take(r *Remedy) int {
	k := asked(r)
	for i, n := range q.of[k] {
		if q.rs[n].Same(r) {
			q.of[k] = slices.Delete(q.of[k], i, i+1)
			return n
		}
	}
	return -1
}
