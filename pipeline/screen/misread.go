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
	Name, Place uint64
	Sex         byte
	Date        [10]byte
	Log         float64 // of the body length, NaN where it was not taken
}

// maxMarks is the number of marks that are known; of a larger survey no other
// mark is looked for.
const maxMarks = 1 << 17

func (k knownMarks) add(c *markedCapture) {
	if len(k) >= maxMarks {
		return
	}
	seen := lastSeen{Name: c.name, Place: c.place, Sex: c.sex, Log: math.NaN()}
	copy(seen.Date[:], c.date)
	if log, ok := c.length(numberOf(bodyLength)); ok {
		seen.Log = log
	}
	k[c.group] = seen
}

// maxMisread is the number of other marks that are listed.
const maxMisread = 3

const (
	misreadBefore = 0.25 // of marks that contradict: misread by one digit, of an animal that was seen before
	maxTwoDigits  = 2000 // marks tried that differ in two digits
)

// otherMarks are the marks of the same place that differ from that of a capture in
// one digit and that this animal may bear: of its kind and sex, and of a size
// that it may have had. Each is as likely as the others.
type otherMarks struct {
	marks     []string
	posterior float64 // of each
}

// misread looks for them. How many fit by chance is estimated from the marks that differ
// in two digits: where marks run on, some neighbour nearly always exists.
func (j *follower) misread(c *record.Capture) (out otherMarks) {
	if len(j.known) >= maxMarks {
		return out
	}
	mark := c.Get("organismID")
	fits := j.fitter(c)
	var one []string
	eachMisread(mark, 0, func(other string, _ int) { one = append(one, other) })
	for _, other := range one {
		if fits(other) {
			out.marks = append(out.marks, other)
		}
	}
	if len(out.marks) == 0 {
		return out
	}
	tried, fitting := 0, 0
	eachMisread(mark, 0, func(first string, at int) {
		eachMisread(first, at+1, func(other string, _ int) {
			if tried == maxTwoDigits {
				return
			}
			if tried++; fits(other) {
				fitting++
			}
		})
	})
	chance := (float64(fitting) + 0.5) / float64(tried+1)
	ratio := misreadBefore / (1 - misreadBefore) / (float64(len(one)) * chance)
	out.posterior = ratio / (1 + ratio*float64(len(out.marks)))
	return out
}

// eachMisread hands over a mark with each digit from a place on replaced by every
// other, and that place.
func eachMisread(mark string, from int, do func(other string, at int)) {
	for i := from; i < len(mark); i++ {
		if mark[i] < '0' || mark[i] > '9' {
			continue
		}
		for d := byte('0'); d <= '9'; d++ {
			if d != mark[i] {
				do(mark[:i]+string(d)+mark[i+1:], i)
			}
		}
	}
}

// fitter decides whether the animal of a capture may bear a mark.
func (j *follower) fitter(c *record.Capture) func(mark string) bool {
	name, place, sex := hashOrNone(c.Kind()), hashOrNone(c.Get("locality")), sexOf(c)
	length := math.NaN()
	if r := c.Reading(bodyLength); r != nil && r.Number > 0 {
		length = math.Log(r.Number)
	}
	return func(mark string) bool {
		seen, ok := j.known[digest.Spread(hash(record.MarkIn(mark, c.Scope)))]
		return ok && seen.Name == name && seen.Place == place && (seen.Sex == sex || seen.Sex == 0 || sex == 0) && j.mayBe(c, &seen, length)
	}
}

// mayBe reports whether an animal may be of a length, at the date of a capture,
// having been of another when it was last seen; also where that was later.
func (j *follower) mayBe(c *record.Capture, seen *lastSeen, length float64) bool {
	if math.IsNaN(length) || math.IsNaN(seen.Log) {
		return true
	}
	date := string(seen.Date[:])
	days, known := daysBetween(date, c.Get("eventDate"))
	if !known {
		return true
	}
	tem, _ := j.errorOf(bodyLength)
	first, second := seen.Log, length
	if date > c.Get("eventDate") {
		first, second = second, first
	}
	allowed := 1.96 * 2 * tem // two hands
	if second < first {
		return first-second <= allowed
	}
	growth, _ := j.growths.believed(seen.Name, math.Exp(first), days)
	return second-first <= allowed+growth
}

// nameMisread adds the marks that were probably meant to a finding on two
// captures that are hardly of one animal; where one is sure enough it is suggested.
func (j *follower) nameMisread(f *record.Finding, c *record.Capture) {
	other := j.misread(c)
	n := len(other.marks)
	switch {
	case n == 0:
		return
	case n == 1:
		f.Reason += fmt.Sprintf(" Mark %s at the same place differs in one digit, and this may be that animal (probability %s).", other.marks[0], percent(other.posterior))
		if other.posterior >= j.settings.SuggestAbove {
			f.Suggestion = other.marks[0]
		}
	case n <= maxMisread:
		f.Reason += fmt.Sprintf(" Marks at the same place that differ in one digit and may belong to this animal: %s (probability %s each).", strings.Join(other.marks, ", "), percent(other.posterior))
	default:
		f.Reason += fmt.Sprintf(" Marks at the same place that differ in one digit and may belong to this animal: %s and %d others.",
			strings.Join(other.marks[:maxMisread], ", "), n-maxMisread)
	}
}
