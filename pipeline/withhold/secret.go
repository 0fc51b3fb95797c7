package withhold

import (
	"path"
	"slices"
	"strings"
	"unicode/utf8"

	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
)

// secret is what tells where a capture was made: names in words, and
// coordinates in every way that they were written.
type secret struct {
	names []phrase
	codes []phrase // short names, which only tell something in an identifier
	words map[string]bool
	pairs []pair
	exact []phrase // coordinates as written
	of    string   // key of a capture of the place, as published
}

// pair is a latitude and a longitude that tell a place together.
type pair struct{ lat, lon phrase }

// placedBy is everything that says where a capture was made.
func placedBy(c *record.Capture) string {
	var b strings.Builder
	for _, terms := range [][]string{naming, regions, {"decimalLatitude", "decimalLongitude", "verbatimLatitude", "verbatimLongitude"}} {
		for _, term := range terms {
			if v := c.Value(term); v != nil {
				b.WriteString(v.Text + "\x1f" + v.Verbatim)
			}
			b.WriteByte('\x1e')
		}
	}
	return b.String()
}

// secretOf gathers the names of the place, those of the table of sites too,
// and its coordinates. What is known as a name of a region is none of them.
func secretOf(c *record.Capture, sites *place.Sites, known func(term, text string) bool) secret {
	s := secret{words: map[string]bool{}}
	var texts []string
	for _, term := range naming {
		if v := c.Value(term); v != nil {
			texts = append(texts, v.Text, v.Verbatim)
		}
	}
	if sites != nil {
		for _, text := range slices.Clone(texts) {
			if site, _ := sites.Find(text); site != nil {
				texts = append(texts, site.Names()...)
				s.coordinates(site.Latitude, site.Longitude)
				s.coordinates(site.Point.LatText, site.Point.LonText)
			}
		}
	}
	var region []string
	for _, term := range regions {
		region = append(region, tokens(c.Get(term)).String())
	}
	for _, text := range texts {
		isRegion := known != nil && slices.ContainsFunc(regions, func(term string) bool { return known(term, text) })
		if p := tokens(text); !isRegion && !slices.Contains(region, p.String()) {
			s.name(p)
		}
	}
	for _, terms := range [][2]string{{"decimalLatitude", "decimalLongitude"}, {"verbatimLatitude", "verbatimLongitude"}} {
		lat, lon := c.Value(terms[0]), c.Value(terms[1])
		if lat != nil && lon != nil {
			s.coordinates(lat.Text, lon.Text)
			s.coordinates(lat.Verbatim, lon.Verbatim)
		}
	}
	return s
}

func (s *secret) name(p phrase) {
	letters, digits := p.count()
	switch {
	case len(p) == 0 || has(s.names, p) || has(s.codes, p):
		return
	case letters >= 3 || letters >= 1 && len(p) > 1 && letters+digits >= 3 || digits >= 5:
		s.names = append(s.names, p)
	case letters >= 2:
		s.codes = append(s.codes, p)
	}
	for _, w := range p {
		if utf8.RuneCountInString(w) >= 4 {
			s.words[w] = true
		}
	}
}

func has(ps []phrase, p phrase) bool {
	return slices.ContainsFunc(ps, func(o phrase) bool { return slices.Equal(o, p) })
}

// coordinates takes a pair as written, and every rounding of it that has four
// decimals or more: about 11 metres of latitude.
func (s *secret) coordinates(lat, lon string) {
	a, b := roundings(lat), roundings(lon)
	for i := range min(len(a), len(b)) {
		p := pair{a[i], b[i]}
		if !slices.ContainsFunc(s.pairs, func(o pair) bool { return slices.Equal(o.lat, p.lat) && slices.Equal(o.lon, p.lon) }) {
			s.pairs = append(s.pairs, p)
		}
	}
	for _, text := range []string{lat, lon} {
		p := tokens(text)
		if _, digits := p.count(); digits >= 5 && len(p) >= 2 && !has(s.exact, p) {
			s.exact = append(s.exact, p)
		}
	}
}

// phrases are the texts that tell the place by themselves.
func (s *secret) phrases() []phrase { return append(slices.Clone(s.names), s.exact...) }

// inText reports whether a text tells the place. Strictly, short codes count.
func (s *secret) inText(text string, strictly bool) bool {
	if text == "" {
		return false
	}
	t := tokens(text)
	return contains(t, s.names) || contains(t, s.exact) || strictly && contains(t, s.codes)
}

// sharesWord reports whether a text has a longer word in common with a name
// of the place.
func (s *secret) sharesWord(text string) bool {
	return slices.ContainsFunc(tokens(text), func(w string) bool { return s.words[w] })
}

// inName reports whether a file or its tab is called after the place.
func (s *secret) inName(file, sheet string) bool {
	base := strings.TrimSuffix(file, path.Ext(file))
	return s.inText(base, false) || s.inText(sheet, true)
}
