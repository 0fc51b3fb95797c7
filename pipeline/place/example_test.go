package place_test

import (
	"fmt"
	"strings"

	"spadefoot/pipeline/place"
)

func ExampleParsePair() {
	p := place.ParsePair(`45°24'04"N 75 42.07 W`, place.Options{Datum: "NAD27", CountryCode: "CA"})
	fmt.Println(p.LatText, p.LonText, "±", p.UncertaintyText(), "m")
	fmt.Println(p.System, "|", p.SRS)
	fmt.Println(p.Remark)
	// Output:
	// 45.4012 -75.7009 ± 29 m
	// degrees minutes seconds | NAD27
	// NAD27 to WGS 84 by EPSG:1181 (Canada - eastern provinces), good to 9 m
}

func ExampleParse() {
	p := place.Parse("45,4012", "75,7011 O", place.Options{Datum: "WGS84"})
	fmt.Println(p.Known(), p.Problems[0].Reason)
	p = place.Parse("45,4012", "75,7011 O", place.Options{Datum: "WGS84", LetterO: place.LetterO("fr")})
	fmt.Println(p.LatText, p.LonText)
	// Output:
	// false the letter O is west in some languages (oeste, ouest) and east in others (Ost, oost): 75.701° west or east; write W or E
	// 45.4012 -75.7011
}

func ExampleParseUTM() {
	p := place.ParseUTM("445200", "5027600", "18T", place.Options{Datum: "WGS84", GPSError: 5})
	fmt.Println(p.LatText, p.LonText, "±", p.UncertaintyText(), "m")
	// Output: 45.399772 -75.70018 ± 6 m
}

func ExampleMGRS() {
	square, err := place.MGRS(45.399772, -75.70018, 3)
	fmt.Println(square, err)
	// Output: 18TVR452275 <nil>
}

func ExampleParseElevation() {
	low, high, problems := place.ParseElevation("1,200-1,300 ft", "", 0)
	fmt.Println(low, high, len(problems))
	// Output: 365.76 396.24 0
}

func ExampleSuspects() {
	sites, err := place.ReadSites(strings.NewReader(`site,latitude,longitude,datum
Beaver Pond,45.4012,-75.7011,WGS84
Mill Race,45.4120,-75.6890,WGS84
Upper Marsh,45.3951,-75.7203,WGS84
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	s := place.Surroundings{Region: place.NewRegion(sites.Places(), 0)}
	for _, problem := range place.Suspects(place.Parse("45.4100", "75.7000", place.Options{Datum: "WGS84"}), s) {
		fmt.Println(problem.Rule, "→", problem.Suggestion)
	}
	// Output: position-sign → 45.4100, -75.7000
}

func ExampleSites_Find() {
	sites, _ := place.ReadSites(strings.NewReader("site,aliases\nBeaver Pond,BP\n"))
	site, _ := sites.Find("beaver-pond")
	fmt.Println(site.Name)
	_, problems := sites.Find("Bever Pond")
	fmt.Println(problems[0].Reason, "→", problems[0].Suggestion)
	// Output:
	// Beaver Pond
	// "Bever Pond" is not in the table of sites → Beaver Pond
}

func ExampleGeneralise() {
	lat, lon, uncertainty := place.Generalise(45.4012, -75.7011, 0.1)
	fmt.Printf("%s %s ± %.0f m\n", lat, lon, uncertainty)
	// Output: 45.45 -75.75 ± 6797 m
}
