package keys

import (
	"fmt"
	"strings"

	"spadefoot/pipeline/record"
)

// maxRuns bounds the runs of rows, and the pairs of cells, that one finding on
// keys names.
const maxRuns = 1000

// maxPairs bounds the pairs of one sheet that are known one by one.
const maxPairs = 200_000

// Doubts gathers what is wrong with the keys of captures: one finding a
// sheet. The zero value is ready.
type Doubts struct {
	order  []Source
	sheets map[Source]*sheetKeys
}

// sheetKeys is what is known of the keys of one sheet.
type sheetKeys struct {
	captures int
	without  int // captures without a key
	absences int // those with a key: the day and the taxon name an absence too
	runs     []record.Run
	of       *record.Capture // the first without one
	again    int             // captures with the key of an earlier one
	pairs    []keyPair
}

// keyPair is a capture whose key an earlier one has, by their cells.
type keyPair struct {
	key         string
	at, earlier record.Address
}

// finding says the same of one pair, for comparison with what other findings
// say of their rows.
func (p keyPair) finding() record.Finding {
	return record.Finding{Rule: "key-repeated", At: p.at, Also: []record.Address{p.earlier}}
}

func (d *Doubts) sheet(file, name string) *sheetKeys {
	s := d.sheets[Source{file, name}]
	if s == nil {
		if d.sheets == nil {
			d.sheets = map[Source]*sheetKeys{}
		}
		at := Source{strings.Clone(file), strings.Clone(name)}
		s = &sheetKeys{}
		d.sheets[at], d.order = s, append(d.order, at)
	}
	return s
}

// Count takes a capture into account.
func (d *Doubts) Count(c *record.Capture) {
	s := d.sheet(c.File, c.Sheet)
	s.captures++
	if c.Absent() {
		s.absences++
	}
}

// Missing takes a capture without a key, whose key should be at a cell.
func (d *Doubts) Missing(c *record.Capture, at record.Address) {
	s := d.sheet(c.File, c.Sheet)
	if c.Absent() {
		s.absences--
	}
	if s.without++; s.without == 1 {
		s.of = &record.Capture{File: strings.Clone(c.File), Sheet: strings.Clone(c.Sheet), Row: c.Row, Table: c.Table}
	}
	if runs := record.Extend(s.runs, at.Clone()); len(runs) <= maxRuns {
		s.runs = runs
	}
}

// Repeated takes a capture whose key an earlier one has.
func (d *Doubts) Repeated(key string, at, earlier record.Address) {
	s := d.sheet(at.File, at.Sheet)
	s.again++
	if len(s.pairs) < maxPairs {
		s.pairs = append(s.pairs, keyPair{strings.Clone(key), at.Clone(), earlier.Clone()})
	}
}

// Missed returns the findings on captures without a key; terms gives those that
// name a capture. A sheet that names none of its captures is a matter of its
// mapping, or of how its people work; one that names the others has gaps.
func (d *Doubts) Missed(terms func(*record.Capture) []string) []record.Finding {
	var out []record.Finding
	for _, at := range d.order {
		s := d.sheets[at]
		if s.without == 0 {
			continue
		}
		f := record.Finding{Rule: "key-missing", Level: record.Error, At: s.runs[0].Address, Field: "key"}
		switch key := strings.Join(terms(s.of), ", "); {
		case key == "" && s.captures > 1:
			f.Level = record.Warning
			f.Reason = fmt.Sprintf("the mapping has no key that identifies one capture; the identifiers of the %d captures are made from their contents", s.captures)
		case s.without+s.absences == s.captures && s.captures > 1:
			f.Level = record.Warning
			f.Reason = fmt.Sprintf("none of the %d captures has a value in the key columns (%s); their identifiers are made from their contents", s.without, key)
		case s.without == 1:
			f.Capture = PlaceholderOf(s.of)
			f.Reason = "the capture has no value in the key columns; its identifier is made from its contents"
		default:
			f.Reason = fmt.Sprintf("the key columns (%s) are empty for %d of %d captures; their identifiers are made from their contents", key, s.without, s.captures)
		}
		if s.without > 1 {
			f.Runs = s.runs
		}
		if n := runLength(s.runs); n < s.without {
			f.Reason += fmt.Sprintf("; the first %d are listed", n)
		}
		out = append(out, f)
	}
	return out
}

