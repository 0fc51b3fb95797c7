package normalise

import (
	"strings"

	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
)

// where reads the place: coordinates of the row if there are any, else those
// of the site that the row names.
func (r *row) where() {
	site := r.site()
	p, from, some := r.coordinates()
	if some {
		r.position(p, from)
	}
	if site == nil {
		return
	}
	at := record.Address{File: r.x.SitesFile, Row: site.Line}
	if !some && site.Point.Known() {
		r.position(site.Point, at)
		r.fill("verbatimLatitude", site.Latitude, at)
		r.fill("verbatimLongitude", site.Longitude, at)
		r.fill("georeferenceSources", "table of sites of the survey", at)
	}
	for _, t := range []struct{ term, text string }{
		{"county", site.County}, {"stateProvince", site.StateProvince}, {"country", site.Country}, {"countryCode", site.CountryCode},
		{"minimumElevationInMeters", site.MinimumElevation}, {"maximumElevationInMeters", site.MaximumElevation},
	} {
		r.fill(t.term, t.text, at)
	}
}

// fill sets a term that the row itself says nothing of. What holds for every
// capture unless something nearer speaks gives way.
func (r *row) fill(term, text string, from record.Address) {
	if text == "" {
		return
	}
	if v := r.capture.Value(term); v == nil || v.Text == "" || r.isDefault(v) {
		r.capture.Set(record.Value{Term: term, Text: text, From: from})
	}
}

// isDefault says whether a value is one of those stated for every capture.
func (r *row) isDefault(v *record.Value) bool {
	for _, d := range r.x.Defaults {
		if d.Term == v.Term && d.From == v.From {
			return true
		}
	}
	return false
}

// site looks the written locality up in the table of sites.
func (r *row) site() *place.Site {
	_, c, ok := r.cellOf("locality")
	term := "locality"
	if !ok {
		if _, c, ok = r.cellOf("locationID"); !ok {
			return nil
		}
		term = "locationID"
	}
	text := strings.Join(strings.Fields(c.Text), " ")
	r.capture.Set(record.Value{Term: term, Text: text, Verbatim: c.Verbatim(), From: r.at(c)})
	if r.x.Sites == nil {
		return nil
	}
	site, problems := r.x.Sites.Find(text)
	r.problems(problems, c, term)
	if site == nil {
		return nil
	}
	if term == "locality" && site.Name != text {
		r.capture.Set(record.Value{Term: "locality", Text: site.Name, Verbatim: c.Verbatim(), From: r.at(c)})
		r.fill("verbatimLocality", c.Verbatim(), r.at(c))
	}
	return site
}

// coordinates reads what the row itself says of its position.
func (r *row) coordinates() (place.Point, record.Address, bool) {
	o := place.Options{Datum: r.x.Datum, Zone: r.x.UTMZone, GPSError: r.x.GPSError, LetterO: r.x.LetterO, CountryCode: r.capture.Get("countryCode")}
	if letter := place.LetterO(r.capture.Get("language")); letter != "" {
		o.LetterO = letter // of this sheet, which may be in another language than the data set
	}
	if r.x.Cut {
		o.LastPlace = 1
	}
	for _, term := range []string{"geodeticDatum", "verbatimSRS"} {
		if _, c, ok := r.cellOf(term); ok {
			o.Datum = c.Text
		} else if d := r.capture.Get(term); d != "" && o.Datum == "" {
			o.Datum = d
		}
	}
	if _, c, ok := r.cellOf("verbatimCoordinateSystem"); ok {
		if place.IsZone(c.Text) {
			o.Zone = c.Text
		} else {
			o.System = c.Text
		}
	}
	_, pair, hasPair := r.cellOf("verbatimCoordinates")
	for _, names := range [][2]string{{"decimalLatitude", "decimalLongitude"}, {"verbatimLatitude", "verbatimLongitude"}} {
		_, lat, okLat := r.cellOf(names[0])
		_, lon, okLon := r.cellOf(names[1])
		if !okLat && !okLon {
			continue
		}
		o.Stored = lat.Kind == record.Number && lon.Kind == record.Number
		cells := placeCells{lat.Text, lon.Text, pair.Text, o}
		p := r.columns.places.Get(cells, func() place.Point { return place.FromVerbatim(lat.Text, lon.Text, pair.Text, o) })
		at := lat
		if !okLat {
			at = lon
		}
		r.problems(p.Problems, at, names[0])
		r.keepVerbatim("verbatimLatitude", lat, okLat)
		r.keepVerbatim("verbatimLongitude", lon, okLon)
		r.keepVerbatim("verbatimCoordinates", pair, hasPair)
		return p, r.at(at), true
	}
	if hasPair {
		p := r.columns.places.Get(placeCells{pair: pair.Text, options: o}, func() place.Point { return place.ParsePair(pair.Text, o) })
		r.problems(p.Problems, pair, "verbatimCoordinates")
		r.keepVerbatim("verbatimCoordinates", pair, true)
		return p, r.at(pair), true
	}
	return place.Point{}, record.Address{}, false
}

func (r *row) keepVerbatim(term string, c record.Cell, there bool) {
	if there {
		r.capture.Set(record.Value{Term: term, Text: strings.TrimSpace(c.Verbatim()), Verbatim: c.Verbatim(), From: r.at(c)})
	}
}

// position fills the terms of a point. The datum of what is published is
// always WGS 84; the stated one moves to verbatimSRS.
func (r *row) position(p place.Point, from record.Address) {
	if !p.Known() {
		return
	}
	for _, t := range []struct{ term, text string }{
		{"decimalLatitude", p.LatText}, {"decimalLongitude", p.LonText}, {"geodeticDatum", place.GeodeticDatum},
		{"coordinatePrecision", p.PrecisionText()}, {"verbatimCoordinateSystem", p.System}, {"verbatimSRS", p.SRS},
	} {
		if t.text == "" {
			continue
		}
		v := record.Value{Term: t.term, Text: t.text, From: from}
		if old := r.capture.Value(t.term); old != nil && old.Verbatim != "" {
			v.Verbatim, v.From = old.Verbatim, old.From // a cell of its own says it in other words
		}
		r.capture.Set(v)
	}
	r.fill("coordinateUncertaintyInMeters", p.UncertaintyText(), from)
	if p.Remark != "" {
		r.fill("georeferenceRemarks", p.Remark, from)
	}
}

func isElevation(term string) bool {
	switch term {
	case "minimumElevationInMeters", "verbatimElevation", "minimumDepthInMeters", "verbatimDepth":
		return true
	}
	return false
}

// elevation reads an elevation or depth into metres, the smallest and the
// largest; a column of its own for the largest wins.
func (r *row) elevation(m record.Meaning, c record.Cell) {
	unit := m.Unit
	if unit == "" {
		unit = "m"
	}
	read, kind := place.ParseElevation, "Elevation"
	if strings.Contains(m.Term, "epth") {
		read, kind = place.ParseDepth, "Depth"
	}
	low, high, problems := read(c.Text, unit)
	r.problems(problems, c, m.Term)
	if low == "" {
		r.keepVerbatim("verbatim"+kind, c, true)
		return
	}
	r.capture.Set(record.Value{Term: "minimum" + kind + "InMeters", Text: low, Verbatim: c.Verbatim(), From: r.at(c)})
	if high != "" {
		r.fill("maximum"+kind+"InMeters", high, r.at(c))
	}
	if strings.TrimSpace(c.Verbatim()) != low {
		r.keepVerbatim("verbatim"+kind, c, true)
	}
}
