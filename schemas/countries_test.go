package schemas

import "testing"

func TestCountryCode(t *testing.T) {
	for text, want := range map[string]string{"CA": "CA", "ca": "CA", "CAN": "CA", "Canada": "CA", "kanada": "CA", " Germany ": "DE", "Deutschland": "DE",
		"": "", "AN": "", "XK": "", "XX": "", "Atlantis": ""} {
		if got := CountryCode(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
		if got := IsCountryCode(text); got != (text != "" && text == want) {
			t.Errorf("%q is a code: %v", text, got)
		}
	}
	// as many as ISO 3166-1 has had since 2011 (South Sudan), each code once
	seen := map[string]bool{}
	for _, c := range Countries() {
		if len(c.Code) != 2 || len(c.Alpha3) != 3 || c.Number < 4 || c.Number > 894 || seen[c.Code] || seen[c.Alpha3] {
			t.Errorf("%+v", c)
		}
		seen[c.Code], seen[c.Alpha3] = true, true
	}
	if len(seen) != 2*249 {
		t.Errorf("%d countries", len(seen)/2)
	}
}
