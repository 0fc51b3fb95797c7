package pipeline

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/keys"
	"spadefoot/pipeline/parallel"
	"spadefoot/pipeline/prove/quality"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
	"spadefoot/pipeline/report/findings"
	"spadefoot/pipeline/store"
	"spadefoot/pipeline/taxon"
	"spadefoot/pipeline/vocabulary"
	"spadefoot/pipeline/withhold"
)

// withhold ends the judgement: from here on no place of a sensitive taxon is
// known to anything that writes.
func (w *walk) withhold() error {
	if err := w.endDecisions(); err != nil || len(w.sensitive.rules) == 0 {
		return err
	}
	some, err := w.choose()
	if err == nil && some {
		err = w.hide()
	}
	if err != nil {
		return err
	}
	w.captures, w.findings, w.settled = nil, w.sensitive.result.Notes, 0
	w.settle()
	record.SortFindings(w.findings)
	w.whole = append(w.whole, w.findings...)
	return w.judged.Add(w.findings)
}

// choose finds the captures that are to be hidden, and learns their places.
func (w *walk) choose() (some bool, err error) {
	key, session := w.naming()
	s := withhold.Settings{File: w.sensitive.file, Rules: w.sensitive.rules, Lookup: w.lookup(), Sites: w.tables.sites, Key: key, Session: session,
		Word: isWord, Known: w.stated()}
	if list := w.tables.checklist; list != nil {
		s.Names, s.All = list.Called, list.Words()
	}
	r := withhold.Begin(s)
	w.sensitive.result = r
	for f, err := range w.judged.All() {
		if err != nil {
			return false, err
		}
		r.Shifted(&f)
	}
	err = w.eachPart(nil, func(int) error {
		r.Inspect(w.captures, w.bareTables())
		return nil
	})
	if err != nil {
		return false, err
	}
	err = w.eachPart(nil, func(int) error {
		r.Choose(w.captures)
		return nil
	})
	if err != nil {
		return false, err
	}
	some, err = r.Chosen()
	w.counts.Withheld = r.Withheld()
	if errors.As(err, new(*withhold.NameError)) || errors.As(err, new(*lines.Error)) {
		err = &CallError{Reason: err.Error()}
	}
	return some, err
}

// isWord reports whether a text is a word of the vocabulary of a term.
func isWord(term, text string) bool {
	l := vocabulary.ByTerm()[term]
	if l == nil {
		return false
	}
	value, ok, _ := l.Known(text, nil)
	return ok && value != ""
}

// stated tells what texts are known for a term whose column may hold anything:
// values of vocabularies, names of countries and their divisions, and what
// survey.yaml, the mappings and the table of sites say.
func (w *walk) stated() func(term, text string) bool {
	own := map[[2]string]bool{}
	add := func(term string, texts ...string) {
		for _, text := range texts {
			own[[2]string{term, text}] = true
		}
	}
	for _, ref := range w.survey.Sheets {
		for i := range ref.Map.Headings {
			add(ref.Map.Headings[i].Term, slices.Collect(maps.Values(ref.Map.Headings[i].Words))...)
		}
		for term, words := range ref.Map.Words {
			add(term, slices.Collect(maps.Values(words))...)
		}
	}
	d := w.survey.Dataset
	for _, p := range slices.Concat(d.Creators, d.Contacts, d.Associates) {
		name := strings.TrimSpace(p.Given + " " + p.Family)
		for _, term := range []string{"recordedBy", "identifiedBy", "measurementDeterminedBy"} {
			add(term, name)
			if p.Given != "" {
				add(term, p.Given[:1]+". "+p.Family)
			}
		}
	}
	for _, in := range w.survey.Instruments {
		add(record.Scale, in.Name)
	}
	if w.tables.sites != nil {
		for _, s := range w.tables.sites.List {
			add("county", s.County)
			add("stateProvince", s.StateProvince)
		}
	}
	return func(term, text string) bool {
		values, _ := terms.Values(term)
		switch {
		case slices.Contains(values, text), own[[2]string{term, text}], isWord(term, text), quality.NamesRegion(term, text):
			return true
		case term == "measurementType":
			_, known := w.survey.Measures().Named(text)
			return known
		}
		return false
	}
}

// hide takes places out of captures, tables and findings, in three passes: what
// may be published is learnt from the captures that are not hidden, and identifiers
// are made when all keys are known.
func (w *walk) hide() (err error) {
	r := w.sensitive.result
	err = w.eachPart(nil, func(int) error {
		r.Release(w.captures)
		return nil
	})
	if err != nil {
		return err
	}
	r.Released()
	r.Want(w.whole, w.decided.cells()...)
	h := &hiding{walk: w, columns: &columns{}, keys: store.NewEqualTexts(w.temp), was: store.InMemory()}
	if !w.held {
		if h.was, err = store.New(w.temp); err != nil {
			return err
		}
	}
	defer func() { err = errors.Join(err, h.was.Close(), h.keys.Close()) }()
	if h.judged, h.aside, err = w.newFindings(); err != nil {
		return err
	}
	if err := w.eachPart(nil, h.part); err != nil {
		return err
	}
	if err := h.identify(); err != nil {
		return err
	}
	w.whole = r.Whole(w.whole)
	record.SortFindings(w.whole)
	err = errors.Join(h.judged.Add(w.whole), w.judged.Close(), w.aside.Close())
	w.judged, w.aside, w.derived = h.judged, h.aside, true
	w.verdicts.quality.columns, w.verdicts.quality.fit = h.columns, false
	return err
}

