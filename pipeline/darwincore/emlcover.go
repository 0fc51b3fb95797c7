package darwincore

import (
	"cmp"
	"slices"
	"strings"
)

type emlCoverage struct {
	Geographic *emlPlace `xml:"geographicCoverage"`
	Temporal   *emlTime  `xml:"temporalCoverage"`
	Taxonomic  *emlTaxa  `xml:"taxonomicCoverage"`
}

type emlPlace struct {
	Description string `xml:"geographicDescription"`
	West        string `xml:"boundingCoordinates>westBoundingCoordinate"`
	East        string `xml:"boundingCoordinates>eastBoundingCoordinate"`
	North       string `xml:"boundingCoordinates>northBoundingCoordinate"`
	South       string `xml:"boundingCoordinates>southBoundingCoordinate"`
}

type emlTime struct {
	Single *emlDate  `xml:"singleDateTime"`
	Range  *emlRange `xml:"rangeOfDates"`
}

type emlDate struct {
	Date string `xml:"calendarDate"`
}

type emlRange struct {
	Begin emlDate `xml:"beginDate"`
	End   emlDate `xml:"endDate"`
}

type emlTaxa struct {
	Taxa []emlTaxon `xml:"taxonomicClassification"`
}

type emlTaxon struct {
	Rank   string     `xml:"taxonRankName"`
	Name   string     `xml:"taxonRankValue"`
	Common string     `xml:"commonName,omitempty"`
	Below  []emlTaxon `xml:"taxonomicClassification"`
}

type emlMethods struct {
	Steps    []emlStep    `xml:"methodStep"`
	Sampling *emlSampling `xml:"sampling"`
	Quality  []emlStep    `xml:"qualityControl"`
}

type emlStep struct {
	Description emlText  `xml:"description"`
	Instruments []string `xml:"instrumentation"`
}

type emlSampling struct {
	Extent      emlText `xml:"studyExtent>description"`
	Description emlText `xml:"samplingDescription"`
}

func emlCover(c *Coverage, d *Dataset) *emlCoverage {
	var out emlCoverage
	if c.located {
		out.Geographic = &emlPlace{
			Description: cmp.Or(d.Place, strings.Join(c.places.sorted(), "; "), d.Country, d.CountryCode, "Bounding box of the places in the data"),
			West:        number(c.west), East: number(c.east), North: number(c.north), South: number(c.south),
		}
	}
	switch {
	case c.first == "":
	case c.first == c.last:
		out.Temporal = &emlTime{Single: &emlDate{c.first}}
	default:
		out.Temporal = &emlTime{Range: &emlRange{emlDate{c.first}, emlDate{c.last}}}
	}
	if taxa := c.tree(); len(taxa) > 0 {
		out.Taxonomic = &emlTaxa{classify(taxa)}
	}
	if out == (emlCoverage{}) {
		return nil
	}
	return &out
}

func classify(level map[string]*taxonNode) []emlTaxon {
	var out []emlTaxon
	for _, n := range sortedTaxa(level) {
		out = append(out, emlTaxon{n.rank, n.name, n.common, classify(n.below)})
	}
	return out
}

// methods are the steps found from the captures, the sampling as it was
// described, and the quality control.
func methods(d *Dataset, c *Coverage, steps []Step) *emlMethods {
	var m emlMethods
	for _, s := range slices.Concat(d.Steps, steps) {
		m.Steps = append(m.Steps, emlStep{*text(s.Text), s.Instruments})
	}
	protocols := c.protocols.sorted()
	sampling := text(cmp.Or(d.Sampling, strings.Join(protocols, "; ")))
	if len(m.Steps) == 0 {
		if sampling == nil {
			return nil
		}
		m.Steps = []emlStep{{Description: *sampling}}
	}
	if sampling != nil {
		extent := c.first
		if c.last != c.first {
			extent += " to " + c.last
		}
		if places := strings.Join(c.places.sorted(), "; "); places != "" {
			extent = strings.TrimPrefix(extent+", "+places, ", ")
		}
		m.Sampling = &emlSampling{*text(cmp.Or(extent, d.Title)), *sampling}
	}
	for _, q := range d.Quality {
		if t := text(q); t != nil {
			m.Quality = append(m.Quality, emlStep{Description: *t})
		}
	}
	return &m
}
