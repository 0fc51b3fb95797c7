package pipeline

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/go-viper/mapstructure/v2"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/config"
	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/mapping/known"
	"spadefoot/pipeline/normalise"
	"spadefoot/pipeline/place"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/season"
	"spadefoot/pipeline/sheet"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/vocabulary"
	"spadefoot/pipeline/weigh"
	"spadefoot/pipeline/withhold"
)

// dataset is the survey's description as the archive needs it.
func (w *walk) dataset() darwincore.Dataset {
	s := w.survey
	licence, open := s.Dataset.Licence, s.Dataset.Licence == survey.NoLicence
	if open {
		licence = ""
	}
	d := darwincore.Dataset{
		Core: s.Archive.Core, ID: s.Dataset.ID, Title: s.Dataset.Title, Description: s.Dataset.Description, Language: s.Dataset.Language,
		Licence: licence, LicenceOpen: open, RightsHolder: s.Dataset.RightsHolder, Published: s.Dataset.Published,
		Permits: s.Dataset.Permits, Ethics: s.Dataset.Ethics, Citation: s.Dataset.Citation, Sampling: s.Dataset.Methods,
		Version: s.Dataset.Published, Defaults: map[string]string{},
		Country: s.Dataset.Country, CountryCode: s.Dataset.CountryCode, Place: s.Dataset.GeographicDescription,
		URL: s.Dataset.URL, Purpose: s.Dataset.Purpose, Funding: s.Dataset.Funding, Thanks: s.Dataset.Thanks,
		Keywords: s.Dataset.Keywords, Quality: s.Dataset.Quality, Publisher: person(s.Dataset.Publisher), Steps: w.methods(),
		Media: darwincore.MediaRights{Licence: s.Dataset.Media.Licence, Creator: s.Dataset.Media.Creator}, TypeIDs: map[string]string{}, Descriptors: w.tables.published(),
	}
	for _, m := range s.Measurements {
		d.TypeIDs[m.Name] = m.IRI
	}
	for _, g := range []struct {
		to   *[]darwincore.Person
		from []survey.Person
	}{{&d.Creators, s.Dataset.Creators}, {&d.Contacts, s.Dataset.Contacts}, {&d.Associates, s.Dataset.Associates}} {
		for _, p := range g.from {
			*g.to = append(*g.to, person(p))
		}
	}
	for _, in := range s.Instruments {
		d.Instruments = append(d.Instruments, darwincore.Instrument(in))
	}
	for term, v := range s.Defaults {
		if w.sensitive.file == "" || withhold.Keeps(term) { // else each capture has it from normalise, unless it is withheld
			d.Defaults[term] = fmt.Sprint(v)
		}
	}
	if s.Dataset.InstitutionCode != "" {
		d.Defaults["institutionCode"] = s.Dataset.InstitutionCode
	}
	return d
}

func person(p survey.Person) darwincore.Person {
	return darwincore.Person{Given: p.Given, Family: p.Family, Organisation: p.Organisation,
		Position: p.Position, Email: p.Email, ORCID: p.ORCID, Country: p.Country, Role: p.Role}
}

// publishable refuses a description with a required part missing before any
// work is done.
func (w *walk) publishable() error {
	var ms config.Mistakes
	for _, f := range w.dataset().Check(survey.FileName) {
		m := w.survey.Place(f.Field, f.Reason)
		m.Nearest = f.Suggestion
		ms = append(ms, m)
	}
	if len(ms) == 0 {
		return nil
	}
	sorting.StableFunc(ms, func(a, b config.Mistake) int { return a.Line - b.Line })
	return ms
}

func (w *walk) identifier(key string) string {
	return darwincore.OccurrenceID(w.survey.Dataset.ID, key)
}

func (w *walk) label(name string) string { return w.survey.Measures().Get(name).Label }

// methods are the steps that the walk knows of; how the masses came about the
// archive learns from the captures.
func (w *walk) methods() []darwincore.Step {
	steps := w.mappingSteps()
	if w.computed != "" {
		steps = append(steps, darwincore.Step{Text: w.computed})
	}
	return steps
}

