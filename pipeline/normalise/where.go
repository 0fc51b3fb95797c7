package normalise

import (
	"cmp"
	"slices"
	"strings"

	"spadefoot/pipeline/place"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// where reads the place: coordinates of the row if there are any, else those
// of the site that the row names.
func (r *row) where() {
	site, point := r.site()
	p, from, some := r.coordinates()
	if some {
		r.position(p, from)
	}
	if site == nil {
		return
	}
	at := record.Address{File: r.x.SitesFile, Row: site.Line}
	if !some && site.Point.Known() {
		r.position(point, at)
		if grid := site.Point.Grid(site.Longitude, site.Latitude); grid != "" {
			r.fill(tVerbatimCoordinates, grid, at)
		} else {
			r.fill(tVerbatimLatitude, site.Latitude, at)
			r.fill(tVerbatimLongitude, site.Longitude, at)
		}
		r.fill(tGeoreferenceSources, "table of sites of the survey", at)
	}
	for _, t := range [...]struct {
		slot slot
		text string
	}{
		{tCounty, site.County}, {tStateProvince, site.StateProvince}, {tCountry, site.Country}, {tCountryCode, site.CountryCode},
		{tMinimumElevation, site.MinimumElevation}, {tMaximumElevation, site.MaximumElevation},
	} {
		r.fill(t.slot, t.text, at)
	}
}

// fill sets a term that the row itself says nothing of. What holds for every
// capture unless something nearer speaks gives way. It returns the value if it is set.
func (r *row) fill(s slot, text string, from record.Address) *record.Value {
	if v := r.value(s); text != "" && (v == nil || v.Text == "" || r.isDefault(v)) {
		return r.put(s, text, "", from)
	}
	return nil
}

// isDefault says whether a value is one of those stated for every capture.
func (r *row) isDefault(v *record.Value) bool {
	for _, d := range r.x.Defaults {
		if d.Term == v.Term && d.From == v.From() {
			return true
		}
	}
	return false
}

// site looks the written locality up in the table of sites, with its position.
func (r *row) site() (*place.Site, *placed) {
	s, c := tLocality, (*record.Cell)(nil)
	for _, own := range [...]slot{tLocality, tLocationID} {
		for _, i := range r.plan.by[own] {
			cell := &r.cells[i]
			if cell.Empty() || marked(cell.Text) {
				continue
			}
			if c == nil {
				s, c = own, cell
			}
			r.share(own, squeezed(cell.Text), cell)
		}
	}
	if c == nil || r.x.Sites == nil {
		return nil, nil
	}
	text := squeezed(c.Text)
	found := r.siteOf(text)
	r.problems(found.problems, c, r.plan.names[s])
	site := found.site
	if site == nil {
		return nil, nil
	}
	if s == tLocality && site.Name != text {
		v := r.value(tLocality)
		v.Text = site.Name + strings.TrimPrefix(v.Text, text)
		r.fill(tVerbatimLocality, c.Verbatim(), r.at(c))
	}
	return site, found.at
}

func (r *row) siteOf(text string) *foundSite {
	known := r.columns.sites
	if f := known.find(text); f != nil {
		return f
	}
	text = strings.Clone(text)
	site, problems := r.x.Sites.Find(text)
	found := &foundSite{site: site, problems: problems}
	if site != nil {
		found.at = r.x.placed(site.Point)
	}
	return known.keep(text, found)
}

// placeOptions is what the row says beside the numbers of its position.
func (r *row) placeOptions() place.Options {
	o := place.Options{Datum: r.x.Datum, Zone: cmp.Or(r.plan.zone, r.x.UTMZone), GPSError: r.x.GPSError, LetterO: r.x.LetterO, CountryCode: r.get(tCountryCode)}
	if language := r.get(tLanguage); language != "" {
		o.LetterO = cmp.Or(place.LetterO(language), o.LetterO) // of this sheet, which may be in another language than the data set
	}
	if r.x.Cut {
		o.LastPlace = 1
	}
	for _, s := range [...]slot{tGeodeticDatum, tVerbatimSRS} {
		if _, c, ok := r.cellOf(s); ok {
			o.Datum = c.Text
		} else if d := r.get(s); d != "" && o.Datum == "" {
			o.Datum = d
		}
	}
	if _, c, ok := r.cellOf(tVerbatimCoordinateSystem); ok {
		if place.IsZone(c.Text) {
			o.Zone = c.Text
		} else {
			o.System = c.Text
		}
	}
	return o
}

// ofOneColumn says of a table that has no column for the other coordinate what
// would be said of each of its cells.
func ofOneColumn(problems []record.Problem) []record.Problem {
	out := slices.Clone(problems)
	for i := range out {
		if out[i].Rule == "coordinates-half" {
			out[i] = record.Problem{Rule: oneCoordinate, Level: record.Warning,
				Reason: "the table has a column for only one coordinate; its text is kept, and no position is published"}
		}
	}
	return out
}

// coordinates reads what the row itself says of its position.
func (r *row) coordinates() (*placed, record.Address, bool) {
	_, pair, hasPair := r.cellOf(tVerbatimCoordinates)
	for _, names := range [...][2]slot{{tDecimalLatitude, tDecimalLongitude}, {tVerbatimLatitude, tVerbatimLongitude}} {
		lat, okLat := r.angle(names[0])
		lon, okLon := r.angle(names[1])
		if !okLat && !okLon {
			continue
		}
		o := r.placeOptions()
		o.LatCompass, o.LonCompass = r.plan.compass(names[0]), r.plan.compass(names[1])
		o.FullCircle = slices.ContainsFunc(r.plan.by[names[1]], func(i int) bool { return r.columns.circle[i] })
		o.Stored = lat.Kind == record.Number && lon.Kind == record.Number
		p := r.placeOf(placeCells{lat.Text, lon.Text, pair.Text, 0}, o, false)
		if !p.Known() {
			lat, lon = orNothing(lat), orNothing(lon)
			if lat.Empty() && lon.Empty() {
				continue
			}
			p = r.placeOf(placeCells{lat.Text, lon.Text, pair.Text, 0}, o, false)
		}
		at := lat
		if lat.Empty() {
			at = lon
		}
		problems := p.Problems
		if len(r.plan.by[names[0]]) == 0 || len(r.plan.by[names[1]]) == 0 {
			problems = ofOneColumn(problems)
		}
		if lat.Kind == record.Fault || lon.Kind == record.Fault {
			problems = nil // reading the sheet told of the fault
		}
		for _, problem := range problems {
			if problem.Second {
				r.problem(problem, lon, r.plan.names[names[1]])
			} else {
				r.problem(problem, at, r.plan.names[names[0]])
			}
		}
		r.verbatimPosition(p, at, lat, lon, pair)
		return p, r.at(at), true
	}
	if hasPair {
		p := r.placeOf(placeCells{pair: pair.Text}, r.placeOptions(), true)
		if !p.Known() && unsaid(pair.Text) {
			return nil, record.Address{}, false
		}
		r.problems(p.Problems, pair, "verbatimCoordinates")
		r.verbatimPosition(p, pair, &nothing, &nothing, pair)
		return p, r.at(pair), true
	}
	return nil, record.Address{}, false
}

// unsaid reports whether a cell says that nothing was taken there: "n/a", -999. Keep sees
// to its text.
func unsaid(text string) bool { return quantity.Missing(text) || quantity.Sentinel(text) }

// orNothing returns a cell, or an empty one in place of one that says nothing.
func orNothing(c *record.Cell) *record.Cell {
	if unsaid(c.Text) {
		return &nothing
	}
	return c
}

// angle returns the cell of a coordinate. Where degrees, minutes and seconds have
// a column each, their texts stand behind one another in it.
func (r *row) angle(s slot) (*record.Cell, bool) {
	_, first, ok := r.cellOf(s)
	if !r.plan.parted {
		return first, ok
	}
	var parts [3]string
	for _, i := range r.plan.by[s] {
		if k := slices.Index(angles[:], r.plan.columns[i].Meaning.Angle); k >= 0 && parts[k] == "" {
			parts[k] = strings.TrimSpace(r.cells[i].Text)
		}
	}
	text := strings.TrimSpace(strings.Join(parts[:], " "))
	if text == "" {
		return first, ok
	}
	c := *first
	c.Text, c.Kind, c.Beside = text, record.Text, nil
	return &c, true
}

// angles are the parts of a coordinate, as mappings name them.
var angles = [...]string{"degrees", "minutes", "seconds"}

// placeOf reads a position, or a pair in one cell.
func (r *row) placeOf(cells placeCells, o place.Options, paired bool) *placed {
	known := r.columns.places
	cells.options = r.number(o, paired)
	if p := known.find(cells); p != nil && cells.options > 0 {
		return p
	}
	var p place.Point
	cells.latitude, cells.longitude, cells.pair = strings.Clone(cells.latitude), strings.Clone(cells.longitude), strings.Clone(cells.pair)
	if paired {
		p = place.ParsePair(cells.pair, o)
	} else {
		p = place.FromVerbatim(cells.latitude, cells.longitude, cells.pair, o)
	}
	if cells.options == 0 {
		return r.x.placed(p)
	}
	return known.keep(cells, r.x.placed(p))
}

// verbatimPosition keeps what was written of a position. Easting and northing
// of UTM are not longitude and latitude: they stand together, with their zone.
func (r *row) verbatimPosition(p *placed, at, lat, lon, pair *record.Cell) {
	if grid := p.Grid(lon.Verbatim(), lat.Verbatim(), pair.Verbatim()); grid != "" {
		r.put(tVerbatimCoordinates, grid, grid, r.at(at))
		return
	}
	r.keepVerbatim(tVerbatimLatitude, lat)
	r.keepVerbatim(tVerbatimLongitude, lon)
	r.keepVerbatim(tVerbatimCoordinates, pair)
}

func (r *row) keepVerbatim(s slot, c *record.Cell) {
	if !c.Empty() {
		r.put(s, strings.TrimSpace(c.Verbatim()), c.Verbatim(), r.at(c))
	}
}

// position fills the terms of a point. The datum of what is published is
// always WGS 84; the stated one moves to verbatimSRS.
func (r *row) position(p *placed, from record.Address) {
	if !p.Known() {
		return
	}
	for i := range p.said {
		w, verbatim, at := &p.said[i], "", &from
		if old := r.value(w.slot); old != nil && old.Verbatim != "" {
			own := old.From() // a cell of its own says it in other words
			verbatim, at = old.Verbatim, &own
		}
		r.putAt(w.slot, w.value, verbatim, at).Word = w.number
	}
	if v := r.fill(tCoordinateUncertainty, p.uncertainty.value, from); v != nil {
		v.Word = p.uncertainty.number
	}
	if p.Remark != "" {
		r.fill(tGeoreferenceRemarks, p.Remark, from)
	}
}
