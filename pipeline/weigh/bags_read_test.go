package weigh

import (
	"strings"
	"testing"
)

func TestReadBags(t *testing.T) {
	bags, err := ReadBags(strings.NewReader("# weighed by T. Okafor\nbag;mass;unit;weighed\nB1;4,5;;2024-05-30\nB2;0.2;oz;\n"), "bags.csv")
	if err != nil {
		t.Fatal(err)
	}
	b, later, ok := bags.Find("b1", "2024-06-01")
	if !ok || later || b.Mass.Text != "4.5" || b.Mass.From().Row != 3 || b.Mass.Verbatim != "4,5" {
		t.Errorf("B1: %+v, later %v, found %v", b, later, ok)
	}
	if b, _, ok = bags.Find("B2", ""); !ok || b.Mass.Text != "5.669905" || b.Mass.WrittenUnit != "[oz_av]" {
		t.Errorf("B2: %+v", b)
	}
	for text, says := range map[string]string{
		"bag,mass\nB1,heavy\n":          "bags.csv, line 2, column mass",
		"bag,mass\nB1,-4\n":             "bags.csv, line 2, column mass",
		"bag,mass,unit\nB1,4,handful\n": "bags.csv, line 2, column unit",
		"bag,weight\nB1,4\n":            "bags.csv, line 1, column weight",
		"":                              "bags.csv, line 1",
	} {
		if _, err := ReadBags(strings.NewReader(text), "bags.csv"); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: got %v, want %q", text, err, says)
		}
	}
}