// mappingSteps describes, for the methods of the data set, how the columns of
// the sheets were read: one step for each mapping that was really used, with
// the headings that were really there.
func (w *walk) mappingSteps() []darwincore.Step {
	type use struct {
		m       *mapping.Mapping
		sheets  []string
		columns []string
	}
	var uses []*use
	for _, t := range w.laid {
		m := w.survey.Sheets[t.ref].Map
		i := slices.IndexFunc(uses, func(u *use) bool { return u.m == m })
		if i < 0 {
			i = len(uses)
			uses = append(uses, &use{m: m})
		}
		u := uses[i]
		u.sheets = appendNew(u.sheets, record.Address{File: t.table.File, Sheet: t.table.Sheet}.String())
		for _, c := range t.table.Columns {
			if p := w.columnPhrase(c, w.survey.Sheets[t.ref].Weighing.Way); p != "" {
				u.columns = appendNew(u.columns, p)
			}
		}
	}
	var out []darwincore.Step
	for _, u := range uses {
		if len(u.columns) == 0 {
			continue
		}
		name := ""
		if u.m.Name != "" {
			name = fmt.Sprintf(", by the mapping “%s”", u.m.Name)
		}
		out = append(out, darwincore.Step{Text: fmt.Sprintf("Field sheets were read by their headings (%s)%s: %s.",
			strings.Join(u.sheets, "; "), name, strings.Join(u.columns, "; "))})
	}
	for _, m := range w.survey.Measures().Own() {
		out = append(out, darwincore.Step{Text: fmt.Sprintf("The measurement “%s”, in %s: %s", m.Label, m.Unit, m.Definition)})
	}
	if known := w.repeatSources(); len(known) > 0 {
		out = append(out, darwincore.Step{Text: "Repeatability, as the standard deviation of one person's repeats on one animal, was taken as " + strings.Join(known, "; ") + "."})
	}
	return out
}

func appendNew(list []string, s string) []string {
	if slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}

// columnPhrase says what a column was read as; "" for one that nobody mapped.
func (w *walk) columnPhrase(c record.Column, way record.WeighWay) string {
	m := c.Meaning
	what := ""
	switch m.Role {
	case record.Term:
		what = m.Term
	case record.Measurement:
		what = m.Measurement
		if l := w.label(m.Measurement); l != "" {
			what = l
		}
	case record.WeighPart:
		what = "weighing, " + m.Part
		if m.Part == record.Net && (way == "" || way == record.AsWritten) {
			what = "mass of the animal"
		}
	case record.NameColumn, record.ValueColumn, record.UnitColumn:
		what = meaningWords(m)
	case record.SetAside:
		return fmt.Sprintf("“%s” left out (%s)", c.Heading, m.Reason)
	}
	if what == "" {
		return ""
	}
	if m.Unit != "" {
		what += " in " + m.Unit
		if m.Guessed {
			what += " (guessed)"
		}
	}
	if m.Instrument != "" {
		what += " with the " + m.Instrument
	}
	return fmt.Sprintf("“%s” as %s", c.Heading, what)
}

