package season

import "spadefoot/pipeline/record"

// stated is what a capture says under the terms that results are made from, nil where
// it says nothing.
type stated [statedTerms]*record.Value

// The places of the terms.
const (
	statedSpecies = iota
	statedSex
	statedStage
	statedSite
	statedDate
	statedTime
	statedEffort
	statedSample
	statedSampleUnit
	statedCount
	statedStatus
	statedWithheld
	statedTerms
)

// termIndex is the place of a term, -1 for none.
func termIndex(term string) int {
	switch term {
	case "scientificName":
		return statedSpecies
	case "sex":
		return statedSex
	case "lifeStage":
		return statedStage
	case "locality":
		return statedSite
	case "eventDate":
		return statedDate
	case "eventTime":
		return statedTime
	case "samplingEffort":
		return statedEffort
	case "sampleSizeValue":
		return statedSample
	case "sampleSizeUnit":
		return statedSampleUnit
	case "individualCount":
		return statedCount
	case "occurrenceStatus":
		return statedStatus
	case "informationWithheld":
		return statedWithheld
	}
	return -1
}

// statedBy goes over the values of a capture once. Of several of one term the first
// counts.
func statedBy(c *record.Capture) (t stated) {
	for i := range c.Values {
		v := &c.Values[i]
		if at := termIndex(v.Term); at >= 0 && t[at] == nil {
			t[at] = v
		}
	}
	return t
}

// text is the published text of a term, or "".
func (t *stated) text(at int) string {
	if v := t[at]; v != nil {
		return v.Text
	}
	return ""
}

// absent reports whether the row says that nothing was found.
func (t *stated) absent() bool { return t.text(statedStatus) == "absent" }

// withheld reports whether the place is withheld. A sheet that says so itself gives
// the place that it wants to publish.
func (t *stated) withheld() bool {
	v := t[statedWithheld]
	return v != nil && v.From().File == ""
}
