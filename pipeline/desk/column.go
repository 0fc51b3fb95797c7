package desk

import (
	"cmp"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline"
	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/vocabulary"
)

// columnView is one column with what it may mean.
type columnView struct {
	Mapping, Mark, Heading string
	Where                  []string
	State, Reason          string
	Now                    string
	Filled, Rows           int
	Sampled                int // rows that texts and picture are from, where that is not all
	Texts                  []textCount
	Picture                template.HTML
	Choices                []choice
	Groups                 []optionGroup
	Units                  []option
	Instruments            []option
	Replicates             []option
	Orders                 []option
	Tried                  *triedView

	guess   *mapping.ColumnGuess
	numbers []float64
}

// choice is one meaning to choose.
type choice struct {
	Value, Text, Why string
	Chosen           bool
}

type option struct {
	Value, Text string
	Chosen      bool
}

type optionGroup struct {
	Name    string
	Options []option
}

// textCount is a text of a column and the number of rows that have it.
type textCount struct {
	Text string
	N    int
}

// triedView is what a meaning would change.
type triedView struct {
	Meaning string
	Summary string
	Before  readOf
	After   readOf
	New     difference
	Gone    difference
}

// readOf is what became of the cells of a column.
type readOf struct{ Read, Other int }

// maxListed is how many doubts, and texts of a column, are listed.
const maxListed = 8

func (d *Desk) column(r *http.Request) (View, error) {
	_, _, v, err := d.columnAsked(r)
	if err != nil {
		return View{}, err
	}
	return v.view(), nil
}

func (v *columnView) view() View {
	return View{Title: v.Heading, Template: "column.html", Data: v}
}

// columnAsked gathers what the page of a column shows.
func (d *Desk) columnAsked(r *http.Request) (*form, *pipeline.Snapshot, *columnView, error) {
	all, result, err := d.forms(r.Context())
	if err != nil {
		return nil, nil, nil, err
	}
	f, err := d.formAsked(r, all)
	if err != nil {
		return nil, nil, nil, err
	}
	heading := r.FormValue("heading")
	i := slices.IndexFunc(f.standing.Guesses, func(g *mapping.ColumnGuess) bool { return mapping.Fold(g.Heading) == mapping.Fold(heading) })
	if i < 0 {
		return nil, nil, nil, refuse(http.StatusNotFound, "No column of %s has the heading %q.", f.key, heading)
	}
	g := f.standing.Guesses[i]
	v := &columnView{Mapping: f.key, Mark: f.text.Mark, Heading: g.Heading, guess: g, State: stateOf(g), Reason: strings.TrimSuffix(g.Reason, "."), Now: wordsOf(g.Meaning, result.Survey.Measures())}
	v.numbers = v.gather(f, g, result)
	v.choose(g, result.Survey.Measures())
	v.Groups = meaningGroups(result.Survey.Measures())
	v.Units = unitOptions(g.Meaning.Unit)
	v.Instruments = []option{{"", "not stated", g.Meaning.Instrument == ""}}
	for _, in := range result.Survey.Instruments {
		v.Instruments = append(v.Instruments, option{in.Name, in.Name, in.Name == g.Meaning.Instrument})
	}
	for n := range 10 {
		text := strconv.Itoa(n)
		if n == 0 {
			text = "measured once"
		}
		v.Replicates = append(v.Replicates, option{strconv.Itoa(n), text, n == g.Meaning.Replicate})
	}
	for _, o := range []option{{"", "as the dates show", false}, {"dmy", "day, month, year", false}, {"mdy", "month, day, year", false}, {"ymd", "year, month, day", false}} {
		o.Chosen = o.Value == g.Meaning.DateOrder
		v.Orders = append(v.Orders, o)
	}
	v.Picture = v.spread(result.Survey.Measures())
	return f, result, v, nil
}

