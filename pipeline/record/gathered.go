package record

import (
	"fmt"
	"regexp"
)

// gathered is how the reason of a finding on many cells ends.
var gathered = regexp.MustCompile(`; \d+ cells in all(, of which the first \d+ are named)?$`)

// Gathered reports whether a finding stands for each of its cells, At and Also:
// what it says, it says of all of them.
func (f *Finding) Gathered() bool { return f.Spread == Each }

// Gather makes a finding stand for each of so many cells, of which it names At
// and Also, and says so; any number that was said before is taken back.
func (f *Finding) Gather(cells int) {
	f.Reason = gathered.ReplaceAllString(f.Reason, "")
	f.Spread = Alone
	named := len(f.Also) + 1
	if cells > 1 {
		f.Spread = Each
		f.Reason += fmt.Sprintf("; %d cells in all", cells)
	}
	if cells > named {
		f.Reason += fmt.Sprintf(", of which the first %d are named", named)
	}
}
