package weigh

import (
	"spadefoot/pipeline/record"
)

// Tares are the tares that are compared with each other, by group.
type Tares map[string]*TareSummary

// Add takes the tare of a capture into account.
func (t Tares) Add(c *record.Capture) {
	key := tareGroup(c)
	if t[key] == nil {
		t[key] = &TareSummary{}
	}
	t[key].AddCapture(c)
}

// Judge holds a tare against the others of its group; of a group that none was
// seen of it says nothing.
func (t Tares) Judge(c *record.Capture, s Settings) []record.Finding {
	others := t[tareGroup(c)]
	if others == nil {
		return nil
	}
	return JudgeTare(c, *others, s)
}

// tareGroup is what a tare is compared within: the sheet, since a team takes
// the same few bags through a season and a single night has too few of them.
func tareGroup(c *record.Capture) string { return c.File + "\x1f" + c.Sheet }
