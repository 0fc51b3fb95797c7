package taxon

import (
	"strings"
	"testing"
)

func TestReadChecklistRefuses(t *testing.T) {
	for _, c := range []struct{ file, want string }{
		{"", "c.csv, line 1: the file is empty"},
		{"scientificName\n", "c.csv, line 1: there is no name under the headings"},
		{"latin,code\nRana pipiens,RP\n", "c.csv, line 1: no column scientificName among the headings (latin, code)"},
		{"name,species\na,b\n", `c.csv, line 1, column B: "species" means scientificName, as column A does already`},
		{"scientificName,code\nRana pipiens,A\n,B\n", "c.csv, line 3, column A: the name is missing"},
		{"scientificName\nRana cf. pipiens\n", `c.csv, line 2, column A: "Rana cf. pipiens" is not a full scientific name`},
		{"scientificName\nR. pipiens\n", "c.csv, line 2, column A"},
		{"scientificName\nRana pipiens\n# gone\n\nrana\n", "c.csv, line 5, column A"},
		{"scientificName\nRana pipiens\nRana pipiens Schreber\n", "c.csv, line 3, column A: Rana pipiens is already in line 2"},
		{"scientificName,acceptedNameUsage\nRana pipiens,Lithobates pipiens\n", `c.csv, line 2, column B: "Lithobates pipiens" is not a name of this checklist`},
		{"code,scientificName,acceptedNameUsage\n,Rana pipiens,\n,Rana b-us,Rana pipiens\n,Rana cus,Rana b-us\n", "c.csv, line 4, column C: Rana b-us is itself a synonym (line 3, of Rana pipiens)"},
		{"scientificName,acceptedNameUsage\nRana aus,Rana bus\nRana bus,Rana aus\n", "c.csv, line 2, column B: Rana bus is itself a synonym"},
		{"scientificName,code\nRana aus,RA|RX\nRana bus,ra\n", "c.csv, line 3, column B: the code ra already means Rana aus (line 2)"},
		{"scientificName,code\nRana aus,RA,Frog\n", `c.csv, line 2, column C: "Frog" is under no heading`},
		{"scientificName,code\nRana \"aus,RA\n", "c.csv, line 2"},
	} {
		list, err := ReadChecklist(strings.NewReader(c.file), "c.csv")
		if err == nil || list != nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q:\n got %v\nwant %s", c.file, err, c.want)
		}
	}
	many := "scientificName\n" + strings.Repeat("nothing\n", 50)
	if _, err := ReadChecklist(strings.NewReader(many), "c.csv"); err == nil || strings.Count(err.Error(), "\n") != maxMistakes || !strings.Contains(err.Error(), "and 30 more mistakes") {
		t.Error(err)
	}
}

func TestReadChecklistTakes(t *testing.T) {
	for _, file := range []string{
		"scientificName,code\nRana aus,RA\n",
		"\ufeffSpecies;Code\r\nRana aus;RA\r\n",
		"# a list\nscientific name\tcode\tnotes\nRana aus\tRA\twet\n",
		"code,scientificName,acceptedNameUsage\nRA,Rana aus,Rana aus\n,Rana bus,Rana aus\n",
		"code,scientificName\n RA , Rana aus \n,\n",
		"code,scientificName\nRA,\"Rana aus (Miller, 1900)\"\n",
	} {
		list, err := ReadChecklist(strings.NewReader(file), "c.csv")
		if err != nil {
			t.Errorf("%q: %v", file, err)
			continue
		}
		if m := list.Match("ra"); m.ScientificName != "Rana aus" || m.Rank != "species" || list.Names()[0] != "Rana aus" || list.Len() < 1 {
			t.Errorf("%q: %+v", file, m)
		}
	}
}

func FuzzReadChecklist(f *testing.F) {
	f.Add(marrowCreek)
	f.Add("scientificName;code\nRana aus;\"x\n")
	f.Fuzz(func(t *testing.T, file string) {
		list, err := ReadChecklist(strings.NewReader(file), "c.csv")
		if (list == nil) != (err != nil) {
			t.Fatal("list and error do not fit")
		}
		for _, n := range list.Names() {
			if m := list.Match(n); m.State != Matched {
				t.Errorf("%q is on the list and is not matched", n)
			}
		}
	})
}
