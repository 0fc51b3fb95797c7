package quality

import (
	"errors"
	"io"
	"strings"

	"spadefoot/pipeline/prove/quality/boundary"
)

// marineTests compare coordinates with where a taxon lives.
var marineTests = map[string]answer{
	"VALIDATION_COORDINATESTERRESTRIALMARINE_CONSISTENT": biomeConsistent,
}

// Marine is a list of names known to live in the sea, or not to.
type Marine struct {
	Name   string
	biomes map[string]biome
}

// biome says whether a taxon lives in the sea, on land or in fresh water, or
// both.
type biome struct{ sea, land bool }

// ReadMarine reads a table with the heading scientificName. A heading isMarine
// or marine may say yes or no (also true and false, 1 and 0); without it every
// name is marine. isBrackish, isFreshwater and isTerrestrial are read if
// they are there; brackish counts as both.
func ReadMarine(r io.Reader, name string) (*Marine, error) {
	m := &Marine{Name: name, biomes: map[string]biome{}}
	err := readTable(r, func(_ int, row Record) error {
		words, _ := splitAuthor(oneSpaced(row("scientificName")), oneSpaced(row("scientificNameAuthorship")))
		if words == "" {
			return nil
		}
		b := biome{sea: said(row.first("isMarine", "marine"), true)}
		brackish := said(row.first("isBrackish"), false)
		b.sea = b.sea || brackish
		b.land = brackish || said(row.first("isFreshwater"), false) || said(row.first("isTerrestrial"), !b.sea)
		m.biomes[words] = b
		return nil
	})
	if err == nil && len(m.biomes) == 0 {
		err = errors.New("no row has a scientificName")
	}
	return m, err
}

// said reads yes and no.
func said(text string, otherwise bool) bool {
	switch strings.ToLower(text) {
	case "":
		return otherwise
	case "1", "true", "yes", "y", "x":
		return true
	}
	return false
}

// biomeOf looks up a record by its name, then by the names above it, lowest
// first. Amphibians are taken not to be marine where no list says otherwise.
func (p Params) biomeOf(r Record) (b biome, known bool, how string) {
	words, _ := splitAuthor(oneSpaced(r("scientificName")), oneSpaced(r("scientificNameAuthorship")))
	if m := p.Sources.Marine; m != nil {
		genus, _, _ := strings.Cut(words, " ")
		names := []string{words, genus}
		for i := len(classification) - 1; i >= 0; i-- {
			names = append(names, trim(r(classification[i])))
		}
		for _, name := range names {
			if b, known := m.biomes[name]; known && name != "" {
				return b, true, "by " + m.Name
			}
		}
	}
	if trim(r("class")) == "Amphibia" || words == "Amphibia" {
		return biome{land: true}, true, "because amphibians are assumed not to be unless a list says otherwise"
	}
	return biome{}, false, ""
}

func biomeConsistent(r Record, p Params) Response {
	if !p.available("taxonIsMarine") || !p.available("geospatialLand") {
		return external("the source %s or %s is not available", p.value("taxonIsMarine"), p.value("geospatialLand"))
	}
	lat, lon, ok := r.place()
	if !r.has("scientificName") || !ok {
		return internal("scientificName, decimalLatitude or decimalLongitude is empty or cannot be used")
	}
	b, known, how := p.biomeOf(r)
	assumed := strings.ToLower(p.value("assumptionOnUnknownBiome"))
	switch {
	case known:
	case assumed == "marine":
		b, how = biome{sea: true}, "by assumptionOnUnknownBiome"
	case assumed == "nonmarine" || assumed == "terrestrial":
		b, how = biome{land: true}, "by assumptionOnUnknownBiome"
	case p.Sources.Marine == nil:
		return without("--marine", "a list of marine taxa")
	default:
		return internal("%s does not say whether the taxon lives in the sea", p.Sources.Marine.Name)
	}
	kind := map[biome]string{{sea: true}: "marine", {land: true}: "not marine", {true, true}: "of the sea and of land or fresh water", {}: "of no biome"}[b]
	buffer := p.number("spatialBufferInMeters")
	onLand := boundary.OnLand(lat, lon)
	near := onLand || boundary.NearLand(lat, lon, buffer/1000)
	good := b.land && near || b.sea && !onLand
	return judged(good, "the taxon is "+kind+" ("+how+"), as is the place", "the taxon is "+kind+" ("+how+"), and the place is not")
}
