package vocabulary

import "testing"

// Remarks as people write them: common practice.
func TestRecaught(t *testing.T) {
	for text, want := range map[string]string{
		"recap of H05":                     "H05",
		"Recap. H05, thin":                 "H05",
		"released; RECAPTURE of no. 12":    "12",
		"recap #12":                        "12",
		"same frog as before":              "",
		"same animal as H-05 (wet)":        "H-05",
		"recaptura de H05":                 "H05",
		"mesmo indivíduo que B7":           "B7",
		"Wiederfang von H05":               "H05",
		"dasselbe Tier wie H05":            "H05",
		"recapturée, même individu que H5": "H5",
		"ricattura di H05":                 "H05",
		"zelfde dier als H05":              "H05",
		"recap 3":                          "", // the third time, rather
		"recap":                            "",
		"recap on 12 May":                  "",
		"H05 was seen, not caught":         "",
		"recapped the tube of H05":         "",
	} {
		if got, ok := Recaught(text); got != want && ok || ok != (want != "") {
			t.Errorf("%q: %q, %v; want %q", text, got, ok, want)
		}
	}
}
