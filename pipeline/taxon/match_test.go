package taxon

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/mappings"
)

// checklist of the invented Marrow Creek Field Station; names and authors are
// facts of the trade (common practice).
const marrowCreek = `# frogs and their neighbours
scientificName,scientificNameAuthorship,acceptedNameUsage,vernacularName,code,class,order,family,taxonID
Lithobates clamitans,"(Latreille, 1801)",,Green Frog|Bronze Frog,LICL|RACL,Amphibia,Anura,Ranidae,mc:1
Lithobates pipiens,"(Schreber, 1782)",,Northern Leopard Frog|Leopard Frog,LIPI,Amphibia,Anura,Ranidae,mc:2
Lithobates sphenocephalus,"(Cope, 1886)",,Southern Leopard Frog|Leopard Frog,LISP,Amphibia,Anura,Ranidae,mc:3
Lithobates sylvaticus,"(LeConte, 1825)",,Wood Frog,LISY,Amphibia,Anura,Ranidae,mc:4
Rana clamitans,"Latreille, 1801",Lithobates clamitans,,,,,,
Rana pipiens,,Lithobates pipiens,,,,,,
Anaxyrus americanus,"(Holbrook, 1836)",,American Toad,ANAM,Amphibia,Anura,Bufonidae,mc:5
Anaxyrus fowleri,"(Hinckley, 1882)",,Fowler's Toad,ANFO,Amphibia,Anura,Bufonidae,mc:6
Liolaemus pipiens,,,,,Reptilia,Squamata,Liolaemidae,mc:7
Thamnophis sirtalis,"(Linnaeus, 1758)",,Common Gartersnake,THSI,Reptilia,Squamata,Natricidae,mc:8
Thamnophis sirtalis sirtalis,"(Linnaeus, 1758)",,Eastern Gartersnake,,Reptilia,Squamata,Natricidae,mc:9
Pygoscelis adeliae,"(Hombron & Jacquinot, 1841)",,Adelie Penguin,ADPE,Aves,Sphenisciformes,Spheniscidae,mc:10
Pelophylax kl. esculentus,"(Linnaeus, 1758)",,Teichfrosch,,Amphibia,Anura,Ranidae,mc:11
`

func checklist(t testing.TB) *Checklist {
	t.Helper()
	c, err := ReadChecklist(strings.NewReader(marrowCreek), "checklist.csv")
	if err != nil {
		t.Fatal(err)
	}
	return c
}

type outcome struct {
	text       string
	state      State
	name       string
	rank       string
	qualifier  string
	via        string
	rules      string
	suggestion string
}

func settled(m Match) outcome {
	o := outcome{m.Verbatim, m.State, m.ScientificName, m.Rank, m.Qualifier, m.Via, "", ""}
	var rules []string
	for _, p := range m.Problems {
		rules = append(rules, strings.TrimPrefix(p.Rule, "taxon-"))
		if p.Suggestion != "" {
			o.suggestion = p.Suggestion
		}
	}
	o.rules = strings.Join(rules, " ")
	return o
}

