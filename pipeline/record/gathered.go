package record

import (
	"fmt"
	"regexp"
)

// gathered is how the reason of a finding on many cells ends.
var gathered = regexp.MustCompile(`; \d+ cells in all(, of which the first \d+ are named)?$`)

// Gathered reports whether a finding applies to each of its cells, At and Also.
func (f *Finding) Gathered() bool { return f.Spread == Each }

// Gather makes a finding apply to each of so many cells, of which it lists At
// and Also, and says so; it replaces any earlier number.
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