// gather counts the texts of a column in all of its tables, and returns its numbers.
func (v *columnView) gather(f *form, g *mapping.ColumnGuess, result *pipeline.Snapshot) (numbers []float64) {
	counts := map[string]int{}
	var order []string
	filled, sampled := 0, 0
	for t, k := range f.columns(g.Heading) {
		v.Where = append(v.Where, columnAddress(t, k).String())
		var marks quantity.Evidence
		for i := range t.Rows {
			marks.Add(t.Rows[i].Cells[k].Text)
		}
		decimal, _ := marks.Decimal()
		v.Rows += f.rows[slices.Index(f.tables, t)]
		sampled += len(t.Rows)
		for i := range t.Rows {
			text := strings.TrimSpace(t.Rows[i].Cells[k].Verbatim())
			if text == "" {
				continue
			}
			filled++
			if counts[text] == 0 {
				order = append(order, text)
			}
			counts[text]++
			if q := quantity.Parse(text, quantity.Options{Decimal: decimal, Unit: g.Meaning.Unit, Letters: marks.Letters()}); q.Usable() {
				numbers = append(numbers, q.Number)
			}
		}
	}
	sorting.StableFunc(order, func(a, b string) int { return cmp.Compare(counts[b], counts[a]) })
	for _, text := range order[:min(len(order), maxListed)] {
		v.Texts = append(v.Texts, textCount{text, counts[text]})
	}
	for at := range f.cells(g.Heading) {
		v.Filled += result.Columns[at].Filled
	}
	if sampled < v.Rows {
		v.Sampled = sampled
	}
	if 2*len(numbers) < filled {
		return nil
	}
	return numbers
}

// choose lists the meaning of now, and the others that the draft thought of.
func (v *columnView) choose(g *mapping.ColumnGuess, known *vocabulary.Measures) {
	now := v.Now
	if now == "" {
		now = "open: its cells are kept in dynamicProperties"
	} else {
		now += ", as it stands"
	}
	v.Choices = []choice{{Value: "now", Text: now, Why: v.Reason, Chosen: true}}
	for i, a := range g.Alternatives {
		if a.Meaning.Role != record.Unmatched {
			v.Choices = append(v.Choices, choice{Value: fmt.Sprintf("alternative-%d", i), Text: wordsOf(a.Meaning, known), Why: strings.TrimSuffix(a.Reason, ".")})
		}
	}
	if g.Meaning.Role != record.Unmatched {
		v.Choices = append(v.Choices, choice{Value: "open", Text: "leave it open: its cells are kept in dynamicProperties"})
	}
}

// spread draws the numbers of a column beside what its meanings, and more that are
// asked about, usually are.
func (v *columnView) spread(known *vocabulary.Measures, more ...record.Meaning) template.HTML {
	s := report.Spread{ID: "values", Title: "Values of " + v.Heading, Label: v.Heading, Values: v.numbers}
	meanings := append([]record.Meaning{v.guess.Meaning}, more...)
	for _, a := range v.guess.Alternatives {
		meanings = append(meanings, a.Meaning)
	}
	for _, m := range meanings {
		name := m.Measurement
		if m.IsMass() {
			name = "bodyMass"
		}
		k := known.Get(name)
		factor, ok := quantity.Factor(k.Unit, cmp.Or(m.Unit, k.Unit))
		if name == "" || k.Maximum <= k.Minimum || !ok || slices.ContainsFunc(s.Usual, func(u report.Usual) bool { return u.Name == k.Label }) {
			continue
		}
		by, _ := factor.Float64()
		s.Usual = append(s.Usual, report.Usual{Name: k.Label, Lo: k.Minimum * by, Hi: k.Maximum * by})
	}
	return s.SVG()
}

// weighingWords are the parts of a weighing, for people.
var weighingWords = map[string]string{record.Gross: "animal and bag together", record.Tare: "the empty bag", record.Net: "the animal alone",
	record.Bag: "label of the bag", record.Scale: "name of the scale"}

// wordsOf names a meaning for people; "" for none.
func wordsOf(m record.Meaning, known *vocabulary.Measures) string {
	words := mapping.Words(m)
	switch m.Role {
	case record.Term:
		return m.Term
	case record.Measurement:
		return strings.Replace(words, m.Measurement, cmp.Or(known.Get(m.Measurement).Label, m.Measurement), 1)
	case record.WeighPart:
		return strings.Replace(words, "the weighing's "+m.Part, cmp.Or(weighingWords[m.Part], m.Part), 1)
	}
	return words
}

// meaningGroups are all meanings that a column may be given.
func meaningGroups(known *vocabulary.Measures) []optionGroup {
	measured := optionGroup{Name: "Measurements"}
	for _, name := range known.Names() {
		m := known.Get(name)
		measured.Options = append(measured.Options, option{Value: "measurement:" + name, Text: m.Label})
	}
	parts := optionGroup{Name: "Weighing"}
	for _, p := range []string{record.Gross, record.Tare, record.Net, record.Bag, record.Scale} {
		parts.Options = append(parts.Options, option{Value: "weighing:" + p, Text: weighingWords[p]})
	}
	long := optionGroup{Name: "One row per measurement", Options: []option{
		{Value: "long:name", Text: "name of the measurement"}, {Value: "long:value", Text: "its value"}, {Value: "long:unit", Text: "its unit"}}}
	var names []string
	for _, t := range terms.All() {
		if t.Current() && t.Property() && t.Simple() && !slices.Contains(names, t.Name) {
			names = append(names, t.Name)
		}
	}
	slices.Sort(names)
	term := optionGroup{Name: "Darwin Core terms"}
	for _, n := range names {
		term.Options = append(term.Options, option{Value: "term:" + n, Text: n})
	}
	aside := optionGroup{Name: "Neither", Options: []option{{Value: "aside:", Text: "set aside: never published"}}}
	return []optionGroup{term, measured, parts, long, aside}
}

