package draft

import "testing"

// TestStageIn has titles and names of tabs: common practice.
func TestStageIn(t *testing.T) {
	for text, want := range map[string]string{
		"Toads at Mill Pond - ADULTS": "adult", "JUVENILES 2021": "juvenile", "Adults and juveniles": "", "no adults found": "",
		"Larven, Teich A": "larva", "Mill Pond": "", "ad 2021": "", "egg masses": "",
	} {
		if got := stageIn(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