func runLength(runs []record.Run) int {
	n := 0
	for _, r := range runs {
		n += r.Last - r.Row + 1
	}
	return n
}

// Covers returns what reports whether a finding is of two rows with one key that
// are probably one capture: the finding on the keys says so.
func (d *Doubts) Covers(twice map[RowPair]bool) func(record.Finding) bool {
	told := map[RowPair]bool{}
	for _, s := range d.sheets {
		for _, p := range s.pairs {
			if k := PairOf(p.at, p.earlier); twice[k] {
				told[k] = true
			}
		}
	}
	if len(told) == 0 {
		return nil
	}
	return func(f record.Finding) bool {
		return (f.Rule == "capture-twice" || f.Rule == "capture-nearly-twice") && len(f.Also) == 1 && told[PairOf(f.At, f.Also[0])]
	}
}

// Again returns the findings on keys that come again, but for pairs of which
// another finding says it. Twice are the pairs that are probably one capture.
func (d *Doubts) Again(said func(record.Finding) bool, twice map[RowPair]bool) []record.Finding {
	var out []record.Finding
	for _, at := range d.order {
		s := d.sheets[at]
		pairs := make([]keyPair, 0, len(s.pairs))
		for _, p := range s.pairs {
			if said == nil || !said(p.finding()) {
				pairs = append(pairs, p)
			}
		}
		if left := s.again - (len(s.pairs) - len(pairs)); len(pairs) > 0 {
			f := repeatedKeys(pairs, left)
			f.Reason += enteredAgain(pairs, twice)
			out = append(out, f)
		}
	}
	return out
}

// enteredAgain says which of the pairs are probably one capture, "" if none is.
func enteredAgain(pairs []keyPair, twice map[RowPair]bool) string {
	var rows []string
	for _, p := range pairs {
		if twice[PairOf(p.at, p.earlier)] {
			rows = append(rows, fmt.Sprintf("%d and %d", p.earlier.Row, p.at.Row))
		}
	}
	switch {
	case len(rows) == 0:
		return ""
	case len(pairs) == 1:
		return "; the measurements are also the same: probably one capture entered twice"
	}
	return "; the measurements are also the same, so these were probably entered twice: rows " + listed(rows)
}

// repeatedKeys is the finding on the keys of one sheet that come again, of n
// captures, of which some are known pair by pair.
func repeatedKeys(pairs []keyPair, n int) record.Finding {
	first := pairs[0]
	f := record.Finding{Rule: "key-repeated", Level: record.Error, At: first.at, Field: "key", Value: first.key, Capture: first.key}
	if n == 1 {
		f.Also = []record.Address{first.earlier}
		f.Reason = fmt.Sprintf("the capture at %s has the same key", first.earlier.OfRow())
		return f
	}
	named := map[record.Address]bool{first.at: true}
	var keys []string
	known := map[string]bool{}
	for i, p := range pairs {
		if !known[p.key] {
			known[p.key] = true
			keys = append(keys, p.key)
		}
		if i >= maxRuns {
			continue
		}
		for _, a := range []record.Address{p.earlier, p.at} {
			if !named[a] {
				named[a] = true
				f.Also = append(f.Also, a)
			}
		}
	}
	if len(keys) > 1 {
		f.Capture, f.Value = "", ""
	}
	f.Reason = fmt.Sprintf("%d captures have the same key as an earlier one: %s", n, listed(keys))
	if n > maxRuns {
		f.Reason += fmt.Sprintf("; the first %d are listed", maxRuns)
	}
	return f
}

// listed names the first of some texts, and says how many more there are.
func listed(texts []string) string {
	const most = 5
	if len(texts) <= most {
		return strings.Join(texts, ", ")
	}
	return fmt.Sprintf("%s and %s", strings.Join(texts[:most], ", "), record.Plural(len(texts)-most, "other"))
}
