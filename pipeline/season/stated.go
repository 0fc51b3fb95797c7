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
var termIndex = record.NewNames([]string{
	statedSpecies: "scientificName", statedSex: "sex", statedStage: "lifeStage", statedSite: "locality",
	statedDate: "eventDate", statedTime: "eventTime", statedEffort: "samplingEffort", statedSample: "sampleSizeValue",
	statedSampleUnit: "sampleSizeUnit", statedCount: "individualCount", statedStatus: "occurrenceStatus", statedWithheld: "informationWithheld",
}).Place

// statedBy goes over the values of a capture once. Of several of one term the first
// counts.
func (g *Gatherer) statedBy(c *record.Capture) (t stated) {
	for i, at := range g.terms.Of(c) {
		if at >= 0 && t[at] == nil {
			t[at] = &c.Values[i]
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