// hiding puts parts in the place of what they were.
type hiding struct {
	walk          *walk
	judged, aside *store.Findings
	columns       *columns
	keys          *store.EqualTexts // as they are now, of all captures
	was           *store.Captures   // of each hidden capture the key and the values that it had
}

func (h *hiding) part(i int) error {
	w, r := h.walk, h.walk.sensitive.result
	var found []record.Finding
	for _, n := range w.runs[i] {
		fs, err := w.judged.Run(n)
		if err != nil {
			return err
		}
		found = append(found, fs...)
	}
	aside, err := w.aside.Run(i)
	if err != nil {
		return err
	}
	if w.proposal != nil {
		r.Want(found)
	}
	w.derive(i)
	r.Mask(w.captures, w.bareTables(), slices.Concat(found, aside)...)
	for k, c := range w.captures {
		c.ID = w.identifierOf(c, 0)
		if err := h.keys.Add(keys.SameAs(c), w.store.First(i)+k); err != nil {
			return err
		}
	}
	w.verdicts.quality.note(h.columns, w.captures)
	found = r.Findings(found)
	record.SortFindings(found)
	w.runs[i] = []int{h.judged.Runs()}
	had := make([]*record.Capture, len(r.Hidden))
	for k, hidden := range r.Hidden {
		had[k] = &record.Capture{Key: hidden.Key, Values: hidden.Values}
	}
	return errors.Join(h.judged.Add(found), h.aside.Add(r.Findings(aside)), w.store.Replace(i, w.captures), h.was.Add(had))
}

// identify makes all identifiers anew: none of a hidden capture may depend on a
// place, not even through a hash, since who knows the likely places can try them
// all. Then the exact places are written, with these, and the findings counted
// anew by the keys that captures have now.
func (h *hiding) identify() (err error) {
	w := h.walk
	w.repeated.nth, w.repeated.counts = map[int]int{}, map[string]findings.Counts{}
	for key, same := range w.ofOneKey(h.keys, &err) {
		if key != "" && len(same) > 1 {
			w.repeated.counts[key] = findings.Counts{}
		}
		w.repeated.nameByContents(key, same)
	}
	if err != nil {
		return err
	}
	if err := w.exact.Begin(w.sensitive.result.Terms); err != nil {
		return err
	}
	var buffer store.Buffer
	err = w.eachPart(nil, func(i int) error {
		was, err := h.was.Take(i, &buffer)
		if err != nil {
			return err
		}
		found, err := h.judged.Run(w.runs[i][0])
		if err != nil {
			return err
		}
		w.repeated.count(found)
		from, next := w.store.First(i), 0
		changed := w.rename(from)
		for k, c := range w.captures {
			if !w.sensitive.result.Hides(from + k) {
				continue
			}
			if err := w.exact.Write(c, was[next]); err != nil {
				return err
			}
			next++
		}
		if !changed {
			return nil
		}
		return w.store.Replace(i, w.captures)
	})
	return errors.Join(err, w.exact.End())
}

// bareTables are the tables, without their rows where these are not held.
func (w *walk) bareTables() []*record.Table {
	tables := make([]*record.Table, len(w.laid))
	for i, t := range w.laid {
		tables[i] = t.table
	}
	return tables
}

// lookup asks the checklist for the groups of a name; nil without one.
func (w *walk) lookup() func(string) (withhold.Lineage, bool) {
	if w.tables.checklist == nil {
		return nil
	}
	return func(name string) (withhold.Lineage, bool) {
		m := w.tables.checklist.Match(name)
		if slices.ContainsFunc(m.Problems, func(p record.Problem) bool { return p.Rule == taxon.RuleConflict }) {
			return withhold.Lineage{}, true
		}
		return withhold.Lineage{"scientificName": m.ScientificName, "specificEpithet": m.SpecificEpithet, "genus": m.Genus, "family": m.Family,
			"order": m.Order, "class": m.Class, "phylum": m.Phylum, "kingdom": m.Kingdom}, m.State == taxon.Matched
	}
}

// naming returns the terms that name a capture, and its session, by its mapping.
func (w *walk) naming() (key, session func(*record.Capture) []string) {
	type place struct {
		file, sheet string
		table       int
	}
	keys, sessions := map[place][]string{}, map[place][]string{}
	for _, t := range w.laid {
		p := place{t.table.File, t.table.Sheet, t.table.Index}
		m := w.survey.Sheets[t.ref].Map
		keys[p], sessions[p] = keyTerms(m.Key), m.Session
	}
	at := func(c *record.Capture) place { return place{c.File, c.Sheet, c.Table} }
	return func(c *record.Capture) []string { return keys[at(c)] },
		func(c *record.Capture) []string { return sessions[at(c)] }
}

