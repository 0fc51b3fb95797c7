package darwincore

import (
	"testing"

	"spadefoot/pipeline/record"
)

// Codes are those of ISO 3166-1, and the one that repositories take for Kosovo
// (common practice); others that ISO leaves to its users are errors.
func TestCountryCodes(t *testing.T) {
	for code, fine := range map[string]bool{"": true, "CA": true, "RS": true, "XK": true, "XA": false, "QQ": false, "xk": false, "KS": false} {
		if got := len(countryFault(record.Address{File: "survey.yaml"}, "dataset.countryCode", code)) == 0; got != fine {
			t.Errorf("%q is fine: %v", code, got)
		}
	}
}
