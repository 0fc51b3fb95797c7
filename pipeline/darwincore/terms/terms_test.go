package terms_test

import (
	"encoding/csv"
	"fmt"
	"os"
	"slices"
	"testing"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/record/need"
)

func ExampleLookup() {
	t, _ := terms.Lookup("dwc:individualID")
	fmt.Println(t.Status, t.IRI)
	t, _ = terms.Lookup("eventDate")
	fmt.Println(t.Class, t.Name, t.Current())
	fmt.Println(terms.Nearest("event_dat"))
	// Output:
	// deprecated http://rs.tdwg.org/dwc/terms/individualID
	// Event eventDate true
	// eventDate
}

func TestLookup(t *testing.T) {
	for _, c := range []struct {
		name, iri string
		known     bool
	}{
		{"occurrenceID", "http://rs.tdwg.org/dwc/terms/occurrenceID", true},
		{"dwc:occurrenceID", "http://rs.tdwg.org/dwc/terms/occurrenceID", true},
		{"license", "http://purl.org/dc/terms/license", true},
		{"dcterms:license", "http://purl.org/dc/terms/license", true},
		{"type", "http://purl.org/dc/elements/1.1/type", true},
		{"http://purl.org/dc/terms/type", "http://purl.org/dc/terms/type", false},
		{"dwciri:sex", "http://rs.tdwg.org/dwc/iri/sex", true},
		{"sex", "http://rs.tdwg.org/dwc/terms/sex", true},
		{"Occurrence", "http://rs.tdwg.org/dwc/terms/Occurrence", false},
		{"basionym", "http://rs.tdwg.org/dwc/terms/basionym", false},
		{"occurrenceid", "", false},
		{"dwc:nothing", "", false},
		{"", "", false},
	} {
		got, ok := terms.Lookup(c.name)
		if got.IRI != c.iri || ok != (c.iri != "") {
			t.Errorf("Lookup(%q) = %q, %v, want %q", c.name, got.IRI, ok, c.iri)
		}
		if terms.Known(c.name) != c.known {
			t.Errorf("Known(%q) = %v", c.name, !c.known)
		}
	}
}

func TestReplacement(t *testing.T) {
	got, _ := terms.Lookup("basionym")
	if want := []string{"http://rs.tdwg.org/dwc/terms/originalNameUsage"}; !slices.Equal(got.ReplacedBy, want) {
		t.Errorf("basionym is replaced by %v, want %v", got.ReplacedBy, want)
	}
}

