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
	termsPictured = termsOfPlace + 5
)

// pictured numbers the terms that pictures show, -1 for others.
func pictured(term string) int {
	switch term {
	case "scientificName":
		return termName
	case "lifeStage":
		return termStage
	case "sex":
		return termSex
	case termDateName:
		return termDate
	case "measurementDeterminedBy":
		return termDeterminedBy
	case "recordedBy":
		return termRecordedBy
	case "decimalLatitude":
		return termsOfPlace
	case "decimalLongitude":
		return termsOfPlace + 1
	case "verbatimCoordinates":
		return termsOfPlace + 2
	case "verbatimLatitude":
		return termsOfPlace + 3
	case "verbatimLongitude":
		return termsOfPlace + 4
	}
	return -1
}

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
