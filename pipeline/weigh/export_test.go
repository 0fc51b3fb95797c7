package weigh

// Find returns the last weighing of a bag that is not after the capture's date
// (ISO 8601; an interval counts by its start, "" by nothing: then the first
// weighing holds). If every weighing is later it gives the first one of them
// and says so.
func (t BagTable) Find(label, date string) (bag Bag, isLater, ok bool) {
	b, l := t.find(label, date)
	return b, l == later, l != unknown
}

// Median returns the middle tare in grams, NaN if there are none.
func (t TareSummary) Median() float64 { return t.tares.Median() }