// TestAgainstPublished compares names and addresses of every current term with
// the list of the maintenance group.
func TestAgainstPublished(t *testing.T) {
	f, err := os.Open(need.Shared(t, "standards/darwin-core/term_versions.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := func(name string) int { return slices.Index(rows[0], name) }
	name, iri, status := at("term_localName"), at("term_iri"), at("status")
	n := 0
	for _, r := range rows[1:] {
		if r[status] != "recommended" {
			continue
		}
		n++
		got, ok := terms.Lookup(r[iri])
		if !ok || got.Name != r[name] || !got.Current() {
			t.Errorf("%s: got %+v", r[iri], got)
		}
	}
	current := 0
	for _, v := range terms.All() {
		if v.Current() {
			current++
		}
	}
	if n == 0 || current != n {
		t.Errorf("%d current terms, the list has %d", current, n)
	}
}

func TestOrder(t *testing.T) {
	want := []string{"basisOfRecord", "occurrenceID", "organismID", "eventDate", "decimalLatitude", "identifiedBy", "scientificName", "measurementID"}
	last := -1
	for _, n := range want {
		v, ok := terms.Lookup(n)
		if !ok || v.Order <= last {
			t.Errorf("%s stands at %d, want after %d", n, v.Order, last)
		}
		last = v.Order
	}
}

func TestNearest(t *testing.T) {
	for _, c := range [][2]string{
		{"scientificname", "scientificName"}, {"Scientific Name", "scientificName"}, {"dwc:decimalLattitude", "decimalLatitude"},
		{"ctalogNumber", "catalogNumber"}, {"lifestage", "lifeStage"}, {"x", ""}, {"", ""}, {"completelyUnrelatedWord", ""},
	} {
		if got := terms.Nearest(c[0]); got != c[1] {
			t.Errorf("Nearest(%q) = %q, want %q", c[0], got, c[1])
		}
	}
}

func TestAllowed(t *testing.T) {
	for _, c := range []struct {
		term, text, near string
		ok               bool
		strength         terms.Strength
	}{
		{"basisOfRecord", "HumanObservation", "", true, terms.Should},
		{"basisOfRecord", "human observation", "HumanObservation", false, terms.Should},
		{"occurrenceStatus", "present", "", true, terms.Must},
		{"dwc:occurrenceStatus", "Present", "present", false, terms.Must},
		{"degreeOfEstablishment", "native", "", true, terms.Should},
		{"establishmentMeans", "wild", "", false, terms.Should},
		{"locality", "anything", "", true, terms.Free},
	} {
		ok, near, s := terms.Allowed(c.term, c.text)
		if ok != c.ok || near != c.near || s != c.strength {
			t.Errorf("Allowed(%q, %q) = %v, %q, %v", c.term, c.text, ok, near, s)
		}
	}
}

func TestFindLicence(t *testing.T) {
	for _, c := range [][2]string{
		{"CC0-1.0", "CC0 1.0"}, {"cc by 4.0", "CC BY 4.0"}, {"CC-BY-NC-4.0", "CC BY-NC 4.0"},
		{"https://creativecommons.org/licenses/by/4.0/", "CC BY 4.0"},
		{"http://creativecommons.org/publicdomain/zero/1.0/legalcode", "CC0 1.0"},
		{"https://www.creativecommons.org/licenses/by-nc/4.0/deed.en", "CC BY-NC 4.0"},
		{"https://creativecommons.org/licenses/by-nd/4.0/", ""}, {"CC BY 3.0", ""}, {"all rights reserved", ""}, {"", ""},
	} {
		got, ok := terms.FindLicence(c[0])
		if got.Name != c[1] || ok != (c[1] != "") {
			t.Errorf("FindLicence(%q) = %q", c[0], got.Name)
		}
	}
}

func TestORCID(t *testing.T) {
	// 0000-0003-0077-4738 stands in the example of the EML schemas,
	// 0000-0001-6215-3617 and 0000-0003-1144-0290 in the Darwin Core text guide.
	for _, c := range []struct{ text, want string }{
		{"0000-0003-0077-4738", "0000-0003-0077-4738"},
		{"https://orcid.org/0000-0001-6215-3617", "0000-0001-6215-3617"},
		{"orcid.org/0000-0003-1144-0290/", "0000-0003-1144-0290"},
		{"0000-0003-0077-4739", ""}, {"0000-0003-0077-473", ""}, {"", ""}, {"0000 0003 0077 4738", ""},
	} {
		got, err := terms.ORCID(c.text)
		if got != c.want || (err == nil) != (c.want != "") {
			t.Errorf("ORCID(%q) = %q, %v", c.text, got, err)
		}
	}
}

func FuzzNearest(f *testing.F) {
	f.Add("eventdate")
	f.Add("é\xff")
	f.Fuzz(func(t *testing.T, s string) {
		if n := terms.Nearest(s); n != "" && !terms.Known(n) {
			t.Errorf("Nearest(%q) = %q, which is no term", s, n)
		}
	})
}

func FuzzORCID(f *testing.F) {
	f.Add("https://orcid.org/0000-0003-0077-4738")
	f.Fuzz(func(t *testing.T, s string) {
		id, err := terms.ORCID(s)
		if err != nil {
			return
		}
		if again, err := terms.ORCID(id); err != nil || again != id {
			t.Errorf("%q read as %q, and that as %q, %v", s, id, again, err)
		}
	})
}
