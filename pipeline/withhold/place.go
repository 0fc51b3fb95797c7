package withhold

import (
	"cmp"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
)

// pointOf reads the published coordinates of a capture.
func pointOf(c *record.Capture) place.Point {
	p := place.Point{LatText: c.Get("decimalLatitude"), LonText: c.Get("decimalLongitude")}
	var err1, err2 error
	p.Latitude, err1 = strconv.ParseFloat(p.LatText, 64)
	p.Longitude, err2 = strconv.ParseFloat(p.LonText, 64)
	if err1 != nil || err2 != nil {
		return place.Point{}
	}
	if u, err := strconv.ParseFloat(c.Get("coordinateUncertaintyInMeters"), 64); err == nil && u > 0 && !math.IsInf(u, 0) {
		p.Uncertainty = u
	}
	return p
}

// regionOf is the smallest region that is known, and what it lies in.
func regionOf(c *record.Capture) string {
	var parts []string
	for _, term := range regions {
		if s := c.Get(term); s != "" {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, ", ")
}

// publishPlace says of the place what may be said.
func (h *Hidden) publishPlace(p place.Point, region string) {
	c := h.Capture
	set := func(term, text string) {
		if text != "" {
			c.Set(record.Value{Field: record.Of(term), Text: text})
		}
	}
	if g := generalise(p, h.Rule.Grid); g.LatText != "" {
		set("decimalLatitude", g.LatText)
		set("decimalLongitude", g.LonText)
		set("geodeticDatum", place.GeodeticDatum)
		set("coordinateUncertaintyInMeters", strconv.FormatFloat(math.Ceil(g.Uncertainty), 'f', 0, 64))
		set("coordinatePrecision", strconv.FormatFloat(g.Precision, 'f', -1, 64))
		set("dataGeneralizations", g.DataGeneralizations)
	}
	set("informationWithheld", "The exact place, and whatever may tell it, is withheld ("+h.Rule.Reason+"); ask the rights holder.")
	set("locality", cmp.Or(h.Rule.Locality, region))
}

// generalise blurs a point. Its own uncertainty is taken up to the next tenth,
// whole or tenfold of the cell's radius: published to the metre it would tell
// one site of the cell from another.
func generalise(p place.Point, grid float64) place.Generalised {
	if grid == 0 || !p.Known() {
		return place.Generalised{}
	}
	_, _, cell := place.Generalise(p.Latitude, p.Longitude, grid)
	if cell > 0 {
		step := cell / 10
		for step < p.Uncertainty {
			step *= 10
		}
		p.Uncertainty = step
	}
	return p.Generalise(grid)
}

// maskReadings takes notes out of what was written for readings, and readings
// that may be a coordinate. With a part of a weighing goes all of it, and with
// any reading what was worked out from them.
func (h *Hidden) maskReadings() {
	c := h.Capture
	number := func(r *record.Reading) bool { return r != nil && r.State != record.Unread && !safeReading(r) }
	lost := slices.ContainsFunc(c.Readings, func(r record.Reading) bool { return number(&r) })
	if w := c.Weighing; w != nil && (number(w.Gross) || number(w.Tare) || number(w.Net)) {
		c.Weighing, lost = nil, true
	}
	if lost {
		c.Readings = slices.DeleteFunc(c.Readings, func(r record.Reading) bool { return r.Derived || number(&r) })
	}
	for i := range c.Readings {
		h.maskReading(&c.Readings[i])
	}
	w := c.Weighing
	if w == nil {
		return
	}
	for r := range w.Readings() {
		h.maskReading(r)
	}
	if h.secret.inText(w.BagLabel, true) || !plain(w.BagLabel) {
		w.BagLabel = ""
	}
	if !h.tool(w.Scale) {
		w.Scale = ""
	}
}

// safeReading reports whether a reading may be published: a number that nobody
// would take for a coordinate. One that was not read is a place's name as likely
// as anything.
func safeReading(r *record.Reading) bool {
	return r.Derived || r.State != record.Unread && !likeCoordinates(r.Verbatim)
}

// tool reports whether the survey declares an instrument of this name.
func (h *Hidden) tool(name string) bool {
	known := h.among.settings.Known
	return name == "" || known != nil && known(record.Scale, name)
}

func (h *Hidden) maskReading(r *record.Reading) {
	if !plain(r.Verbatim) || !safeReading(r) {
		r.Verbatim = ""
	}
	if r.State == record.Unread {
		r.Text = ""
	}
	if !h.tool(r.Instrument) {
		r.Vary(func(s *record.Series) { s.Instrument = "" })
	}
	if !r.Derived && !ours.MatchString(r.Remark()) || h.secret.inText(r.Remark(), true) {
		r.SetRemark("")
	}
}

// ours are the remarks that the program makes for a reading; any other may be
// a note that was in the cell.
var ours = regexp.MustCompile(`^(?:(?:tare of the whole session|animal and bag together|scale zeroed with the bag on|` +
	`tare written as [0-9.]+ g|spread between bags (?:[0-9.]+ g|not known)|calibration ±[0-9.]+ g|repeatability [0-9.]+ \S+|` +
	`the net is written without its (?:gross|tare)|graduation [0-9.]+ g of [^;]+)(?:; |$))*$`)