// guard looks through everything that is about to be released. A place that
// only sensitive animals have must be in none of it, however it came
// there: through survey.yaml, the name of a file, or a fault of this program.
func (w *walk) guard() error {
	r := w.sensitive.result
	if r == nil || r.Guard == nil {
		return nil
	}
	var paths []string
	err := filepath.WalkDir(w.out, func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			paths = append(paths, path)
		}
		return err
	})
	if err != nil {
		return err
	}
	return parallel.OneByOne(slices.Values(paths), w.guardOutput, func(err error) error { return err })
}

// guardOutput looks through a file of the output.
func (w *walk) guardOutput(path string) error {
	name, err := filepath.Rel(w.out, path)
	if err != nil {
		return err
	}
	if filepath.Ext(path) == ".zip" {
		return w.guardZip(path, name)
	}
	f, err := os.Open(path)
	if err != nil {
		return &OutputError{Path: name, Err: err}
	}
	defer f.Close()
	return w.guardFile(name, f)
}

// guardZip looks through the files of a zip that are not the same in the folder of its name,
// which is looked through too.
func (w *walk) guardZip(path, name string) error {
	z, err := zip.OpenReader(path)
	if err != nil {
		return &OutputError{Path: name, Err: err}
	}
	defer z.Close()
	for _, f := range z.File {
		same, err := sameFile(f, filepath.Join(strings.TrimSuffix(path, ".zip"), f.Name))
		if err != nil {
			return &OutputError{Path: name, Err: err}
		}
		if same {
			continue
		}
		r, err := f.Open()
		if err != nil {
			return &OutputError{Path: name, Err: err}
		}
		err = w.guardFile(name+"/"+f.Name, r)
		if err := errors.Join(err, r.Close()); err != nil {
			return err
		}
	}
	return nil
}

// sameFile reports whether a file of a zip is the same, byte for byte, as one
// beside it.
func sameFile(zipped *zip.File, path string) (bool, error) {
	beside, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	defer beside.Close()
	r, err := zipped.Open()
	if err != nil {
		return false, err
	}
	defer r.Close()
	var a, b [1 << 16]byte
	for {
		n, errA := io.ReadFull(r, a[:])
		m, errB := io.ReadFull(beside, b[:])
		ends := errors.Is(errA, io.EOF) || errors.Is(errA, io.ErrUnexpectedEOF)
		switch {
		case errA != nil && !ends:
			return false, errA
		case errB != nil && !errors.Is(errB, io.EOF) && !errors.Is(errB, io.ErrUnexpectedEOF):
			return false, errB
		case !bytes.Equal(a[:n], b[:m]):
			return false, nil
		case ends:
			return true, nil
		}
	}
}

func (w *walk) guardFile(name string, r io.Reader) error {
	return scan(w.sensitive.result.Guard, name, r)
}

// guardDescription looks through what a run would publish of survey.yaml and of
// the tables, so that check refuses what run refuses.
func (w *walk) guardDescription() error {
	r := w.sensitive.result
	if r == nil || r.Guard == nil {
		return nil
	}
	for _, file := range []struct {
		name  string
		write func(io.Writer) error
	}{
		{"eml.xml", func(out io.Writer) error { return json.NewEncoder(out).Encode(w.survey.Dataset) }},
		{"run.json", w.writeRun},
	} {
		var text bytes.Buffer
		if err := file.write(&text); err != nil {
			return err
		}
		if err := w.guardFile(file.name, &text); err != nil {
			return err
		}
	}
	return nil
}

// Guarded lets a text be written only if it tells no place that is withheld.
// Name is what the text is called, with the extension of its form; write is
// called twice and writes the same both times.
func (r *Result) Guarded(name string, out io.Writer, write func(io.Writer) error) error {
	if r.guard == nil {
		return write(out)
	}
	read, in := io.Pipe()
	written := make(chan error, 1)
	go func() {
		err := write(in)
		in.CloseWithError(err)
		written <- err
	}()
	err := scan(r.guard, name, read)
	read.Close()
	if failed := <-written; failed != nil && err == nil {
		err = failed
	}
	if err != nil {
		return err
	}
	return write(out)
}

func scan(guard *withhold.Guard, name string, r io.Reader) error {
	told, err := guard.Scan(name, r)
	if err != nil {
		return &OutputError{Path: name, Err: err}
	}
	if len(told) == 0 {
		return nil
	}
	return &CallError{Reason: fmt.Sprintf("%s would reveal the exact place of sensitive captures (%s), so nothing was released; "+
		"look for the place in survey.yaml, in the headings and in the names of files and tabs", filepath.ToSlash(name), strings.Join(told, ", "))}
}
