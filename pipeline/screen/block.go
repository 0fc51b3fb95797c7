package screen

import (
	"fmt"
	"math"
	"slices"

	"spadefoot/pipeline/record"
)

// minInBlock is the number of cells from which a slip of many is one cause.
const minInBlock = 3

// blockKinds are the kinds of blocks, the most specific ones last.
var blockKinds = [...]string{"of the sheet", "of the table", "of the session", "by the observer", "of the day", "of the day by the observer", "of a run of rows"}

// runOfRows is the kind of block of rows of a table below each other.
const runOfRows = 6

// blockName names the block of a kind that a capture belongs to, "" if none.
func blockName(kind int, c *record.Capture) string {
	switch kind {
	case 0:
		if c.Sheet != "" {
			return c.File + ", tab " + c.Sheet
		}
		return c.File
	case 1:
		return fmt.Sprintf("%s, table %d", blockName(0, c), c.Table)
	case 2:
		return c.Session
	case 3:
		return c.Get("recordedBy")
	case 4:
		return c.Get("eventDate")
	case runOfRows:
		return blockName(0, c)
	}
	day, observer := c.Get("eventDate"), c.Get("recordedBy")
	if day == "" || observer == "" {
		return ""
	}
	return day + " by " + observer
}

// blockTitle describes the block of a kind that a capture belongs to.
func blockTitle(kind int, c *record.Capture) string {
	name := blockName(kind, c)
	switch blockKinds[kind] {
	case "of the day by the observer", "of the day":
		return "of " + name
	case "by the observer":
		return "by " + name
	case "of a run of rows":
		return name
	}
	return blockKinds[kind] + " " + name
}

// correction is a slip that may have happened to a whole column of a block: to
// one measurement, or to all of a kind at once.
type correction struct {
	slip    slip
	targets []string // measurements
	factor  float64  // on the value; 0 where it goes by tare or by exchange
	prior   float64  // log odds that a block suffered it
	log     float64  // of the factor
	at      []int    // of the targets among the measurements of the survey
}

// corrections lists the slips of whole columns for the measurements of a survey.
func (f *fitted) corrections() []correction {
	o, lengths, masses := f.settings.Odds, f.lengths, f.masses
	var list []correction
	add := func(s slip, by float64, targets ...string) {
		list = append(list, correction{slip: s, targets: targets, factor: by, prior: math.Log(o.Block), log: math.Log(by)})
	}
	one := func(s slip, m string, by float64) { add(s, by, m) }
	for _, m := range append(slices.Clone(lengths), masses...) {
		one(tenTooSmall, m, 10)
		one(tenTooLarge, m, 0.1)
	}
	for _, m := range lengths {
		one(inInches, m, inch)
	}
	for _, m := range masses {
		one(inOunces, m, ounce)
	}
	if slices.Contains(masses, bodyMass) {
		one(tareLeftIn, bodyMass, 0)
		one(tareTwice, bodyMass, 0)
	}
	if len(lengths) > 1 {
		add(tenTooSmall, 10, lengths...)
		add(inInches, inch, lengths...)
	}
	for i := range lengths {
		for j := range i {
			add(columnsSwapped, 0, lengths[j], lengths[i])
		}
	}
	names := slices.Concat(lengths, masses)
	for i := range list {
		for _, name := range list[i].targets {
			list[i].at = append(list[i].at, slices.Index(names, name))
		}
	}
	return list
}
