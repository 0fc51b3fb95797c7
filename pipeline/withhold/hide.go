package withhold

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
)

// Settings is what captures are hidden by.
type Settings struct {
	File    string // name of the table of sensitive taxa, for addresses
	Rules   []Rule
	Lookup  func(name string) (Lineage, bool) // what the checklist knows of a name; nil without one
	Names   func(taxon string) []string       // other names that it has for a taxon: synonyms, everyday names, codes
	All     []string                          // all names that it has, and those of their authors
	Word    func(term, text string) bool      // whether a text is a word of the vocabulary of a term
	Known   func(term, text string) bool      // whether a text is known for a term: so published, or stated in survey.yaml
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
	secret  *secret
	moved   bool     // cells of its row may be under the headings of others
	gone    []phrase // texts of it that were taken out
	among   *Hiding
}

// Hiding withholds places in a survey that comes part by part, in four passes
// over the same parts in the same order:
//
//	Shifted, for every finding, and Inspect, for every part
//	Choose, for every part; then Chosen
//	Release, for every part; then Released
//	Mask and Findings, for every part; then Whole
//
// Of a capture it keeps a bit from one pass to the next; besides, what grows with
// the number of places, of animals that have a name, and of cells that are asked
// for.
type Hiding struct {
	Hidden []*Hidden // of the part that was masked last, in the order of the captures
	Guard  *Guard
	Terms  []string         // that what is withheld is under, unordered
	Notes  []record.Finding // on the table of sensitive taxa, once Chosen

	settings  Settings
	nameWords nameWords
	spread    spread
	astray    map[record.Address]bool // rows that moved, or were shifted up or down
	moved     map[rowOf][]int         // these rows by their table
	sessions  map[string]bool         // of these rows

	counts  []count
	choices map[string]choice // by the texts that may name a taxon
	places  map[string]*secret
	order   []*secret // of the places, as they came
	checked map[string]bool
	err     error    // of names that tell a place
	hidden  []uint64 // a bit for each capture
	n       int      // captures of the pass
	terms   map[string]bool
	animals map[[2]string]bool         // names of hidden animals; true where an animal that is not hidden has it
	all     []phrase                   // of every hidden capture
	around  map[record.Address]*secret // by sheet, what its hidden captures have in common with a text

	part owned // of the part that was masked last
	kept owned // of what was asked for
	want map[record.Address]bool
	keys map[string]bool

	called map[string]bool // what captures that are not hidden call their sites
	public map[int]bool    // lines of these sites, once one is asked for
}

// owned tells which cells are of hidden captures.
type owned struct {
	of      map[*record.Capture]*Hidden
	byKey   map[string]*Hidden // by the key as it was
	rows    map[rowOf]*Hidden
	cells   map[record.Address]*Hidden
	columns map[record.Address]*record.Column
	veiled  map[record.Address]bool // cells whose texts were hidden
	tables  map[record.Address]bool // cells and rows of tables, hidden or not
}

func newOwned() owned {
	return owned{map[*record.Capture]*Hidden{}, map[string]*Hidden{}, map[rowOf]*Hidden{}, map[record.Address]*Hidden{},
		map[record.Address]*record.Column{}, map[record.Address]bool{}, map[record.Address]bool{}}
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
	return fmt.Sprintf("%s: %s is named after the place of a sensitive taxon, and findings and tables would reveal it; give it another name", e.At, what)
}

// Begin begins to withhold places.
func Begin(s Settings) *Hiding {
	s.Lookup = remembered(s.Lookup)
	r := &Hiding{settings: s, counts: make([]count, len(s.Rules)), choices: map[string]choice{}, places: map[string]*secret{}, checked: map[string]bool{},
		terms: map[string]bool{}, animals: map[[2]string]bool{}, around: map[record.Address]*secret{}, part: newOwned(), kept: newOwned(),
		want: map[record.Address]bool{}, keys: map[string]bool{},
		called: map[string]bool{}, spread: spread{}, astray: map[record.Address]bool{}, moved: map[rowOf][]int{}, sessions: map[string]bool{}}
	known := slices.Clone(s.All)
	for i := range s.Rules {
		r.counts[i].taxon = newTaxon(&s.Rules[i], &s)
		known = append(known, r.counts[i].names...)
	}
	r.nameWords = newNameWords(known)
	return r
}