// units are those that people measure in.
var units = []struct{ code, name string }{{"mm", "mm"}, {"cm", "cm"}, {"m", "m"}, {"[in_i]", "inches"}, {"g", "g"}, {"kg", "kg"}, {"mg", "mg"},
	{"[oz_av]", "ounces"}, {"[lb_av]", "pounds"}, {"Cel", "°C"}, {"[degF]", "°F"}, {"%", "per cent"}, {"1", "a count or ratio"}, {"min", "minutes"}, {"h", "hours"}, {"d", "days"}, {"a", "years"}}

// unitName names a unit for people.
func unitName(code string) string {
	for _, u := range units {
		if u.code == code {
			return u.name
		}
	}
	return code
}

// unitOptions are those units, and the one of now.
func unitOptions(now string) []option {
	all := []option{{"", "as the heading says", now == ""}}
	for _, u := range units {
		all = append(all, option{u.code, u.name, u.code == now})
	}
	if !slices.ContainsFunc(all, func(o option) bool { return o.Value == now }) {
		all = append(all, option{now, now, true})
	}
	return all
}

// changeColumn shows what another meaning would change, or writes it.
func (d *Desk) changeColumn(w http.ResponseWriter, r *http.Request) {
	if r.PostFormValue("do") == "try" {
		d.atLength(d.tried)(w, r)
		return
	}
	d.do(d.writeColumn)(w, r)
}

// asked is the text of the mapping with the meaning that a form asks for.
func (d *Desk) asked(r *http.Request) (f *form, before *pipeline.Snapshot, v *columnView, text []byte, m record.Meaning, err error) {
	if f, before, v, err = d.columnAsked(r); err != nil {
		return
	}
	if m, err = meaningAsked(r, v.guess, before.Survey); err != nil {
		return
	}
	text, err = mapping.Amend(f.text.Bytes, mapping.Change{Meanings: map[string]record.Meaning{f.standing.Entry(v.Heading): m}}, f.at...)
	if err != nil {
		err = refuse(http.StatusUnprocessableEntity, "%s", err)
	}
	return
}

// meaningAsked reads the meaning out of a form.
func meaningAsked(r *http.Request, g *mapping.ColumnGuess, s *survey.Survey) (record.Meaning, error) {
	m := g.Meaning
	chosen := r.PostFormValue("meaning")
	kind := r.PostFormValue("kind")
	switch n, isAlternative := strings.CutPrefix(chosen, "alternative-"); {
	case chosen == "open":
		return record.Meaning{}, nil
	case isAlternative:
		i, err := strconv.Atoi(n)
		if err != nil || i < 0 || i >= len(g.Alternatives) {
			return m, refuse(http.StatusBadRequest, "There is no such meaning.")
		}
		return detailed(r, g.Alternatives[i].Meaning, s), nil
	case chosen == "other":
		key, name, ok := strings.Cut(kind, ":")
		if !ok {
			return m, refuse(http.StatusBadRequest, "Choose a meaning from the list first.")
		}
		m = record.Meaning{}
		switch key {
		case "term":
			m.Role, m.Term = record.Term, name
		case "measurement":
			m.Role, m.Measurement = record.Measurement, name
		case "weighing":
			m.Role, m.Part = record.WeighPart, name
		case "aside":
			m.Role, m.Reason = record.SetAside, cmp.Or(strings.TrimSpace(r.PostFormValue("why")), "a person set it aside")
		case "long":
			m.Role = record.LongColumn(name)
		}
		return detailed(r, m, s), nil
	case m.Role == record.Unmatched:
		return m, refuse(http.StatusBadRequest, "Choose a meaning first.")
	}
	return detailed(r, m, s), nil
}

