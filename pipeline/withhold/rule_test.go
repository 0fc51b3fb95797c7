package withhold_test

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"spadefoot/pipeline/record/lines"
	"spadefoot/pipeline/withhold"
	"spadefoot/schemas"
)

func term(name string) bool { return !strings.Contains(name, " ") && name != "colour" }

func TestRead(t *testing.T) {
	const headings = "taxon,grid,reason,locality,keep\n"
	tests := []struct {
		what, row string
		want      withhold.Rule
		wrong     string // after "sensitive.csv, line 2, column "
	}{
		{"a species", "Lithobates  sylvaticus,0.1,trade,,", withhold.Rule{Line: 2, Taxon: "Lithobates sylvaticus", Grid: 0.1, Reason: "trade"}, ""},
		{"a decimal comma", `Ranidae,"0,25",trade,hills of Lanark,`, withhold.Rule{Line: 2, Taxon: "Ranidae", Grid: 0.25, Reason: "trade", Locality: "hills of Lanark"}, ""},
		{"no coordinates", "Ranidae,None,trade,,habitat | behavior", withhold.Rule{Line: 2, Taxon: "Ranidae", Reason: "trade", Keep: []string{"habitat", "behavior"}}, ""},
		{"no taxon", ",0.1,trade,,", withhold.Rule{}, "taxon: is empty; write the name of a species, a genus or a family"},
		{"no reason", "Rana,0.1,,,", withhold.Rule{}, "reason: is empty; say why the place is withheld, in words that can be published"},
		{"no grid", "Rana,,trade,,", withhold.Rule{}, `grid: found ""; write the size of the grid in degrees, from 0.001 to 90, or none for no coordinates`},
		{"a grid in metres", "Rana,1000,trade,,", withhold.Rule{}, `grid: found "1000"; write the size of the grid in degrees, from 0.001 to 90, or none for no coordinates`},
		{"a grid that hides nothing", "Rana,0.0001,trade,,", withhold.Rule{}, `grid: found "0.0001"; write the size of the grid in degrees, from 0.001 to 90, or none for no coordinates`},
		{"a grid that is not a number", "Rana,NaN,trade,,", withhold.Rule{}, `grid: found "NaN"; write the size of the grid in degrees, from 0.001 to 90, or none for no coordinates`},
		{"a term that is none", "Rana,0.1,trade,,colour", withhold.Rule{}, `keep: found "colour", which is not a Darwin Core term`},
		{"a term that says where", "Rana,0.1,trade,,minimumElevationInMeters", withhold.Rule{}, `keep: found "minimumElevationInMeters", which says where; it cannot be kept`},
	}
	for _, tt := range tests {
		got, err := withhold.Read(strings.NewReader(headings+tt.row+"\n"), "sensitive.csv", term)
		if tt.wrong != "" {
			if err == nil || err.Error() != "sensitive.csv, line 2, column "+tt.wrong {
				t.Errorf("%s: error %v, want …%s", tt.what, err, tt.wrong)
			}
			continue
		}
		if err != nil || len(got) != 1 || !reflect.DeepEqual(got[0], tt.want) {
			t.Errorf("%s: %+v, %v; want %+v", tt.what, got, err, tt.want)
		}
	}
	_, err := withhold.Read(strings.NewReader(headings+"Rana,0.1,a,,\nrana,0.2,b,,\n"), "sensitive.csv", term)
	if err == nil || !strings.Contains(err.Error(), `line 3, column taxon: "rana" is already in line 2`) {
		t.Error(err)
	}
}

// No term that says where is on the list of those that stay, and every one of
// them is a current term of the standard.
func TestTermsThatStay(t *testing.T) {
	all, err := schemas.Table[struct {
		Name   string `csv:"name"`
		Class  string `csv:"class"`
		Status string `csv:"status"`
	}]("darwin_core_terms.csv")
	if err != nil {
		t.Fatal(err)
	}
	kept := map[string]bool{}
	for _, r := range all {
		if r.Status != "recommended" || !withhold.Keeps(r.Name) {
			continue
		}
		kept[r.Name] = true
		switch {
		case r.Class != "Location":
		case r.Name == "continent", r.Name == "country", r.Name == "countryCode", r.Name == "stateProvince", r.Name == "county":
		default:
			t.Errorf("%s is of the class Location and stays", r.Name)
		}
		if strings.HasSuffix(r.Name, "Remarks") || r.Name == "habitat" || r.Name == "eventID" || r.Name == "dynamicProperties" || strings.HasPrefix(r.Name, "associated") {
			t.Errorf("%s stays", r.Name)
		}
	}
	list, err := schemas.Table[struct {
		Term string `csv:"term"`
		Why  string `csv:"why"`
	}]("terms_without_place.csv")
	if err != nil || len(list) < 80 {
		t.Fatal(len(list), err)
	}
	for _, r := range list {
		if !kept[r.Term] || r.Why == "" {
			t.Errorf("%s is not a current term, or no reason is given", r.Term)
		}
	}
}

func ExampleRead() {
	rules, err := withhold.Read(strings.NewReader("taxon,grid,reason\nLithobates sylvaticus,0.1,collected for trade\n"), "sensitive.csv", nil)
	fmt.Println(rules[0].Taxon, rules[0].Grid, err)
	_, err = withhold.Read(strings.NewReader("taxon,grid,reason\nLithobates sylvaticus,10 km,collected for trade\n"), "sensitive.csv", nil)
	fmt.Println(err)
	// Output:
	// Lithobates sylvaticus 0.1 <nil>
	// sensitive.csv, line 2, column grid: found "10 km"; write the size of the grid in degrees, from 0.001 to 90, or none for no coordinates
}

func FuzzRead(f *testing.F) {
	f.Add("taxon,grid,reason\nRana,0.1,x\n")
	f.Add("taxon;grid;reason;locality;keep\nRana;0,1;x;\"a;b\";habitat|behavior\n")
	f.Add("taxon,grid,reason\nRana,none,x\nrana,1e1,x\n")
	f.Fuzz(func(t *testing.T, text string) {
		rules, err := withhold.Read(strings.NewReader(text), "sensitive.csv", term)
		if err != nil {
			var e *lines.Error
			if !errors.As(err, &e) || e.Line < 1 {
				t.Fatalf("%T %v", err, err)
			}
			return
		}
		for _, r := range rules {
			if r.Taxon == "" || r.Reason == "" || r.Grid != 0 && !(r.Grid >= 0.001 && r.Grid <= 90) || r.Line < 2 {
				t.Fatalf("%+v", r)
			}
			for _, k := range r.Keep {
				if strings.Contains(strings.ToLower(k), "latitude") {
					t.Fatalf("%+v", r)
				}
			}
		}
	})
}