func TestMatch(t *testing.T) {
	c := checklist(t)
	for _, want := range []outcome{
		{"Lithobates clamitans", Matched, "Lithobates clamitans", "species", "", ViaName, "", ""},
		{"  lithobates   CLAMITANS ", Matched, "Lithobates clamitans", "species", "", ViaName, "", ""},
		{"LITHOBATES CLAMITANS", Matched, "Lithobates clamitans", "species", "", ViaName, "", ""},
		{"Lithobates_clamitans", Matched, "Lithobates clamitans", "species", "", ViaName, "", ""},
		{"Lithóbates clámitans", Matched, "Lithobates clamitans", "species", "", ViaName, "", ""},
		{"Lithobates clamitans (Latreille, 1801)", Matched, "Lithobates clamitans", "species", "", ViaName, "", ""},
		{"Lithobates clamitans Rafinesque, 1820", Matched, "Lithobates clamitans", "species", "", ViaName, "author", "(Latreille, 1801)"},
		{"Rana (Lithobates) clamitans", Matched, "Lithobates clamitans", "species", "", ViaSynonym, "synonym", ""},
		{"Rana clamitans", Matched, "Lithobates clamitans", "species", "", ViaSynonym, "synonym", ""},
		{"green frog", Matched, "Lithobates clamitans", "species", "", ViaVernacular, "", ""},
		{"GREEN-FROG", Matched, "Lithobates clamitans", "species", "", ViaVernacular, "", ""},
		{"fowlers toad", Matched, "Anaxyrus fowleri", "species", "", ViaVernacular, "", ""},
		{"leopard frog", Unread, "Lithobates", "genus", "", "", "ambiguous", ""},
		{"LICL", Matched, "Lithobates clamitans", "species", "", ViaCode, "", ""},
		{"racl", Matched, "Lithobates clamitans", "species", "", ViaCode, "", ""},
		{"L. clamitans", Matched, "Lithobates clamitans", "species", "", ViaAbbreviated, "", ""},
		{"L.clamitans", Matched, "Lithobates clamitans", "species", "", ViaAbbreviated, "", ""},
		{"L clamitans", Matched, "Lithobates clamitans", "species", "", ViaAbbreviated, "", ""},
		{"L. pipiens", Unread, "", "", "", "", "ambiguous", ""},
		{"Lit. pipiens", Matched, "Lithobates pipiens", "species", "", ViaAbbreviated, "", ""},
		{"R. clamitans", Matched, "Lithobates clamitans", "species", "", ViaAbbreviated, "synonym", ""},
		{"X. clamitans", Unread, "", "", "", "", "unread", ""},
		{"L. sp.", Unread, "", "", "", "", "ambiguous", ""},
		{"A. sp.", Matched, "Anaxyrus", "genus", "sp.", ViaAbbreviated, "", ""},
		{"Lithobates cf. pipiens", Matched, "Lithobates", "genus", "cf. pipiens", ViaName, "doubtful", ""},
		{"Lithobates c.f. pipiens", Matched, "Lithobates", "genus", "cf. pipiens", ViaName, "doubtful", ""},
		{"Lithobates aff. pipiens", Matched, "Lithobates", "genus", "aff. pipiens", ViaName, "doubtful", ""},
		{"Lithobates pipiens?", Matched, "Lithobates", "genus", "pipiens?", ViaName, "doubtful", ""},
		{"Lithobates ?pipiens", Matched, "Lithobates", "genus", "? pipiens", ViaName, "doubtful", ""},
		{"cf. Lithobates pipiens", Matched, "Ranidae", "family", "cf. Lithobates pipiens", ViaName, "doubtful", ""},
		{"?Lithobates pipiens", Matched, "Ranidae", "family", "? Lithobates pipiens", ViaName, "doubtful", ""},
		{"L. cf. clamitans", Matched, "Lithobates", "genus", "cf. clamitans", ViaAbbreviated, "doubtful", ""},
		{"green frog?", Matched, "Lithobates", "genus", "clamitans?", ViaVernacular, "doubtful", ""},
		{"prob. green frog", Matched, "Lithobates", "genus", "prob. clamitans", ViaVernacular, "doubtful", ""},
		{"Lithobates cf. unheardus", Parsed, "Lithobates", "genus", "cf. unheardus", "", "unmatched doubtful", ""},
		{"Lithobates sp.", Matched, "Lithobates", "genus", "sp.", ViaGenus, "", ""},
		{"Lithobates sp. nov. 1", Matched, "Lithobates", "genus", "sp. nov. 1", ViaGenus, "", ""},
		{"Lithobates spp", Matched, "Lithobates", "genus", "spp.", ViaGenus, "", ""},
		{"Lithobates", Matched, "Lithobates", "genus", "", ViaGenus, "", ""},
		{"Ranidae", Matched, "Ranidae", "family", "", ViaGroup, "", ""},
		{"anura", Matched, "Anura", "order", "", ViaGroup, "", ""},
		{"Thamnophis sirtalis sirtalis", Matched, "Thamnophis sirtalis sirtalis", "subspecies", "", ViaName, "", ""},
		{"Thamnophis sirtalis ssp. sirtalis", Matched, "Thamnophis sirtalis sirtalis", "subspecies", "", ViaName, "", ""},
		{"T. sirtalis sirtalis", Matched, "Thamnophis sirtalis sirtalis", "subspecies", "", ViaAbbreviated, "", ""},
		{"Thamnophis sirtalis cf. sirtalis", Matched, "Thamnophis sirtalis", "species", "cf. sirtalis", ViaName, "doubtful", ""},
		{"Lithobates pipiens complex", Matched, "Lithobates pipiens", "species", "complex", ViaName, "", ""},
		{"Pelophylax esculentus", Matched, "Pelophylax kl. esculentus", "species", "", ViaName, "", ""},
		{"Pelophylax kl. esculentus", Matched, "Pelophylax kl. esculentus", "species", "", ViaName, "", ""},
		{"Teichfrosch", Matched, "Pelophylax kl. esculentus", "species", "", ViaVernacular, "", ""},
		{"Adelie Penguin (Pygoscelis adeliae)", Matched, "Pygoscelis adeliae", "species", "", ViaName, "", ""},
		{"Pygoscelis adeliae (Adelie Penguin)", Matched, "Pygoscelis adeliae", "species", "", ViaName, "", ""},
		{"Wood Frog (Lithobates clamitans)", Matched, "Lithobates clamitans", "species", "", ViaName, "conflict", ""},
		{"Chinstrap penguin (Pygoscelis antarctica)", Parsed, "Pygoscelis antarctica", "species", "", "", "unmatched", ""},
		{"Anaxyrus americanus × Anaxyrus fowleri", Matched, "Anaxyrus americanus × Anaxyrus fowleri", "", "", ViaHybrid, "", ""},
		{"A. americanus x fowleri", Matched, "Anaxyrus americanus × Anaxyrus fowleri", "", "", ViaHybrid, "", ""},
		{"Anaxyrus americanus X A. fowleri", Matched, "Anaxyrus americanus × Anaxyrus fowleri", "", "", ViaHybrid, "", ""},
		{"Lithobates clamitens", Parsed, "Lithobates clamitens", "species", "", "", "unmatched", "Lithobates clamitans"},
		{"L. clamitens", Unread, "", "", "", "", "unread", "Lithobates clamitans"},
		{"gren frog", Unread, "", "", "", "", "unread", "Lithobates clamitans"},
		{"Rana temporaria", Parsed, "Rana temporaria", "species", "", "", "unmatched", ""},
		{"Rana temporaria Linnaeus, 1758", Parsed, "Rana temporaria", "species", "", "", "unmatched", ""},
		{"Rana sp.", Parsed, "Rana", "genus", "sp.", "", "unmatched", ""},
		{"Lithobates clamitans juvenile", Unread, "", "", "", "", "unread", "Lithobates clamitans"},
		{"frog", Unread, "", "", "", "", "unread", ""},
		{"unknown", Unread, "", "", "", "", "unread", ""},
		{"?", Unread, "", "", "", "", "unread", ""},
		{"57.5", Unread, "", "", "", "", "unread", ""},
		{"", Unread, "", "", "", "", "", ""},
	} {
		if got := settled(c.Match(want.text)); got != want {
			t.Errorf("%q:\n got %+v\nwant %+v", want.text, got, want)
		}
	}
}