// Choose finds the captures of a part that are to be hidden, and learns their
// places.
func (r *Hiding) Choose(captures []*record.Capture) {
	for _, c := range captures {
		n := r.n
		r.n++
		if n%64 == 0 {
			r.hidden = append(r.hidden, 0)
		}
		rule, how := r.choose(c)
		if rule == nil {
			continue
		}
		r.hidden[n/64] |= 1 << (n % 64)
		if how == sure {
			rule.sure++
		} else {
			rule.maybe++
		}
		secret := r.place(c)
		r.check(c, rule.Rule, secret)
		for _, v := range everything(c) {
			if !Keeps(v.Term) && !r.terms[v.Term] {
				term := strings.Clone(v.Term)
				r.terms[term] = true
				r.Terms = append(r.Terms, term)
			}
		}
		for _, term := range animalNames {
			if text := c.Get(term); text != "" {
				r.animals[[2]string{term, strings.Clone(fold(text))}] = false
			}
		}
	}
}

// animalNames are the terms that name an animal.
var animalNames = []string{"organismID", "organismName", "materialSampleID", "materialEntityID"}

// Chosen ends the first pass. The error is a *NameError, or a *lines.Error of the
// table of sensitive taxa. It reports whether there is anything to hide.
func (r *Hiding) Chosen() (bool, error) {
	if r.err != nil {
		return false, r.err
	}
	if err := unmatched(r.counts, r.settings.File); err != nil {
		return false, err
	}
	r.Notes = append(notes(r.counts, r.settings), r.movedNotes()...)
	r.n = 0
	if len(r.order) == 0 {
		return false, nil
	}
	r.Guard = newGuard(r.order)
	return true, nil
}

// Withheld counts the captures whose place is withheld.
func (r *Hiding) Withheld() (n int) {
	for i := range r.counts {
		n += r.counts[i].sure + r.counts[i].maybe
	}
	return n
}

// isHidden reports whether the next capture of the pass is to be hidden.
func (r *Hiding) isHidden() bool {
	r.n++
	return r.Hides(r.n - 1)
}

// Hides reports whether the place of a capture is withheld, by its number in the
// survey from 0.
func (r *Hiding) Hides(n int) bool {
	return r != nil && n/64 < len(r.hidden) && r.hidden[n/64]&(1<<(n%64)) != 0
}

// Release learns from a part what captures that are not hidden tell: that is no
// secret.
func (r *Hiding) Release(captures []*record.Capture) {
	for _, c := range captures {
		if r.isHidden() {
			rule, _ := r.choose(c)
			g := generalise(pointOf(c), rule.Grid)
			r.Guard.see(g.LatText + " " + g.LonText)
			if !r.astray[c.Address()] {
				r.spread.add(c, r.place(c))
			}
			continue
		}
		r.Guard.release(c)
		r.spread.add(c, nil)
		r.publishSite(c)
		for _, term := range animalNames {
			if text := c.Get(term); text != "" {
				key := [2]string{term, fold(text)}
				if _, hidden := r.animals[key]; hidden {
					r.animals[key] = true
				}
			}
		}
	}
}

// publishSite notes what a capture that is not hidden calls its site.
func (r *Hiding) publishSite(c *record.Capture) {
	if r.settings.Sites == nil {
		return
	}
	for _, term := range []string{"locality", "verbatimLocality", "locationID"} {
		if v := c.Value(term); v != nil {
			for _, text := range []string{v.Text, v.Verbatim} {
				if text != "" && !r.called[text] {
					r.called[strings.Clone(text)] = true
				}
			}
		}
	}
}

