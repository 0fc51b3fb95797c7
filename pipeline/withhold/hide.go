package withhold

import (
	"fmt"
	"slices"

	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
)

// Settings is what captures are hidden by.
type Settings struct {
	File    string // name of the table of sensitive taxa, for addresses
	Rules   []Rule
	Lookup  func(name string) (Lineage, bool) // what the checklist knows of a name; nil without one
	Sites   *place.Sites
	Key     func(*record.Capture) []string // terms that name a capture
	Session func(*record.Capture) []string // terms that name its session
}

// Hidden is one capture whose place is withheld, and what was withheld.
type Hidden struct {
	Capture *record.Capture // as it may be published
	Rule    *Rule
	Key     string         // as it was
	Values  []record.Value // as they were; extras and remarks among them
	session string
	secret  secret
}

// Result is what Hide did.
type Result struct {
	Hidden   []*Hidden        // in the order of the captures
	Findings []record.Finding // as they may be told
	Notes    []record.Finding // on the table of sensitive taxa
	Guard    *Guard
	of       map[*record.Capture]*Hidden
	rows     map[rowOf]*Hidden
	cells    map[record.Address]*Hidden
	columns  map[record.Address]*record.Column
	veiled   map[record.Address]bool    // cells whose texts were hidden
	all      []phrase                   // of every hidden capture
	tables   map[record.Address]bool    // cells and rows of tables, hidden or not
	around   map[record.Address]*secret // by sheet, what its hidden captures have in common with a text
}

// rowOf is a row of a table, by its number in the sheet.
type rowOf struct {
	file, sheet string
	table, row  int
}

// NameError says that a file or a tab is called after a place that must stay
// hidden. Every address would tell it.
type NameError struct{ At record.Address }

func (e *NameError) Error() string {
	what := "the file"
	if e.At.Sheet != "" {
		what = "the file or the tab"
	}
	return fmt.Sprintf("%s: %s is called after the place of a sensitive taxon, and findings and tables would tell it; give it another name", e.At, what)
}

// Hide withholds the places of captures of sensitive taxa: in the captures, in
// the rows of the tables that they came from, and in findings. It changes
// captures and tables and gives the findings anew. The error is a *NameError, or
// a *lines.Error of the table of sensitive taxa.
func Hide(captures []*record.Capture, tables []*record.Table, fs []record.Finding, s Settings) (*Result, error) {
	r := &Result{Findings: fs, of: map[*record.Capture]*Hidden{}, rows: map[rowOf]*Hidden{}, cells: map[record.Address]*Hidden{}, columns: map[record.Address]*record.Column{},
		tables: map[record.Address]bool{}, veiled: map[record.Address]bool{}, around: map[record.Address]*secret{}}
	counts := r.choose(captures, s)
	if len(r.Hidden) > 0 {
		if err := r.check(s); err != nil {
			return nil, err
		}
		r.own(tables, captures)
		for _, h := range r.Hidden {
			h.mask(s)
		}
		r.unlink(captures)
		r.Guard = newGuard(r.Hidden, captures)
		for _, t := range tables {
			r.maskTable(t)
		}
		r.Findings = r.maskFindings(fs)
	}
	r.Notes = notes(counts, s)
	return r, nil
}

// check refuses names that would tell a place everywhere: of a file or a tab,
// and in the survey's own wording.
func (r *Result) check(s Settings) error {
	for _, h := range r.Hidden {
		if h.secret.inName(h.Capture.File, h.Capture.Sheet) {
			return &NameError{record.Address{File: h.Capture.File, Sheet: h.Capture.Sheet}}
		}
		if h.secret.inText(h.Rule.Locality, true) {
			return &lines.Error{File: s.File, Line: h.Rule.Line, Column: "locality",
				Reason: "names a place that it is to stand for; write a region that holds it"}
		}
	}
	return nil
}

// count is how many captures a rule hides, and how many of them only because
// they may be of the taxon.
type count struct {
	taxon
	sure, maybe int
}

// choose finds the captures to be hidden. Where several rules fit, the one
// that hides most holds.
func (r *Result) choose(captures []*record.Capture, s Settings) []count {
	counts := make([]count, len(s.Rules))
	for i := range s.Rules {
		counts[i].taxon = newTaxon(&s.Rules[i], s.Lookup)
	}
	for _, c := range captures {
		best, how := -1, other
		for i := range counts {
			v := counts[i].judge(c, s.Lookup)
			if v == other || best >= 0 && !counts[i].coarser(counts[best].Rule) {
				continue
			}
			best, how = i, v
		}
		if best < 0 {
			continue
		}
		if how == sure {
			counts[best].sure++
		} else {
			counts[best].maybe++
		}
		h := &Hidden{Capture: c, Rule: counts[best].Rule, Key: c.Key, session: c.Session}
		h.secret = secretOf(c, s.Sites)
		r.Hidden = append(r.Hidden, h)
		r.of[c] = h
		r.all = append(r.all, h.secret.phrases()...)
	}
	return counts
}

// notes says what was withheld, and which rows of the table protect nothing.
func notes(counts []count, s Settings) []record.Finding {
	var out []record.Finding
	for _, n := range counts {
		at := record.Address{File: s.File, Row: n.Line}
		if n.sure == 0 && !n.known {
			out = append(out, record.Finding{Rule: "sensitive-taxon-unmatched", Level: record.Warning, At: at, Field: "taxon", Value: n.Taxon,
				Reason: "no capture is surely of this taxon and no checklist has it; a misspelled name protects nothing"})
		}
		if n.sure+n.maybe == 0 {
			continue
		}
		how := "without coordinates"
		if n.Grid > 0 {
			how = fmt.Sprintf("on a grid of %g degrees", n.Grid)
		}
		reason := fmt.Sprintf("the places of %d captures are published %s", n.sure+n.maybe, how)
		if n.maybe > 0 {
			reason += fmt.Sprintf("; %d of them may be of the taxon, since their names are coarse, misspelled or unread", n.maybe)
		}
		out = append(out, record.Finding{Rule: "place-withheld", Level: record.Note, At: at, Field: "taxon", Value: n.Taxon, Reason: reason})
	}
	return out
}

// unlink takes the name of an animal from its hidden captures where a capture
// that is not hidden has it too, under another name of a taxon: its place is
// likely the same.
func (r *Result) unlink(captures []*record.Capture) {
	animal := []string{"organismID", "organismName", "materialSampleID", "materialEntityID"}
	open := map[[2]string]bool{}
	for _, c := range captures {
		if r.Hides(c) {
			continue
		}
		for _, term := range animal {
			open[[2]string{term, fold(c.Get(term))}] = true
		}
	}
	for _, h := range r.Hidden {
		h.Capture.Values = slices.DeleteFunc(h.Capture.Values, func(v record.Value) bool {
			return slices.Contains(animal, v.Term) && open[[2]string{v.Term, fold(v.Text)}]
		})
	}
}
