package record

import (
	"fmt"
	"regexp"
)

// gathered is how the reason of a finding on many cells ends.
var gathered = regexp.MustCompile(`; \d+ cells in all(, of which the first \d+ are named)?$`)

// Gathered reports whether a finding stands for each of its cells, At and Also:
// what it says, it says of all of them.
func (f *Finding) Gathered() bool { return gathered.MatchString(f.Reason) }

// Gather says of how many cells a finding is, of which it names At and Also; any
// number that was said before is taken back.
func (f *Finding) Gather(cells int) {
	f.Reason = gathered.ReplaceAllString(f.Reason, "")
	named := len(f.Also) + 1
	if cells > 1 {
		f.Reason += fmt.Sprintf("; %d cells in all", cells)
	}
	if cells > named {
		f.Reason += fmt.Sprintf(", of which the first %d are named", named)
	}
}
