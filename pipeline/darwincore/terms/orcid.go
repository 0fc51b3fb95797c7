package terms

import (
	"fmt"
	"regexp"
	"strings"
)

var orcidForm = regexp.MustCompile(`^\d{4}-\d{4}-\d{4}-\d{3}[\dX]$`)

// ORCID reads an ORCID iD, bare or as an address, and returns its four groups.
// The last character must be the check of the fifteen digits before it
// (ISO 7064 MOD 11-2); otherwise the error says which character would fit.
func ORCID(text string) (string, error) {
	s := strings.TrimSpace(text)
	for _, p := range []string{"https://", "http://", "www.", "orcid.org/", "orcid:", "ORCID:"} {
		s = strings.TrimPrefix(s, p)
	}
	s = strings.TrimSuffix(strings.TrimSpace(s), "/")
	if strings.HasSuffix(s, "x") {
		s = s[:len(s)-1] + "X"
	}
	if !orcidForm.MatchString(s) {
		return "", fmt.Errorf("ORCID %q: want four groups of four, such as 0000-0001-2345-6789", text)
	}
	digits := strings.ReplaceAll(s, "-", "")
	if want := mod11(digits[:15]); digits[15] != want {
		return "", fmt.Errorf("ORCID %q: the last character is a check character and should be %c", text, want)
	}
	return s, nil
}

// mod11 is the check character of ISO 7064 MOD 11-2.
func mod11(digits string) byte {
	sum := 0
	for i := 0; i < len(digits); i++ {
		sum = (sum + int(digits[i]-'0')) * 2
	}
	c := (12 - sum%11) % 11
	if c == 10 {
		return 'X'
	}
	return byte('0' + c)
}
