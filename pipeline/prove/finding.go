package prove

import (
	"fmt"

	"spadefoot/pipeline/record"
)

// listed is how many findings of one rule, file and field are listed.
const listed = 50

const guide = "Darwin Core text guide 2023-09-13, section "

type kind struct{ rule, file, field string }

// findings collects what is found. The same fault in many rows is listed for
// the first rows and counted for the others.
type findings struct {
	list  []record.Finding
	count map[kind]int
	last  map[kind]record.Finding
	total int
}

func (f *findings) add(v record.Finding) {
	if f.count == nil {
		f.count, f.last = map[kind]int{}, map[kind]record.Finding{}
	}
	f.total++
	k := kind{v.Rule, v.At.File, v.Field}
	f.count[k]++
	if f.count[k] > listed {
		f.last[k] = v
		return
	}
	f.list = append(f.list, v)
}

// clear forgets what was found.
func (f *findings) clear() {
	f.list, f.total = f.list[:0], 0
	clear(f.count)
	clear(f.last)
}

// merge adds what was found in rows that come after so many lines.
func (f *findings) merge(o *findings, lines int) {
	for _, v := range o.list {
		v.At.Row += lines
		f.add(v)
	}
	for k, v := range o.last {
		v.At.Row += lines
		f.total += o.count[k] - listed
		f.count[k] += o.count[k] - listed
		f.last[k] = v
	}
}

// sorted returns the findings in the order of the outputs, with one for the rest
// of each kind that was cut short.
func (f *findings) sorted() []record.Finding {
	out := append([]record.Finding(nil), f.list...)
	for k, v := range f.last {
		v.Suggestion = ""
		v.Reason = fmt.Sprintf("the same fault occurs in %d more places, the last one here: %s", f.count[k]-listed, v.Reason)
		out = append(out, v)
	}
	record.SortFindings(out)
	return out
}

func line(file string, row int) record.Address { return record.Address{File: file, Row: row} }
