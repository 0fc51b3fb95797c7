package report

import "spadefoot/pipeline/record"

const termDateName = "eventDate"

// Terms that pictures show.
const (
	termName = iota
	termStage
	termSex
	termDate
	termDeterminedBy
	termRecordedBy
	termsOfPlace  // and those after it
	termsPictured = len(pictureTerms)
)

// pictureTerms are the terms that pictures show, by the numbers above.
var pictureTerms = [...]string{
	termName: "scientificName", termStage: "lifeStage", termSex: "sex", termDate: termDateName,
	termDeterminedBy: "measurementDeterminedBy", termRecordedBy: "recordedBy", termsOfPlace: "decimalLatitude",
	"decimalLongitude", "verbatimCoordinates", "verbatimLatitude", "verbatimLongitude",
}

// pictured numbers the terms that pictures show, -1 for others.
var pictured = record.NewNames(pictureTerms[:]).Place

// noted is what counting a capture read off it.
type noted struct {
	sheet *sheet
	group *group
	site  *site
	date  string
	value [termsPictured]*record.Value // nil for none
}

func (n *noted) text(term int) string {
	if v := n.value[term]; v != nil {
		return v.Text
	}
	return ""
}
