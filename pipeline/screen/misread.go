package screen

import (
	"fmt"
	"math"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
)

// knownMarks are the marks of a survey by hash, each by its last capture.
type knownMarks map[uint64]lastSeen

// lastSeen is what was written of the last capture of a mark.
type lastSeen struct {
	name, place uint64
	sex         byte
	date        [10]byte
	log         float64 // of the body length, NaN where it was not taken
}

// maxMarks is the number of marks that are known; of a larger survey no other
// mark is looked for.
const maxMarks = 1 << 17

func (k knownMarks) add(c *markedCapture, body int) {
	if len(k) >= maxMarks {
		return
	}
	seen := lastSeen{name: c.name, place: c.place, sex: c.sex, log: math.NaN()}
	copy(seen.date[:], c.date)
	if log, ok := c.length(body); ok {
		seen.log = log
	}
	k[c.group] = seen
}

// maxMisread is the number of other marks that are told.
const maxMisread = 3

// misread looks for the marks of the same place that differ from that of a
// capture in one digit and that this animal may bear: of its kind and sex, and
// of a size that it may have had.
func (j *follower) misread(c *record.Capture) []string {
	if len(j.known) >= maxMarks {
		return nil
	}
	mark := c.Get("organismID")
	name, place, sex := hashOrNone(c.Kind()), hashOrNone(c.Get("locality")), sexOf(c)
	length := math.NaN()
	if r := c.Reading(bodyLength); r != nil && r.Number > 0 {
		length = math.Log(r.Number)
	}
	var out []string
	for i := range len(mark) {
		if mark[i] < '0' || mark[i] > '9' {
			continue
		}
		for d := byte('0'); d <= '9'; d++ {
			other := mark[:i] + string(d) + mark[i+1:]
			seen, ok := j.known[digest.Spread(hash(record.MarkIn(other, c.Scope)))]
			if d == mark[i] || !ok || seen.name != name || seen.place != place || seen.sex != sex && seen.sex != 0 && sex != 0 {
				continue
			}
			if j.mayBe(c, &seen, length) {
				out = append(out, other)
			}
		}
	}
	return out
}

// mayBe reports whether an animal may be of a length, at the date of a capture,
// having been of another when it was last seen; also where that was later.
func (j *follower) mayBe(c *record.Capture, seen *lastSeen, length float64) bool {
	if math.IsNaN(length) || math.IsNaN(seen.log) {
		return true
	}
	date := string(seen.date[:])
	days, known := daysBetween(date, c.Get("eventDate"))
	if !known {
		return true
	}
	tem, _ := j.errorOf(bodyLength)
	first, second := seen.log, length
	if date > c.Get("eventDate") {
		first, second = second, first
	}
	room := 1.96 * 2 * tem // two hands
	if second < first {
		return first-second <= room
	}
	growth, _ := j.growths.room(seen.name, math.Exp(first), days)
	return second-first <= room+growth
}

// nameMisread adds the marks that were probably meant to a finding on two
// captures that are hardly of one animal; where one alone fits it is suggested.
func (j *follower) nameMisread(f *record.Finding, c *record.Capture) {
	marks := j.misread(c)
	switch {
	case len(marks) == 0:
		return
	case len(marks) == 1:
		f.Suggestion = marks[0]
		f.Reason += fmt.Sprintf(" Mark %s of the same place differs in one digit, and this may be that animal.", marks[0])
	case len(marks) <= maxMisread:
		f.Reason += fmt.Sprintf(" Marks of the same place that differ in one digit, and that this animal may bear: %s.", strings.Join(marks, ", "))
	default:
		f.Reason += fmt.Sprintf(" Marks of the same place that differ in one digit, and that this animal may bear: %s and %d others.",
			strings.Join(marks[:maxMisread], ", "), len(marks)-maxMisread)
	}
}