// context is what the cells of one sheet are read against.
func (w *walk) context(ref int) (*normalise.Context, error) {
	s, r := w.survey, w.survey.Sheets[ref]
	x := &normalise.Context{
		Key: r.Map.Key, Session: r.Map.Session, Marks: r.Map.Marks, RemarksTerm: r.Map.Remarks,
		Weighing: normalise.Weighing{Way: r.Weighing.Way, Unit: r.Weighing.Unit, Scale: r.Weighing.Scale,
			Tare: r.Weighing.Tare, Spread: r.Weighing.TareSpread * gramsPer(r.Weighing.Unit), From: record.Address{File: survey.FileName}},
		Instruments: map[string]normalise.Instrument{}, Repeats: w.repeats(),
		Checklist: w.tables.checklist, Sites: w.tables.sites, SitesFile: s.Tables.Sites, Words: vocabulary.ByTerm(),
		Joined: known.Words().Repeatable, UnitOf: func(name string) string { return s.Measures().Get(name).Unit },
		Measurement: func(text string) (string, bool) {
			m, ok := s.Measures().Named(text)
			return m.Name, ok
		},
		Word:  w.store.Word,
		First: windowDay(s.Window.From, false), Last: windowDay(s.Window.To, true), Datum: s.Window.Datum, GPSError: s.Window.GPSError, UTMZone: s.Window.UTMZone,
		Night: s.Window.Night != nil && *s.Window.Night, NightStated: s.Window.Night != nil, Date1904: s.Window.DateSystem == 1904, Cut: s.Window.Rounding == "cut", LetterO: place.LetterO(s.Dataset.Language),
	}
	if s.Window.Hemisphere != "" {
		x.Hemisphere = s.Window.Hemisphere[0]
	}
	if s.Window.Timezone != "" {
		zone, err := calendar.Zone(s.Window.Timezone)
		if err != nil {
			return nil, err
		}
		x.Zone = zone
	}
	for _, in := range s.Instruments {
		x.Instruments[in.Name] = normalise.Instrument(in)
	}
	x.Key = keyTerms(x.Key)
	for _, m := range []map[string]any{s.Defaults, r.Defaults} {
		for _, term := range slices.Sorted(maps.Keys(m)) {
			x.Defaults = append(x.Defaults, normalise.Default{Term: term, Text: fmt.Sprint(m[term]), From: record.Address{File: survey.FileName}})
		}
	}
	return x, nil
}

// repeatSources says for the methods of the archive where the survey's
// repeatability is known from.
func (w *walk) repeatSources() (out []string) {
	for i, r := range w.repeats() {
		s := w.label(r.Measurement) + ": " + r.Said
		if r.Observer != "" {
			s += " in the hands of " + r.Observer
		}
		if source := w.survey.Repeats[i].Source; source != "" {
			s += " (" + source + ")"
		}
		out = append(out, s)
	}
	return out
}

// gramsPer is what a unit of mass is in grams; a mass without one is in grams.
func gramsPer(unit string) float64 { return factor(unit, "g") }

// factor is by what a value in one unit is multiplied to have it in another.
func factor(from, to string) float64 {
	f, ok := quantity.Factor(from, to)
	if from == "" || !ok {
		return 1
	}
	v, _ := f.Float64()
	return v
}

// repeats are what the survey says of its repeatability, in the units that are
// published.
func (w *walk) repeats() (out record.Repeats) {
	for _, r := range w.survey.Repeats {
		unit := w.survey.Measures().Get(r.Measurement).Unit
		s := record.Repeatability{Measurement: r.Measurement, Observer: r.Observer, Standard: r.StandardDeviation * factor(r.Unit, unit), Relative: r.Relative / 100}
		if s.Said = fmt.Sprintf("repeatability %.4g %%", r.Relative); s.Standard > 0 {
			s.Said = fmt.Sprintf("repeatability %.4g %s", s.Standard, unit)
		}
		out = append(out, s)
	}
	return out
}

// keyTerms are the terms that name a capture where the mapping says nothing of
// it. An empty list says that nothing does.
func keyTerms(stated []string) []string {
	if stated == nil {
		return []string{"recordNumber"}
	}
	return stated
}

func (w *walk) weighSettings() (weigh.Settings, error) {
	out := weigh.Defaults()
	if err := decode(w.survey.Rules.Weigh, &out, "rules.weigh"); err != nil {
		return out, err
	}
	for _, in := range w.survey.Instruments {
		out.Instruments = append(out.Instruments, weigh.Instrument(in))
	}
	for _, c := range w.survey.ScaleChecks {
		out.Checks = append(out.Checks, weigh.Check(c))
	}
	if w.tables != nil {
		out.Checks = append(out.Checks, w.tables.checks.All...)
	}
	out.Checks = append(out.Checks, w.onSheets.All...)
	out.Repeats = w.repeats()
	return out, nil
}

// decode lays the thresholds of survey.yaml over the defaults in out. A key
// that means nothing is a mistake in the call.
func decode(from map[string]any, out any, path string) error {
	d, err := mapstructure.NewDecoder(&mapstructure.DecoderConfig{Result: out, ErrorUnused: true, WeaklyTypedInput: false})
	if err != nil {
		return err
	}
	if err := d.Decode(from); err != nil {
		return &CallError{Reason: fmt.Sprintf("%s, key %s: %v", survey.FileName, path, err)}
	}
	return nil
}

