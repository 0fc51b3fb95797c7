package place

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

// sound checks what holds for every point, whatever was written.
func sound(t *testing.T, p Point, text string) {
	t.Helper()
	worstLevel := record.Level(0)
	for _, x := range p.Problems {
		worstLevel = max(worstLevel, x.Level)
		if x.Rule == "" || x.Reason == "" || x.Level == 0 {
			t.Errorf("%q: problem %+v lacks something", text, x)
		}
	}
	if !p.Known() {
		if p.LatText+p.LonText != "" {
			t.Errorf("%q: half a place: %+v", text, p)
		}
		if strings.TrimSpace(text) != "" && worstLevel < record.Warning {
			t.Errorf("%q: no coordinates and no doubt: %+v", text, p)
		}
		return
	}
	if worstLevel == record.Error {
		t.Errorf("%q: coordinates in spite of an error: %+v", text, p)
	}
	lat, err1 := strconv.ParseFloat(p.LatText, 64)
	lon, err2 := strconv.ParseFloat(p.LonText, 64)
	if err1 != nil || err2 != nil || math.Abs(lat) > 90.01 || math.Abs(lon) > 180 {
		t.Errorf("%q: published %s, %s", text, p.LatText, p.LonText)
	}
	if !(p.Uncertainty >= 0) || math.IsInf(p.Uncertainty, 0) || !(p.Precision > 0) {
		t.Errorf("%q: uncertainty %g, precision %g", text, p.Uncertainty, p.Precision)
	}
}

func FuzzParsePair(f *testing.F) {
	for _, s := range []string{`45°12'30"N 75 40.5 W`, "18T 445200 5027600", "18TVR4520027600", "45,1234 -75,6789", "451230N 0754030W",
		"45d12m30sS 75d40m30sE", "E 445200 N 5027600 18T", "45.1, -75.2 (NAD27) ±5 m", "-", "°", "N", "45 30", "1E400 2", "00000000000000000000001N 1E"} {
		f.Add(s, "NAD27", "18T")
	}
	f.Fuzz(func(t *testing.T, text, datum, zone string) {
		p := ParsePair(text, Options{Datum: datum, Zone: zone, CountryCode: "CA"})
		sound(t, p, text)
		q := ParsePair(text, Options{Datum: datum, Zone: zone, CountryCode: "CA"})
		if p.LatText != q.LatText || p.Remark != q.Remark || len(p.Problems) != len(q.Problems) {
			t.Errorf("%q: two answers, %+v and %+v", text, p, q)
		}
		Suspects(p, Surroundings{Region: NewRegion(ponds, 0)})
	})
}

func FuzzParse(f *testing.F) {
	f.Add("45 12 30 N", "75 40 30 W", "both")
	f.Add("5027600", "445200", "")
	f.Add("45,5", "75o30 W", "45.1 N 75.2 W")
	f.Fuzz(func(t *testing.T, lat, lon, both string) {
		sound(t, Parse(lat, lon, wgs), lat+lon)
		sound(t, FromVerbatim(lat, lon, both, Options{System: "UTM", LetterO: "W"}), lat+lon+both)
	})
}

func FuzzParseUTM(f *testing.F) {
	f.Add("445200", "5027600", "18T")
	f.Add("E 445,200.5", "5027600 mN", "zone 18 south")
	f.Fuzz(func(t *testing.T, e, n, zone string) {
		p := ParseUTM(e, n, zone, Options{Datum: "ED50"})
		sound(t, p, e+n)
	})
}

func FuzzParseElevation(f *testing.F) {
	for _, s := range []string{"1,200 ft", "120-150 m", "1200 ± 10 m", "ca. 300 m a.s.l.", "<5", "1.200 m", "-5 - -2 m"} {
		f.Add(s, "m")
	}
	f.Fuzz(func(t *testing.T, text, unit string) {
		for _, read := range []func(string, string, byte) (string, string, []record.Problem){ParseElevation, ParseDepth} {
			low, high, problems := read(text, unit, 0)
			if (low == "") != (high == "") || (low == "" && len(problems) == 0 && strings.TrimSpace(unify(text)) != "") {
				t.Errorf("%q: %q to %q, problems %v", text, low, high, problems)
			}
			if low == "" {
				continue
			}
			a, err1 := strconv.ParseFloat(low, 64)
			b, err2 := strconv.ParseFloat(high, 64)
			if err1 != nil || err2 != nil || a > b {
				t.Errorf("%q: %q to %q", text, low, high)
			}
		}
	})
}

func FuzzReadSites(f *testing.F) {
	f.Add(marrowCreek)
	f.Add("site;latitude;longitude\nA;45,5;-75,5\n")
	f.Add("site,aliases\nA,B|C\nB,\n")
	f.Fuzz(func(t *testing.T, text string) {
		sites, err := ReadSites(strings.NewReader(text))
		if err != nil {
			return
		}
		for i := range sites.List {
			if s, _ := sites.Find(sites.List[i].Name); foldName(sites.List[i].Name) != "" && s != &sites.List[i] {
				t.Errorf("%q is not found under its name %q", text, sites.List[i].Name)
			}
		}
	})
}
