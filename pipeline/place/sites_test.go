package place

import (
	"errors"
	"strings"
	"testing"
)

const marrowCreek = "\ufeffSite,Latitude,Longitude,Datum,Uncertainty,Elevation,County,State Province,Country,countryCode,aliases,notes\n" +
	"Beaver Pond,45°24'04''N,75°42'04''W,WGS84,,210 m,Marrow,Ontario,Canada,CA,BP|Beaver Pd.,wet\n" +
	"\"Étang du Nord\n(upper)\",\"45,4120\",\"-75,6890\",NAD83,15,\"1,000 ft\",Marrow,Ontario,Canada,CA,,\n" +
	"Mill Race,,,,,,Marrow,Ontario,Canada,CA,,\n"

func TestReadSites(t *testing.T) {
	sites, err := ReadSites(strings.NewReader(marrowCreek))
	if err != nil {
		t.Fatal(err)
	}
	if len(sites.List) != 3 || sites.List[1].Line != 3 || sites.List[2].Line != 5 {
		t.Fatalf("%+v", sites.List)
	}
	a, b := sites.List[0], sites.List[1]
	if a.Point.LatText != "45.4011" || a.MinimumElevation != "210" || a.StateProvince != "Ontario" {
		t.Errorf("%+v", a)
	}
	if b.Point.UncertaintyText() != "15" || b.MaximumElevation != "304.8" || b.Point.LonText != "-75.6890" {
		t.Errorf("%+v", b)
	}
	if got := sites.Places(); len(got) != 2 {
		t.Errorf("places %v", got)
	}
}

// A table typed by hand has seconds with a plain quote.
func TestReadSitesBareQuotes(t *testing.T) {
	sites, err := ReadSites(strings.NewReader("site,latitude,longitude\nA,45°12'30\"N,75°40'30\"W\nB,45°13'30\"N,75°40'30\"W\n"))
	if err != nil || len(sites.List) != 2 || sites.List[1].Point.LatText != "45.2250" {
		t.Errorf("%+v, %v", sites.List, err)
	}
}

func TestFindSite(t *testing.T) {
	sites, err := ReadSites(strings.NewReader(marrowCreek))
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{
		"Beaver Pond": "Beaver Pond", "BEAVER-POND": "Beaver Pond", " beaver  pond ": "Beaver Pond", "bp": "Beaver Pond",
		"beaver pd": "Beaver Pond", "etang du nord (Upper)": "Étang du Nord\n(upper)", "mill race": "Mill Race",
	} {
		if s, problems := sites.Find(name); s == nil || s.Name != want || len(problems) > 0 {
			t.Errorf("Find(%q) = %+v, %v", name, s, problems)
		}
	}
	for name, want := range map[string]string{"Beaver Ponf": "Beaver Pond", "Beever Pond": "Beaver Pond", "Swan Lake": "", "B": ""} {
		s, problems := sites.Find(name)
		if s != nil || len(problems) != 1 || problems[0].Rule != "site-unknown" || problems[0].Suggestion != want {
			t.Errorf("Find(%q) = %+v, %+v, want suggestion %q", name, s, problems, want)
		}
	}
	if s, problems := sites.Find(" "); s != nil || problems != nil {
		t.Errorf("Find of a blank = %+v, %v", s, problems)
	}
	var empty Sites
	if s, problems := empty.Find("x"); s != nil || len(problems) != 1 {
		t.Errorf("Find in no table = %+v, %v", s, problems)
	}
}

func TestReadSitesMistakes(t *testing.T) {
	tests := []struct {
		name, text   string
		line, column int
		heading      string
	}{
		{"empty", "", 1, 0, ""},
		{"no column for the name", "latitude,longitude\n1,2\n", 1, 0, ""},
		{"heading twice", "site,Site\na,b\n", 1, 2, "Site"},
		{"unreadable latitude", "site,latitude,longitude\nA,1.5,2.5\nB,x,2\n", 3, 2, "latitude"},
		{"half a pair", "site,longitude,latitude\nB,2,\n", 2, 3, "latitude"},
		{"unknown datum", "site,latitude,longitude,datum\nB,2.5,3.5,old map\n", 2, 4, "datum"},
		{"bad uncertainty", "site;latitude;longitude;uncertainty\nB;2,5;3,5;far\n", 2, 4, "uncertainty"},
		{"bad elevation", "site,elevation\nB,high\n", 2, 2, "elevation"},
		{"no name", "site,elevation\n,10\n", 2, 1, "site"},
		{"name twice", "site,aliases\nBeaver Pond,\nMill,\"beaver pond\"\n", 3, 2, "aliases"},
		{"cells missing", "site,elevation\nB\n", 2, 0, ""},
		{"quote", "site,latitude,longitude\nA,45°12'30\"N,75°40'30\"W\n\"B,1,2\nC,3,4\n", 3, 0, ""},
		{"open quote", "site,latitude\n\"B,1\nC,3\n", 2, 0, ""},
	}
	for _, tt := range tests {
		_, err := ReadSites(strings.NewReader(tt.text))
		var cell *CellError
		if !errors.As(err, &cell) {
			t.Errorf("%s: error %v", tt.name, err)
			continue
		}
		if cell.Line != tt.line || cell.Column != tt.column || cell.Heading != tt.heading {
			t.Errorf("%s: %v; want line %d, column %d (%s)", tt.name, err, tt.line, tt.column, tt.heading)
		}
	}
	_, err := ReadSites(strings.NewReader("site,latitude,longitude\nA,x,2\nB,y,2\n"))
	if err == nil || strings.Count(err.Error(), "line ") != 2 {
		t.Errorf("want both mistakes: %v", err)
	}
}
