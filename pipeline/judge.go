package pipeline

import (
	"slices"
	"strings"

	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/place"
	"spadefoot/pipeline/prove/quality/boundary"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/screen"
)

// screen compares values with their group, and places with the survey's other
// places.
func (w *way) screen() error {
	settings, err := w.screenSettings()
	if err != nil {
		return err
	}
	w.find(screen.Screen(w.animals(), w.tables.limits, settings)...)
	w.yieldToExplanations()
	w.joinTwice()
	w.screenPlaces()
	return nil
}

// animals are the captures of animals. The others say that somebody looked and
// found none: they are published, and there is nothing of them to measure.
func (w *way) animals() []*record.Capture {
	out := make([]*record.Capture, 0, len(w.captures))
	for _, c := range w.captures {
		if !c.Absent() {
			out = append(out, c)
		}
	}
	return out
}

// yieldToExplanations drops what the weighing stage doubted where screening
// found the slip that explains it: one cause, one finding.
func (w *way) yieldToExplanations() {
	explained := map[record.Address]bool{}
	for _, f := range w.findings {
		if f.Rule == "gross-tare-swapped" || f.Rule == "weighing-slip" {
			for _, at := range append([]record.Address{f.At}, f.Also...) {
				explained[at] = true
			}
		}
	}
	if len(explained) == 0 {
		return
	}
	w.leaveOut(func(f record.Finding) bool {
		return (f.Rule == "tare-not-less-than-gross" || f.Rule == "tare-unlike-session") && explained[f.At]
	})
}

// countryMargin is how far outside its stated country, in kilometres, a place
// may lie before it is doubted: the embedded borders are good to a kilometre
// or two, and boats work off the coast.
const countryMargin = 20

// inCountry tells whether a place lies in the country that a capture states;
// it is nil where none is stated or its borders are not known.
func inCountry(c *record.Capture) func(lat, lon float64) bool {
	code := c.Get("countryCode")
	if code == "" || !boundary.Known(code) { // the borders are unpacked when first asked for
		return nil
	}
	return func(lat, lon float64) bool { return boundary.Within(code, lat, lon, countryMargin) }
}

// screenPlaces looks for positions far from the survey's others, or outside
// the stated country.
func (w *way) screenPlaces() {
	at := positions{}
	var points []place.LatLon
	for _, c := range w.captures {
		if p := at.of(c); p.Known() {
			points = append(points, place.LatLon{Latitude: p.Latitude, Longitude: p.Longitude})
		}
	}
	w.suspectPlaces(at, w.regionOf(points))
}

// positions are the places that are written with captures, each read once: a
// survey has far fewer of them than captures.
type positions map[[2]string]place.Point

// mostPositions bounds how many are remembered.
const mostPositions = 1 << 16

// of gives the place that is written with a capture; that of a site in the
// table is read and checked there.
func (at positions) of(c *record.Capture) place.Point {
	v := c.Value("decimalLatitude")
	if v == nil || v.From.File != c.File {
		return place.Point{}
	}
	written := [2]string{v.Text, c.Get("decimalLongitude")}
	p, known := at[written]
	if !known {
		p = place.Parse(written[0], written[1], place.Options{})
		if len(at) == mostPositions {
			clear(at)
		}
		at[[2]string{strings.Clone(written[0]), strings.Clone(written[1])}] = p
	}
	return p
}

// regionOf is where the survey's places lie, those of the table of sites
// included.
func (w *way) regionOf(points []place.LatLon) place.Region {
	if w.tables.sites != nil {
		points = append(points, w.tables.sites.Places()...)
	}
	return place.NewRegion(points, 0)
}

// suspectPlaces doubts positions of the captures in hand.
func (w *way) suspectPlaces(positions positions, region place.Region) {
	around := place.Surroundings{Region: region}
	for _, c := range w.captures {
		at := positions.of(c)
		if !at.Known() {
			continue
		}
		around.Inside, around.Country = inCountry(c), c.Get("country")
		v := c.Value("decimalLatitude")
		written := c.Get("verbatimLatitude") + ", " + c.Get("verbatimLongitude")
		for _, problem := range place.Suspects(at, around) {
			f := problem.Finding(v.From, "decimalLatitude", written)
			f.Capture = c.Key
			w.find(f)
		}
	}
}

// infer supports the identification: sex, species, condition. What it derives
// joins the captures; a recorded sex or name is never touched.
func (w *way) infer() error {
	inputs, settings, err := w.inferInputs()
	if err != nil {
		return err
	}
	result := infer.Infer(w.animals(), w.flagged(nil), inputs, settings)
	w.find(result.Findings...)
	byID := map[string]*record.Capture{}
	for _, c := range w.captures {
		byID[c.ID] = c
	}
	for _, d := range result.Derived {
		if c := byID[d.Capture]; c != nil {
			c.Readings = append(c.Readings, d.Reading)
		}
	}
	for _, in := range result.Indications {
		if c := byID[in.Capture]; c != nil && in.Fill != nil {
			c.Fill(*in.Fill)
		}
	}
	w.judgeQuality()
	return nil
}

// flagged are the IDs of captures with a doubt at warning or above, on the
// capture or on any of its cells. More findings than those of the way may count.
func (w *way) flagged(more []record.Finding) map[string]bool {
	type place struct {
		file, sheet string
		row         int
	}
	byKey, byPlace := map[string]string{}, map[place]string{}
	for _, c := range w.captures {
		byKey[c.Key] = c.ID
		byPlace[place{c.File, c.Sheet, c.Row}] = c.ID
	}
	out := map[string]bool{}
	for _, f := range slices.Concat(w.findings, more) {
		if f.Level < record.Warning {
			continue
		}
		if id, ok := byKey[f.Capture]; ok {
			out[id] = true
		}
		for _, at := range f.Also {
			if id, ok := byPlace[place{at.File, at.Sheet, at.Row}]; ok {
				out[id] = true
			}
		}
	}
	return out
}

func (w *way) screenSettings() (screen.Settings, error) {
	settings := screen.Defaults()
	return settings, decode(w.survey.Rules.Screen, &settings, "rules.screen")
}

// inferInputs are what inference goes by beside the captures.
func (w *way) inferInputs() (infer.Inputs, infer.Settings, error) {
	settings, err := w.inferSettings()
	if err != nil {
		return infer.Inputs{}, settings, err
	}
	rules, err := infer.Rules()
	return infer.Inputs{Rules: rules, Specimens: w.tables.specimens}, settings, err
}

func (w *way) inferSettings() (infer.Settings, error) {
	settings := infer.Defaults()
	return settings, decode(w.survey.Rules.Infer, &settings, "rules.infer")
}

// thresholds are the settings in force, for run.json.
func (w *way) thresholds() map[string]any {
	settings, _ := w.screenSettings() // a mistake has ended the run before
	inference, _ := w.inferSettings()
	weighing, _ := w.weighSettings()
	return map[string]any{"screen": asMap(settings), "weigh": asMap(weighing), "infer": asMap(inference), "levels": w.survey.Rules.Levels}
}