// windowDay reads an end of the survey's window. A year or a month stands for
// its first day, or for its last.
func windowDay(iso string, end bool) calendar.Day {
	d := calendar.Parse(iso, calendar.Options{Order: calendar.YMD})
	if end {
		return d.End
	}
	return d.Start
}

// asMap writes settings by the names that survey.yaml uses.
func asMap(settings any) map[string]any {
	out := map[string]any{}
	if err := mapstructure.Decode(settings, &out); err != nil {
		return nil
	}
	return out
}

func (w *walk) screenSettings() (screen.Settings, error) {
	settings := screen.Defaults()
	return settings, decode(w.survey.Rules.Screen, &settings, "rules.screen")
}

// inferInputs are what inference goes by beside the captures.
func (w *walk) inferInputs() (infer.Inputs, infer.Settings, error) {
	settings, err := w.inferSettings()
	return infer.Inputs{Rules: infer.Rules(), Specimens: w.tables.specimens}, settings, err
}

func (w *walk) inferSettings() (infer.Settings, error) {
	settings := infer.Defaults()
	return settings, decode(w.survey.Rules.Infer, &settings, "rules.infer")
}

// thresholds are the settings in force, for run.json.
func (w *walk) thresholds() map[string]any {
	settings, _ := w.screenSettings() // a mistake has ended the run before
	inference, _ := w.inferSettings()
	weighing, _ := w.weighSettings()
	results, _ := w.seasonSettings()
	return map[string]any{"season": asMap(results), "screen": asMap(settings), "weigh": asMap(weighing), "infer": asMap(inference), "levels": w.survey.Rules.Levels}
}

func meaningWords(m record.Meaning) string {
	switch m.Role {
	case record.Term:
		return "term " + m.Term
	case record.Measurement:
		words := "measurement " + m.Measurement
		if m.Side != "" {
			words += " on the " + m.Side
		}
		if m.Observer != "" {
			words += " by " + m.Observer
		}
		return words
	case record.WeighPart:
		return "weighing " + m.Part
	case record.SetAside:
		return "set aside: " + m.Reason
	case record.NameColumn:
		return "name of the measurement"
	case record.ValueColumn:
		return "value of the measurement"
	case record.UnitColumn:
		return "unit of the measurement"
	}
	return "unmatched"
}

// seasonSettings lays rules.season over the defaults.
func (w *walk) seasonSettings() (season.Settings, error) {
	s := season.Defaults()
	if err := decode(w.survey.Rules.Season, &s, "rules.season"); err != nil {
		return s, err
	}
	if err := s.Check(); err != nil {
		return s, &CallError{Reason: fmt.Sprintf("%s, key rules.season: %v", survey.FileName, err)}
	}
	s.Night = w.survey.Window.Night != nil && *w.survey.Window.Night
	return s, nil
}

func sheetOptions(s *survey.Survey, ref survey.SheetRef) sheet.Options {
	return sheet.Options{Encoding: ref.Encoding, Tabs: ref.Tabs, Separator: separator(ref.Separator), Budgets: s.Budgets}
}

func separator(word string) rune {
	switch word {
	case "":
		return 0
	case "tab":
		return '\t'
	}
	return []rune(word)[0]
}

func layoutOptions(ref survey.SheetRef) layout.Options {
	l := ref.Layout
	o := layout.Options{
		Plain: l.Plain, HeadingRow: l.HeadingRow, HeadingRows: l.HeadingRows, LastRow: l.LastRow,
		FirstColumn: l.FirstColumn, LastColumn: l.LastColumn, Transposed: l.Transposed,
		CarryDown: l.CarryDown, SkipRows: l.SkipRows, IsOther: weigh.IsOfChecks,
	}
	if ref.Map != nil {
		o.IsHeading = ref.Map.Matcher(known.Words())
		o.KeepBlank = ref.Map.KeepsBlank(known.Words())
	}
	for _, name := range slices.Sorted(maps.Keys(l.Labels)) {
		o.Labels = append(o.Labels, record.Label{Name: name, Cell: record.Cell{Kind: record.Text, Text: fmt.Sprint(l.Labels[name])}})
	}
	return o
}
