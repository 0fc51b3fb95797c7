package plot

import (
	"bytes"
	"encoding/csv"
	"html/template"
	"strconv"
)

// Limits of a picture, so that a page with many stays small.
const (
	MaxMarks  = 400 // unflagged marks
	maxLabels = 30

	pictureWidth float64 = 345
)

// Unshown marks a flagged point whose entry the page doesn't show.
const Unshown = -1

// Picture is one drawing with its words and its data.
type Picture struct {
	ID, Title string
	Caption   string // what this one shows
	SVG       template.HTML
	Flags     []Flagged
	CSV       string
	Rows      int // lines of CSV under the heading
	Total     int // marks that there would be without thinning
}

// Flagged is an entry that a picture shows.
type Flagged struct {
	No     int
	Name   string
	Anchor string // of the point
}

// Thinned reports whether the picture leaves marks out.
func (p Picture) Thinned() bool { return p.Rows < p.Total }

// Numbers lists the entries in a picture for its caption: the first few.
func (p Picture) Numbers() []Flagged { return p.Flags[:min(len(p.Flags), maxLabels)] }

// MoreNumbers is the number of flagged entries that the caption leaves out.
func (p Picture) MoreNumbers() int { return max(0, len(p.Flags)-maxLabels) }

// table writes lines of CSV under a heading.
func table(heading []string, lines [][]string) string {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	_ = w.Write(heading) // to memory: it can't fail
	_ = w.WriteAll(lines)
	return b.String()
}

// entryText is the number of an entry, "" for none.
func entryText(no int) string {
	if no <= 0 {
		return ""
	}
	return strconv.Itoa(no)
}