// Public reports whether a site may be published: no place is withheld at all, or a
// capture that is not hidden reveals it.
func (r *Hiding) Public(site *place.Site) bool {
	if r == nil || r.Guard == nil {
		return true
	}
	if r.public == nil {
		r.public = map[int]bool{}
		for text := range r.called {
			if s, _ := r.settings.Sites.Find(text); s != nil {
				r.public[s.Line] = true
			}
		}
	}
	return r.public[site.Line]
}

// Released ends the second pass.
func (r *Hiding) Released() {
	r.Guard.open()
	r.n = 0
}

// Want asks for cells, and for the captures of findings, that are to be known of
// when all parts are masked.
func (r *Hiding) Want(fs []record.Finding, cells ...record.Address) {
	for i := range fs {
		r.want[fs[i].At] = true
		for _, at := range fs[i].Also {
			r.want[at] = true
		}
		if fs[i].Capture != "" {
			r.keys[fs[i].Capture] = true
		}
	}
	for _, at := range cells {
		r.want[at] = true
	}
}

// Mask hides the places of a part: in the captures and in the rows of the tables
// that they came from, as far as the tables still have them. Of other tables the
// cells of the findings are looked for.
func (r *Hiding) Mask(captures []*record.Capture, tables []*record.Table, fs ...record.Finding) {
	r.part, r.Hidden = newOwned(), nil
	for _, c := range captures {
		if !r.isHidden() {
			continue
		}
		rule, _ := r.choose(c)
		h := &Hidden{Capture: c, Rule: rule.Rule, Key: c.Key, session: c.Session, secret: r.place(c), moved: r.astray[c.Address()], among: r}
		r.Hidden = append(r.Hidden, h)
		r.part.of[c], r.part.byKey[h.Key] = h, h
	}
	r.own(tables, captures, fs)
	for _, h := range r.Hidden {
		h.mask(r.settings)
		r.unlink(h.Capture)
		h.secret.of = cmp.Or(h.secret.of, strings.Clone(h.Capture.Key))
	}
	for _, t := range tables {
		r.maskTable(t)
	}
	r.keep()
}

// keep keeps what was asked for of the part.
func (r *Hiding) keep() {
	light := map[*Hidden]*Hidden{}
	of := func(h *Hidden) *Hidden {
		if light[h] == nil {
			c := h.Capture
			own := &record.Capture{File: strings.Clone(c.File), Sheet: strings.Clone(c.Sheet), Row: c.Row, Key: strings.Clone(c.Key), Session: strings.Clone(c.Session)}
			for i := range c.Readings {
				own.Readings = append(own.Readings, record.Reading{Series: &record.Series{Measurement: strings.Clone(c.Readings[i].Measurement)}})
			}
			light[h] = &Hidden{Capture: own, Rule: h.Rule, Key: strings.Clone(h.Key), session: strings.Clone(h.session), secret: h.secret,
				moved: h.moved, gone: h.gone, among: h.among}
		}
		return light[h]
	}
	for at := range r.want {
		if h := r.part.cells[at]; h != nil && r.kept.cells[at] == nil {
			r.kept.cells[at], r.kept.columns[at] = of(h), r.part.columns[at]
		}
		if r.part.tables[at] {
			r.kept.tables[at] = true
		}
		if r.part.veiled[at] {
			r.kept.veiled[at] = true
		}
	}
	for key := range r.keys {
		if h := r.part.byKey[key]; h != nil {
			r.kept.byKey[key] = of(h)
		}
	}
}

// Findings hides what findings on the part that was masked last tell.
func (r *Hiding) Findings(fs []record.Finding) []record.Finding { return r.maskFindings(fs, &r.part) }

// Whole ends the third pass: it hides what findings on the survey tell.
func (r *Hiding) Whole(fs []record.Finding) []record.Finding {
	r.part, r.Hidden = newOwned(), nil
	return r.maskFindings(fs, &r.kept)
}

