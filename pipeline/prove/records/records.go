package records

import (
	"context"
	"errors"
	"strings"

	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/prove/quality"
	"spadefoot/pipeline/record"
)

// Record is one thing that a container is about. It is valid during the call
// that it is given to.
type Record struct {
	Says quality.Record
	Kind string         // the class of its row: Occurrence, Event, Taxon …
	At   record.Address // of its own row
	Cell func(term string) record.Address
}

// Each proves a container and returns its records in the order of their rows. It
// gives the first error of use, or of the proof.
func Each(ctx context.Context, path string, o prove.Options, use func(*Record) error) (*prove.Result, error) {
	w := &walk{use: use, known: map[string]map[string][]*row{}}
	o.Visit = w.visit
	result, err := prove.Path(ctx, path, o)
	if err != nil || !w.inTables {
		return result, err
	}
	o.Visit = w.occurrence
	if _, err := prove.Path(ctx, path, o); err != nil && !errors.Is(err, errEnough) {
		return result, err
	}
	return result, nil
}

// errEnough ends a second walk when the last occurrence was met.
var errEnough = errors.New("enough")

// walk gathers the rows that say something of others, and returns the records.
type walk struct {
	use      func(*Record) error
	known    map[string]map[string][]*row // by table and by what it points at
	inTables bool                         // of a data package, with occurrences
	begun    bool                         // the occurrences have
	last     *shape
}

// row is a row that is kept.
type row struct {
	of    *shape
	cells []string
	line  int
}

// shape is what all rows of a file have in common.
type shape struct {
	file    string
	at      map[string]int // places of the terms
	columns []int
}

func (r *row) get(term string) string {
	if i, ok := r.of.at[term]; ok {
		return r.cells[i]
	}
	return ""
}

func (r *row) address(term string) record.Address {
	at := record.Address{File: r.of.file, Row: r.line}
	if i, ok := r.of.at[term]; ok {
		at.Column = r.of.columns[i]
	}
	return at
}

// kept are the tables of a data package whose rows say something of
// occurrences, with the field that points at what they speak of.
var kept = map[string]string{
	"event": "eventID", "event-assertion": "eventID", "identification": "occurrenceID", "organism": "organismID",
	"material": "evidenceForOccurrenceID", "occurrence-assertion": "occurrenceID",
}

const events = "event"

// visit takes a row of an archive, or one of the tables around the occurrences.
func (w *walk) visit(r *prove.Row) error {
	if !strings.Contains(r.RowType, "/") {
		if key, ok := kept[r.RowType]; ok && w.speaks(r) {
			w.keep(r.RowType, r.Get(key), r)
		}
		w.inTables = w.inTables || r.RowType == "occurrence"
		return nil
	}
	kind := r.RowType[strings.LastIndexAny(r.RowType, "/#")+1:]
	switch {
	case r.Core && kind == "Event":
		w.keep(events, r.ID, r)
		return w.give(kind, r.ID, w.shaped(r), nil, r.Get("parentEventID"))
	case r.Core:
		return w.give(kind, r.ID, w.shaped(r), nil, "")
	case kind == "Occurrence":
		return w.give(kind, r.Get("occurrenceID"), w.shaped(r), nil, r.ID)
	}
	return nil
}

// speaks reports whether a row says anything in a term of Darwin Core: what was
// measured is not a term.
func (w *walk) speaks(r *prove.Row) bool {
	return !strings.HasSuffix(r.RowType, "-assertion") || strings.HasPrefix(r.Get("assertionTypeIRI"), "http://rs.tdwg.org/dwc/terms/") ||
		strings.HasPrefix(r.Get("assertionTypeIRI"), "http://purl.org/dc/")
}

func (w *walk) keep(table, key string, r *prove.Row) {
	if w.known[table] == nil {
		w.known[table] = map[string][]*row{}
	}
	w.known[table][key] = append(w.known[table][key], w.shaped(r))
}

// shaped copies a row; rows of one file share their shape.
func (w *walk) shaped(r *prove.Row) *row {
	if w.last == nil || w.last.file != r.File {
		w.last = &shape{r.File, make(map[string]int, len(r.Terms)), append([]int(nil), r.Columns...)}
		for i := len(r.Terms) - 1; i >= 0; i-- {
			w.last.at[r.Terms[i]] = i
		}
	}
	return &row{w.last, append([]string(nil), r.Values...), r.Line}
}