func TestMatchWithoutChecklist(t *testing.T) {
	var c *Checklist
	for _, want := range []outcome{
		{"Lithobates clamitans (Latreille, 1801)", Parsed, "Lithobates clamitans", "species", "", "", "", ""},
		{"Hyla arborea (Linnaeus, 1758)", Parsed, "Hyla arborea", "species", "", "", "", ""},
		{"Lithobates cf. pipiens", Parsed, "Lithobates", "genus", "cf. pipiens", "", "doubtful", ""},
		{"cf. Lithobates pipiens", Unread, "", "", "cf. Lithobates pipiens", "", "doubtful", ""},
		{"Quercus aff. agrifolia var. oxyadenia", Parsed, "Quercus", "genus", "aff. agrifolia var. oxyadenia", "", "doubtful", ""},
		{"Quercus agrifolia cf. var. oxyadenia", Parsed, "Quercus agrifolia", "species", "cf. var. oxyadenia", "", "doubtful", ""},
		{"Ranidae", Parsed, "Ranidae", "family", "", "", "", ""},
		{"Anura sp.", Parsed, "Anura", "order", "sp.", "", "", ""},
		{"Anser anser × Branta canadensis", Parsed, "Anser anser × Branta canadensis", "", "", ViaHybrid, "", ""},
		{"Lepomis auritus x cyanellus", Parsed, "Lepomis auritus × Lepomis cyanellus", "", "", ViaHybrid, "", ""},
		{"Adelie Penguin (Pygoscelis adeliae)", Parsed, "Pygoscelis adeliae", "species", "", "", "", ""},
		{"Rana × esculenta", Parsed, "Rana × esculenta", "species", "", "", "", ""},
		{"Green frog", Unread, "", "", "", "", "unread", ""},
		{"Sapo común", Unread, "", "", "", "", "unread", ""},
		{"Grenouille verte", Unread, "", "", "", "", "unread", ""},
		{"L. pipiens", Unread, "", "", "", "", "unread", ""},
		{"lithobates pipiens", Parsed, "Lithobates pipiens", "species", "", "", "", ""},
		{"Malaclemys_terrapin", Parsed, "Malaclemys terrapin", "species", "", "", "", ""},
		{"EPIDALEA CALAMITA", Parsed, "Epidalea calamita", "species", "", "", "", ""},
		{"Vb", Unread, "", "", "", "", "unread", ""},
		{"Uta", Parsed, "Uta", "", "", "", "", ""},
		{"rana verde", Unread, "", "", "", "", "unread", ""},
		{"Myotis bat", Unread, "", "", "", "", "unread", ""},
		{"escaped before measuring", Unread, "", "", "", "", "unread", ""},
	} {
		if got := settled(c.Match(want.text)); got != want {
			t.Errorf("%q:\n got %+v\nwant %+v", want.text, got, want)
		}
	}
}

