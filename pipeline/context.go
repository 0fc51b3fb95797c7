package pipeline

import (
	"fmt"
	"maps"
	"slices"

	"github.com/go-viper/mapstructure/v2"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/mapping/known"
	"spadefoot/pipeline/normalise"
	"spadefoot/pipeline/place"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/vocabulary"
	"spadefoot/pipeline/weigh"
)

// context is what the cells of one sheet are read against.
func (w *walk) context(ref int) (*normalise.Context, error) {
	s, r := w.survey, w.survey.Sheets[ref]
	words, err := vocabulary.ByTerm()
	if err != nil {
		return nil, err
	}
	x := &normalise.Context{
		Key: r.Map.Key, Session: r.Map.Session, Marks: r.Map.Marks, RemarksTerm: r.Map.Remarks,
		Weighing: normalise.Weighing{Way: r.Weighing.Way, Unit: r.Weighing.Unit, Scale: r.Weighing.Scale,
			Tare: r.Weighing.Tare, Spread: r.Weighing.TareSpread * gramsPer(r.Weighing.Unit), From: record.Address{File: survey.FileName}},
		Instruments: map[string]normalise.Instrument{}, Repeats: w.repeats(),
		Checklist: w.tables.checklist, Sites: w.tables.sites, SitesFile: s.Tables.Sites, Words: words,
		Joined: known.Words().Repeatable, UnitOf: func(name string) string { return s.Measures().Get(name).Unit },
		Measurement: func(text string) (string, bool) {
			m, ok := s.Measures().Named(text)
			return m.Name, ok
		},
		First: windowDay(s.Window.From, false), Last: windowDay(s.Window.To, true), Datum: s.Window.Datum, GPSError: s.Window.GPSError, UTMZone: s.Window.UTMZone,
		Night: s.Window.Night != nil && *s.Window.Night, NightStated: s.Window.Night != nil, Date1904: s.Window.DateSystem == 1904, Cut: s.Window.Rounding == "cut", LetterO: place.LetterO(s.Dataset.Language),
	}
	if s.Window.Hemisphere != "" {
		x.Hemisphere = s.Window.Hemisphere[0]
	}
	if s.Window.Timezone != "" {
		if x.Zone, err = calendar.Zone(s.Window.Timezone); err != nil {
			return nil, err
		}
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
		out.Checks = append(out.Checks, w.tables.checks.all...)
	}
	out.Checks = append(out.Checks, w.onSheets.all...)
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
	if err != nil {
		return infer.Inputs{}, settings, err
	}
	rules, err := infer.Rules()
	return infer.Inputs{Rules: rules, Specimens: w.tables.specimens}, settings, err
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
