package quality

import (
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// supplied reads lists as a user may supply them. They hold the names, centres
// and divisions that the published rows speak of.
func supplied(t testing.TB) Sources {
	t.Helper()
	s := Sources{Taxa: map[string]*Taxa{}}
	read := func(name string, into func(io.Reader) error) {
		t.Helper()
		f, err := os.Open(filepath.Join("testdata", "supplied", name))
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if err := into(f); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
	for authority, name := range map[string]string{"": "taxa.csv", "marinespecies.org": "marinespecies.org.csv", "irmng.org": "irmng.org.csv", "https://api.biodiversity.org.au/name/check?dataset=APNI": "apni.csv"} {
		read(name, func(r io.Reader) (err error) { s.Taxa[authority], err = ReadTaxa(r, name); return err })
	}
	read("marine.csv", func(r io.Reader) (err error) { s.Marine, err = ReadMarine(r, "marine.csv"); return err })
	read("centroids.tsv", func(r io.Reader) (err error) { s.Centroids, err = ReadCentroids(r, "centroids.tsv"); return err })
	read("divisions.geojson", func(r io.Reader) (err error) { s.Divisions, err = ReadDivisions(r, "divisions.geojson"); return err })
	return s
}

// Without a list a test answers what is empty as with one, and for the rest
// says that the list is not available.
func TestWithoutLists(t *testing.T) {
	for _, c := range []struct {
		label  string
		record map[string]string
		want   string
	}{
		{"VALIDATION_FAMILY_FOUND", m{}, Internal},
		{"VALIDATION_FAMILY_FOUND", m{"family": "Ranidae"}, External},
		{"VALIDATION_SCIENTIFICNAME_FOUND", m{"scientificName": "Rana temporaria"}, External},
		{"VALIDATION_TAXON_UNAMBIGUOUS", m{"genus": "Rana"}, Internal},
		{"AMENDMENT_SCIENTIFICNAME_FROM_SCIENTIFICNAMEID", m{"scientificName": "Rana"}, Internal},
		{"AMENDMENT_SCIENTIFICNAMEID_FROM_TAXON", m{"scientificName": "Rana"}, External},
		{"VALIDATION_COORDINATESSTATEPROVINCE_CONSISTENT", m{"stateProvince": "Ontario"}, Internal},
		{"VALIDATION_COORDINATESSTATEPROVINCE_CONSISTENT", m{"stateProvince": "Ontario", "decimalLatitude": "45", "decimalLongitude": "-78"}, External},
		{"ISSUE_COORDINATES_CENTEROFCOUNTRY", m{"countryCode": "CA"}, Internal},
		{"ISSUE_COORDINATES_CENTEROFCOUNTRY", m{"countryCode": "CA", "decimalLatitude": "45", "decimalLongitude": "-78"}, External},
		{"ISSUE_ANNOTATION_NOTEMPTY", m{}, NotIssue},
		{"VALIDATION_COORDINATESTERRESTRIALMARINE_CONSISTENT", m{"scientificName": "Rana temporaria", "decimalLatitude": "45", "decimalLongitude": "-30"}, External},
		{"VALIDATION_COORDINATESTERRESTRIALMARINE_CONSISTENT", m{"scientificName": "Rana temporaria", "class": "Amphibia", "decimalLatitude": "45", "decimalLongitude": "-30"}, NotCompliant},
		{"VALIDATION_COORDINATESTERRESTRIALMARINE_CONSISTENT", m{"scientificName": "Rana temporaria", "class": "Amphibia", "decimalLatitude": "47", "decimalLongitude": "8"}, Compliant},
	} {
		test, ok := Find(c.label)
		if !ok {
			t.Fatal(c.label)
		}
		got := test.Run(FromMap(c.record), Params{Today: dataDay})
		if got.Status != c.want && got.Result != c.want {
			t.Errorf("%s %v: %s %s (%s), want %s", c.label, c.record, got.Status, got.Result, got.Comment, c.want)
		}
	}
}

// EXTERNAL_PREREQUISITES_NOT_MET is answered only by tests whose description
// has that answer, whatever the parameters are set to.
func TestExternalOnlyWhereDescribed(t *testing.T) {
	described := map[string]bool{}
	for _, row := range readRows(t, publishedTests(t)) {
		described[row["Label"]] = strings.Contains(row["ExpectedResponse"], "EXTERNAL")
	}
	for _, values := range []map[string]string{capture, {}, {"eventDate": "2020", "year": "2020", "maximumDepthInMeters": "3", "minimumElevationInMeters": "5", "dateIdentified": "2021"}} {
		r := FromMap(values)
		for _, test := range table() {
			p := Params{Today: dataDay, Set: map[string]string{}}
			for name := range test.Parameters {
				p.Set[name] = "https://invalid/invalidservice"
			}
			if got := test.Run(r, p); got.Status == External && !described[test.Label] {
				t.Errorf("%s: %+v", test.Label, got)
			}
		}
	}
}

func TestListsAreRefusedWithTheLine(t *testing.T) {
	for name, err := range map[string]error{
		"the file is empty":           second(ReadTaxa(strings.NewReader(""), "x")),
		"no row has a scientificName": second(ReadTaxa(strings.NewReader("name\nRana\n"), "x")),
		"line 2: the coordinates":     second(ReadCentroids(strings.NewReader("countryCode,decimalLatitude,decimalLongitude\nCA,x,1\n"), "x")),
		"no feature has both a name":  second(ReadDivisions(strings.NewReader("{}"), "x")),
	} {
		if err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("got %v, want %q", err, name)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func FuzzReadTaxa(f *testing.F) {
	f.Add("scientificName,taxonRank,genus\nRana temporaria Linnaeus 1758,species,Rana\n", "Rana temporaria")
	f.Add("scientificName;acceptedNameUsage\nA b;A c\nA c;A b\n", "A b")
	f.Fuzz(func(t *testing.T, table, name string) {
		list, err := ReadTaxa(strings.NewReader(table), "x")
		if err != nil {
			return
		}
		list.resolve(FromMap(m{"scientificName": name, "genus": name}))
		list.acceptedAt("genus", name)
	})
}

func FuzzReadDivisions(f *testing.F) {
	f.Add(`{"features":[{"properties":{"name":"a"},"geometry":{"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1]]]}}]}`)
	f.Fuzz(func(t *testing.T, text string) {
		d, err := ReadDivisions(strings.NewReader(text), "x")
		if err != nil {
			return
		}
		for _, all := range d.byName {
			for _, x := range all {
				x.holds(1, 1, 3000)
			}
		}
	})
}