func TestMatchFields(t *testing.T) {
	got := checklist(t).Match("R. clamitans")
	got.Problems = nil
	want := Match{State: Matched, ScientificName: "Lithobates clamitans", Authorship: "(Latreille, 1801)", Rank: "species",
		Groups: Groups{Class: "Amphibia", Order: "Anura", Family: "Ranidae"}, Genus: "Lithobates", SpecificEpithet: "clamitans", Vernacular: "Green Frog",
		TaxonID: "mc:1", Verbatim: "R. clamitans", Via: ViaAbbreviated, Synonym: "Rana clamitans", Accepted: "Lithobates clamitans"}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	got = checklist(t).Match("Lithobates cf. pipiens")
	got.Problems = nil
	want = Match{State: Matched, ScientificName: "Lithobates", Rank: "genus", Groups: Groups{Class: "Amphibia", Order: "Anura", Family: "Ranidae"},
		Genus: "Lithobates", Qualifier: "cf. pipiens", Verbatim: "Lithobates cf. pipiens", Via: ViaName, Accepted: "Lithobates"}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	ambiguous := checklist(t).Match("L. pipiens").Problems[0].Reason
	if !strings.Contains(ambiguous, "Liolaemus pipiens and Lithobates pipiens") {
		t.Error(ambiguous)
	}
}

// Every name that a match gives is a name that matches as itself.
func stable(t *testing.T, c *Checklist, text string) {
	t.Helper()
	m := c.Match(text)
	if m.ScientificName == "" {
		return
	}
	again := c.Match(m.ScientificName)
	if again.ScientificName != m.ScientificName || again.State < m.State {
		t.Errorf("%q gives %q (state %d), which gives %q (state %d)", text, m.ScientificName, m.State, again.ScientificName, again.State)
	}
}

func TestStable(t *testing.T) {
	c := checklist(t)
	for _, e := range c.entries {
		for _, text := range []string{e.Name, e.Name + "?", "cf. " + e.Name, e.Name + " " + e.Authorship, strings.ToUpper(e.Name), e.Code, e.Family, e.parsed.genus + " sp."} {
			stable(t, c, text)
			stable(t, nil, text)
		}
		if m := c.Match(e.Name); m.State != Matched || m.Accepted != e.accepted.parsed.String() {
			t.Errorf("%s gives %q", e.Name, m.ScientificName)
		}
	}
}

func TestAnimalWords(t *testing.T) {
	rows, err := mappings.Table[animalWord]("animal_words.csv")
	if err != nil || len(rows) < 100 || !everyday("Frösche") || groupRank("anura") != "order" {
		t.Fatal(len(rows), err)
	}
	for _, row := range rows {
		if !slices.Contains([]string{vernacularWord, remarkWord, unknownWord, speciesName, "class", "order", "suborder"}, row.Kind) {
			t.Errorf("%s is of kind %q", row.Word, row.Kind)
		}
	}
}

func FuzzMatch(f *testing.F) {
	c := checklist(f)
	for _, s := range []string{"L. cf. pipiens", "A. americanus x fowleri", "Green frog?", "Rana × esculenta", "Adelie Penguin (Pygoscelis adeliae)",
		"Thamnophis sirtalis ssp. sirtalis", "R. (L.) pipiens", "sp. nov.", "((", "×", "? ?", "Lithobates sp. aff. pipiens", "Ǆungla ß", "\xff", "Lipi Aff000", "Lipi sp.", "\xff\xfe00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, list := range []*Checklist{c, nil} {
			m := list.Match(text)
			if m.Verbatim != text {
				t.Fatalf("%q became %q", text, m.Verbatim)
			}
			if (m.State == Unread) != (m.ScientificName == "") {
				t.Fatalf("%q: state %d with name %q", text, m.State, m.ScientificName)
			}
			if m.State == Matched && list == nil {
				t.Fatalf("%q matched without a checklist", text)
			}
			stable(t, list, text)
		}
	})
}
