package quality

import (
	"encoding/csv"
	"strconv"
	"sync"
)

// ResponseColumns is the heading line of a table of responses.
var ResponseColumns = []string{"record", "id", "label", "GUID", "status", "result", "comment"}

// Responses writes the heading line, then one line for each record and test:
// number of the record from 1, its id, label, GUID, status, result, comment.
// next gives the records and false after the last. The tests are those of only,
// by label, or all; the lines of one record are sorted by label. Parameters that
// a record carries in terms that begin with "bdqval:" hold for that record. The
// caller flushes nothing: Responses does, and gives the first error of next or
// of w.
func Responses(w *csv.Writer, next func() (Record, bool, error), only []string, p Params) error {
	tests, err := choose(only)
	if err != nil {
		return err
	}
	if err := w.Write(ResponseColumns); err != nil {
		return err
	}
	line := make([]string, len(ResponseColumns))
	for n := 1; ; n++ {
		r, more, err := next()
		if err != nil {
			return err
		}
		if !more {
			break
		}
		own := ParamsOf(r, p)
		for i, answer := range run(tests, r, own) {
			line = append(line[:0], strconv.Itoa(n), recordID(r), tests[i].Label, tests[i].GUID,
				answer.Status, answer.Result, answer.Comment)
			if err := w.Write(line); err != nil {
				return err
			}
		}
	}
	w.Flush()
	return w.Error()
}

// run answers some of the tests, or all of them with one count.
func run(tests []Test, r Record, p Params) []Response {
	if len(tests) == len(table()) {
		return All(r, p)
	}
	answers := make([]Response, len(tests))
	for i, t := range tests {
		answers[i] = t.Run(r, p)
	}
	return answers
}

// recordID is the identifier of a record: the id column of an archive, or the
// identifier of what the row is about.
func recordID(r Record) string {
	for _, term := range []string{"id", "occurrenceID", "eventID", "taxonID"} {
		if r.has(term) {
			return r(term)
		}
	}
	return ""
}

// parameter is a parameter with the term in which a record carries it.
type parameter struct{ name, term string }

// parameters lists those of all tests once.
var parameters = sync.OnceValue(func() []parameter {
	seen := map[string]bool{}
	var list []parameter
	for _, t := range table() {
		for name := range t.Parameters {
			if !seen[name] {
				seen[name] = true
				list = append(list, parameter{name, "bdqval:" + name})
			}
		}
	}
	return list
})
