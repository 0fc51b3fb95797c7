package formset

import (
	"bytes"
	"cmp"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"

	"github.com/gocarina/gocsv"

	"spadefoot/pipeline/forms"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/mapping/known"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
	"spadefoot/pipeline/weigh"
)

// source gathers what a form is made of.
func (f *forming) source(u Use) forms.Source {
	s := f.about.Survey
	out := forms.Source{
		Title: s.Dataset.Title, Name: u.Mapping.Name, Permits: s.Dataset.Permits, Language: s.Dataset.Language,
		From: s.Window.From, To: s.Window.To, Key: u.Mapping.Key, Session: u.Mapping.Session, Marks: u.Mapping.Marks,
		Weighing: forms.Weighing(u.Weighing), Decimal: u.Mapping.Decimal, DateOrder: u.Mapping.DateOrder, Remarks: u.Mapping.Remarks,
		ZeroMissing: u.Mapping.ZeroMissing, Words: f.publicWords(u.Mapping.Words), Choices: f.choices(), Bags: f.bags(),
		Replicates: f.o.Replicates, Sessions: f.o.Sessions,
	}
	for _, m := range []map[string]any{s.Defaults, u.Defaults} {
		for _, term := range slices.Sorted(maps.Keys(m)) {
			out.Defaults = append(out.Defaults, term)
			if term == "scientificName" {
				out.Taxon = fmt.Sprint(m[term])
			}
		}
	}
	for i := range u.Mapping.Headings {
		e := entryOf(&u.Mapping.Headings[i], u.Weighing)
		if e.Meaning.Role == record.Term {
			e.Meaning.Vocabulary = f.publicWords(map[string]map[string]string{e.Meaning.Term: e.Meaning.Vocabulary})[e.Meaning.Term]
		}
		out.Entries = append(out.Entries, e)
	}
	for _, in := range s.Instruments {
		out.Instruments = append(out.Instruments, forms.Instrument(in))
	}
	for _, l := range f.about.Limits {
		out.Limits = append(out.Limits, forms.Limit{Taxon: l.ScientificName, Measurement: l.Measurement, Unit: l.Unit,
			Sex: l.Sex, LifeStage: l.LifeStage, Source: l.Source, Minimum: l.Minimum, Maximum: l.Maximum})
	}
	return out
}

// entryOf tells a form what a heading of the mapping means.
func entryOf(h *mapping.Heading, w mapping.Weighing) forms.Entry {
	m := h.Meaning()
	switch {
	case m.Role == record.Measurement:
		m.Unit = cmp.Or(m.Unit, unitInHeading(h.Heading))
	case m.IsMass():
		m.Unit = cmp.Or(m.Unit, unitInHeading(h.Heading), w.Unit, "g")
	}
	e := forms.Entry{Heading: h.Heading, Repeats: strings.Contains(h.Pattern, "?P<replicate>"), Meaning: m}
	if m.Role == record.Measurement && strings.Contains(h.Pattern, "?P<observer>") {
		for _, text := range slices.Sorted(maps.Keys(h.Words)) {
			e.Observers = append(e.Observers, forms.Word{Text: text, Means: h.Words[text]})
		}
		e.Meaning.Vocabulary = nil
	}
	return e
}

func unitInHeading(heading string) string {
	unit, _, _ := known.Words().HeadingParts(heading)
	return unit
}

// choices are the words that terms may hold, as far as the survey knows them.
func (f *forming) choices() map[string][]forms.Word {
	out := map[string][]forms.Word{}
	for term, l := range vocabulary.ByTerm() {
		for _, v := range l.Values() {
			out[term] = append(out[term], forms.Word{Text: v})
		}
	}
	var names, codes []forms.Word
	for _, e := range f.about.Checklist.Accepted() {
		usual := strings.Split(e.Vernacular, "|")
		names = append(names, forms.Word{Text: e.Name, Means: strings.Join(usual, ", ")})
		for _, code := range strings.Split(e.Code, "|") {
			codes = append(codes, forms.Word{Text: strings.TrimSpace(code), Means: e.Name})
		}
		for _, v := range usual {
			out["vernacularName"] = append(out["vernacularName"], forms.Word{Text: strings.TrimSpace(v), Means: e.Name})
		}
	}
	out["scientificName"] = append(names, codes...)
	if sites := f.about.Sites; sites != nil {
		var others []forms.Word
		for i := range sites.List {
			if !f.about.Hidden.Public(&sites.List[i]) {
				continue
			}
			for n, name := range sites.List[i].Names() {
				if n == 0 {
					out["locality"] = append(out["locality"], forms.Word{Text: name})
				} else {
					others = append(others, forms.Word{Text: name, Means: sites.List[i].Name})
				}
			}
		}
		out["locality"] = append(out["locality"], others...)
	}
	out["recordedBy"] = f.people()
	return out
}

// people are who may have measured.
func (f *forming) people() []forms.Word {
	var out []forms.Word
	add := func(name string) {
		if name = strings.TrimSpace(name); name != "" && !slices.ContainsFunc(out, func(w forms.Word) bool { return w.Text == name }) {
			out = append(out, forms.Word{Text: name})
		}
	}
	for _, name := range f.o.Observers {
		add(name)
	}
	if len(out) > 0 {
		return out
	}
	d := f.about.Survey.Dataset
	for _, p := range append(slices.Clone(d.Creators), d.Contacts...) {
		add(p.Given + " " + p.Family)
	}
	return out
}

// bags are the labels of the table of bags with what each weighed last.
func (f *forming) bags() []forms.Word {
	name := f.about.Survey.Tables.Bags
	if name == "" {
		return nil
	}
	text, err := fs.ReadFile(f.about.Files, name)
	if err != nil {
		return nil // loading the tables has read it
	}
	var rows []weigh.BagLine
	if err := gocsv.Unmarshal(bytes.NewReader(bytes.TrimPrefix(text, []byte("\ufeff"))), &rows); err != nil {
		return nil
	}
	var out []forms.Word
	for _, r := range rows {
		w := forms.Word{Text: r.Bag, Means: strings.TrimSpace(r.Mass + " " + cmp.Or(r.Unit, "g"))}
		if r.Weighed != "" {
			w.Means += ", weighed " + r.Weighed
		}
		if i := slices.IndexFunc(out, func(o forms.Word) bool { return o.Text == r.Bag }); i >= 0 {
			out[i] = w
			continue
		}
		out = append(out, w)
	}
	return out
}