// detailed adds unit, instrument, replicate and order of dates as the form has
// them, where the meaning can have them.
func detailed(r *http.Request, m record.Meaning, s *survey.Survey) record.Meaning {
	switch usual := usualUnit(m, s); {
	case usual != "":
		if unit := r.PostFormValue("unit"); unit == "" || quantity.Dimension(unit) == quantity.Dimension(usual) {
			m.Unit, m.Guessed = unit, false
		}
		for _, in := range s.Instruments {
			if in.Name == r.PostFormValue("instrument") && quantity.Dimension(in.Unit) == quantity.Dimension(usual) {
				m.Instrument = in.Name
			}
		}
		if r.PostFormValue("instrument") == "" {
			m.Instrument = ""
		}
		if n, err := strconv.Atoi(r.PostFormValue("replicate")); err == nil && m.Role == record.Measurement {
			m.Replicate = n
		}
	case m.Role == record.Term:
		m.DateOrder = r.PostFormValue("dateOrder")
	}
	return m
}

// usualUnit is a unit that a meaning can have, or "" where it has none.
func usualUnit(m record.Meaning, s *survey.Survey) string {
	switch {
	case m.Role == record.Measurement:
		return s.Measures().Get(m.Measurement).Unit
	case m.IsMass():
		return "g"
	}
	return ""
}

// tried answers with what another meaning would change.
func (d *Desk) tried(r *http.Request) http.HandlerFunc {
	v, err := d.tryColumn(r)
	if err != nil {
		v = wrong(err)
	}
	return func(w http.ResponseWriter, r *http.Request) { d.render(w, r, v) }
}

func (d *Desk) tryColumn(r *http.Request) (View, error) {
	f, before, v, text, m, err := d.asked(r)
	if err != nil {
		return View{}, err
	}
	after, err := d.try(r.Context(), f.text.Name, text)
	if err != nil {
		return View{}, refuse(http.StatusUnprocessableEntity, "The survey cannot be read with this meaning. %s", err)
	}
	defer after.Close()
	c, err := compare(before, after)
	if err != nil {
		return View{}, err
	}
	v.Tried = &triedView{Meaning: cmp.Or(wordsOf(m, before.Survey.Measures()), "open"), Summary: c.String(), Before: f.readOf(before, v.Heading), After: f.readOf(after, v.Heading), New: c.New, Gone: c.Gone}
	v.Picture = v.spread(before.Survey.Measures(), m)
	v.keepForm(r)
	return v.view(), nil
}

// keepForm leaves in the form what was chosen there.
func (v *columnView) keepForm(r *http.Request) {
	for i := range v.Choices {
		v.Choices[i].Chosen = v.Choices[i].Value == r.PostFormValue("meaning")
	}
	for field, options := range map[string][]option{"unit": v.Units, "instrument": v.Instruments, "replicate": v.Replicates, "dateOrder": v.Orders} {
		for i := range options {
			options[i].Chosen = options[i].Value == r.PostFormValue(field)
		}
	}
	if r.PostFormValue("meaning") != "other" {
		return
	}
	for i := range v.Groups {
		for k := range v.Groups[i].Options {
			v.Groups[i].Options[k].Chosen = v.Groups[i].Options[k].Value == r.PostFormValue("kind")
		}
	}
	v.Choices = append(v.Choices, choice{Value: "other", Chosen: true})
}

// OtherChosen reports whether the meaning is one of the list.
func (v *columnView) OtherChosen() bool {
	return slices.ContainsFunc(v.Choices, func(c choice) bool { return c.Value == "other" && c.Chosen })
}

// readOf counts the cells of a column that were read as values, and the others
// that hold something.
func (f *form) readOf(r *pipeline.Snapshot, heading string) (out readOf) {
	for at := range f.cells(heading) {
		c := r.Columns[at]
		out.Read += c.Read
		out.Other += max(0, c.Filled-c.Read)
	}
	return out
}

// cells are the columns with a heading, each once.
func (f *form) cells(heading string) map[record.Address]bool {
	out := map[record.Address]bool{}
	for t, k := range f.columns(heading) {
		out[columnAddress(t, k)] = true
	}
	return out
}

func (d *Desk) writeColumn(r *http.Request) (to, notice string, err error) {
	f, before, v, text, m, err := d.asked(r)
	if err != nil {
		return "", "", err
	}
	after, err := d.writeMapping(r, f, text)
	if err != nil {
		return "", "", err
	}
	c, err := compare(before, after)
	to = "/questions/column?" + url.Values{"mapping": {f.key}, "heading": {v.Heading}}.Encode()
	return to, fmt.Sprintf("%s now has %q as %s. %s", f.text.Name, v.Heading, cmp.Or(wordsOf(m, before.Survey.Measures()), "open"), c), err
}
