package quality

import (
	"encoding/csv"
	"strconv"
	"sync"
)

// Inquiry asks the same tests of many records.
type Inquiry struct {
	tests  []Test
	params Params
}

// NewInquiry prepares for records. The tests are those of only, by label or by
// use case, or all.
func NewInquiry(only []string, p Params) (*Inquiry, error) {
	tests, err := choose(only)
	return &Inquiry{tests, p}, err
}

// Answers is what the tests of an inquiry, sorted by label, say of one record.
type Answers struct {
	Tests     []Test
	Responses []Response // one for each test
	params    Params     // with those that the record carries
	id        string     // of the record
}

// Ask puts the tests to a record. Parameters that it carries in terms that
// begin with "bdqval:" hold for it.
func (q *Inquiry) Ask(r Record) Answers {
	own := ParamsOf(r, q.params)
	return Answers{q.tests, run(q.tests, r, own), own, recordID(r)}
}

// ResponseColumns is the heading line of a table of responses.
var ResponseColumns = []string{"record", "id", "label", "GUID", "status", "result", "comment", "arguments"}

// ResponseWriter writes a table of responses: the heading line, then one line
// for each record and test.
type ResponseWriter struct {
	out     *csv.Writer
	records int
	line    []string
}

// NewResponseWriter begins a table.
func NewResponseWriter(w *csv.Writer) (*ResponseWriter, error) {
	return &ResponseWriter{out: w}, w.Write(ResponseColumns)
}

// Write writes the lines of the next record. The comment names the source that
// answered, where it is not the default of the test; the arguments are those
// that are not at their default.
func (w *ResponseWriter) Write(a *Answers) error {
	w.records++
	for i := range a.Tests {
		t, r := &a.Tests[i], &a.Responses[i]
		comment := r.Comment
		if r.Source != "" {
			comment += "; answered from " + r.Source
		}
		w.line = append(w.line[:0], strconv.Itoa(w.records), a.id, t.Label, t.GUID, r.Status, r.Result, comment, a.params.Arguments(t))
		if err := w.out.Write(w.line); err != nil {
			return err
		}
	}
	return nil
}

// Flush writes what is held back.
func (w *ResponseWriter) Flush() error {
	w.out.Flush()
	return w.out.Error()
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
