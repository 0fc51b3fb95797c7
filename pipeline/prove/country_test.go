package prove

import "testing"

// The codes of ISO 3166-1, the two that Darwin Core adds (countryCode, its
// comments), and that of Kosovo (common practice).
func TestCountryCodes(t *testing.T) {
	for code, fine := range map[string]bool{"CA": true, "XK": true, "XZ": true, "ZZ": true, "XA": false, "UK": false, "ca": false, "CAN": false} {
		if got := isCountryCode(code) == nil; got != fine {
			t.Errorf("%q is fine: %v", code, got)
		}
	}
}