// check refuses names that would tell a place everywhere: of a file or a tab,
// and in the survey's own wording.
func (r *Hiding) check(c *record.Capture, rule *Rule, s *secret) {
	key := fmt.Sprintf("%p %d %s\x1f%s", s, rule.Line, c.File, c.Sheet)
	if r.err != nil || r.checked[key] {
		return
	}
	r.checked[key] = true
	switch {
	case s.inName(c.File, c.Sheet):
		r.err = &NameError{record.Address{File: strings.Clone(c.File), Sheet: strings.Clone(c.Sheet)}}
	case s.inText(rule.Locality, true):
		r.err = &lines.Error{File: r.settings.File, Line: rule.Line, Column: "locality",
			Reason: "names the very place it should replace; write a region that contains it"}
	}
}

// count is how many captures a rule hides, and how many of them only because
// they may be of the taxon.
type count struct {
	taxon
	sure, maybe int
}

// choice is the rule that hides a capture, nil for none.
type choice struct {
	rule *count
	how  verdict
}

// most bounds what is remembered of texts.
const most = 1 << 16

// choose finds the rule that hides a capture. Where several rules fit equally
// well, the one that hides most holds.
func (r *Hiding) choose(c *record.Capture) (*count, verdict) {
	moved := r.movedWith(c)
	key := namedBy(c)
	if moved {
		key += "\x1e"
	}
	if known, ok := r.choices[key]; ok {
		return known.rule, known.how
	}
	species := speciesOf(c, r.settings.Lookup)
	if moved {
		species = nil
	}
	var best choice
	for i := range r.counts {
		v := r.counts[i].judge(c, species, r.settings.Lookup)
		if v > best.how || v == best.how && v != other && r.counts[i].coarser(best.rule.Rule) {
			best = choice{&r.counts[i], v}
		}
	}
	if len(r.choices) == most {
		clear(r.choices)
	}
	r.choices[strings.Clone(key)] = best
	return best.rule, best.how
}

// place returns the place of a capture, the same for all captures of the place.
func (r *Hiding) place(c *record.Capture) *secret {
	key := placedBy(c)
	s := r.places[key]
	if s == nil {
		own := secretOf(c, r.settings.Sites, r.settings.Known)
		s = &own
		r.places[strings.Clone(key)] = s
		r.order = append(r.order, s)
		r.all = append(r.all, s.phrases()...)
	}
	return s
}

// unmatched names the rows of the table that protect nothing: a misspelled name
// must not go unseen.
func unmatched(counts []count, file string) error {
	var wrong []error
	for _, n := range counts {
		if n.sure == 0 && !n.known {
			wrong = append(wrong, &lines.Error{File: file, Line: n.Line, Column: "taxon",
				Reason: fmt.Sprintf("%q is neither in the checklist nor in any capture, so it protects nothing; correct its spelling, add it to the checklist, or remove the row", n.Taxon)})
		}
	}
	return errors.Join(wrong...)
}

// notes says what was withheld.
func notes(counts []count, s Settings) []record.Finding {
	var out []record.Finding
	for _, n := range counts {
		if n.sure+n.maybe == 0 {
			continue
		}
		how := "without coordinates"
		if n.Grid > 0 {
			how = fmt.Sprintf("on a grid of %g degrees", n.Grid)
		}
		reason := fmt.Sprintf("the places of %d captures are published %s", n.sure+n.maybe, how)
		if n.sure+n.maybe == 1 {
			reason = "the place of 1 capture is published " + how
		}
		if n.maybe > 0 {
			reason += fmt.Sprintf("; captures that may belong to the taxon, because they are not certainly another species: %d", n.maybe)
			if s.Lookup == nil {
				reason += " (the survey has no checklist; tables.checklist names one)"
			}
		}
		out = append(out, record.Finding{Rule: "place-withheld", Level: record.Note, At: record.Address{File: s.File, Row: n.Line}, Field: "taxon", Value: n.Taxon, Reason: reason})
	}
	return out
}

// unlink takes the name of an animal from a hidden capture where a capture
// that is not hidden has it too, under another name of a taxon: its place is
// likely the same.
func (r *Hiding) unlink(c *record.Capture) {
	c.Hold(slices.DeleteFunc(c.Values, func(v record.Value) bool {
		return slices.Contains(animalNames, v.Term) && r.animals[[2]string{v.Term, fold(v.Text)}]
	}))
}
