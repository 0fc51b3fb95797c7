package desk_test

import (
	"errors"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestTheDescriptionIsWritten(t *testing.T) {
	folder := unmapped(t)
	d := open(t, folder)
	post(t, d, "/questions/draft", url.Values{"sheet": {"marrow-2023.xlsx"}})
	body := page(t, d, "/publish")
	if !strings.Contains(body, "Creators of the data: still the draft&#39;s placeholder text") {
		t.Errorf("what is missing:\n%s", excerpt(body))
	}
	form := url.Values{"mark": {hidden(t, body, "mark")}, "title": {"Frogs: a year"}, "description": {"Caught by hand.\nReleased at once."}, "id": {"https://marrow-creek.invalid/frogs"},
		"licence": {"https://creativecommons.org/publicdomain/zero/1.0/legalcode"}, "given": {"Ines", ""}, "family": {"Varga", ""}}
	body = post(t, d, "/publish/description", form)
	if !strings.Contains(body, "The description is complete.") {
		t.Errorf("after writing:\n%s", excerpt(body))
	}
	b, err := os.ReadFile(filepath.Join(folder, "survey.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"# A draft.", `title: "Frogs: a year"`, "description: Caught by hand. Released at once.\n", "{given: Ines, family: Varga}", "publicdomain/zero/1.0", "# choose it once"} {
		if !strings.Contains(string(b), want) {
			t.Errorf("no %q in\n%s", want, b)
		}
	}
	form.Set("secret", secret)
	if w := ask(d, request(http.MethodPost, "/publish/description", form, nil)); w.Code != http.StatusConflict {
		t.Errorf("written over a file that had changed: status %d", w.Code)
	}
}

// A licence that is given by its name is the one among those offered.
func TestALicenceByNameIsChosen(t *testing.T) {
	body := page(t, open(t, season(t, 30, nil)), "/publish")
	if n := strings.Count(body, `name="licence"`); n != 3 || !strings.Contains(body, `value="CC0 1.0" checked`) {
		t.Errorf("%d licences in\n%s", n, body)
	}
}

func TestTheArchiveIsWrittenAndTaken(t *testing.T) {
	folder := demo(t)
	d := open(t, folder)
	body := post(t, d, "/publish/run", url.Values{})
	if !strings.Contains(body, "written and proved") || strings.Contains(body, "were changed since") {
		t.Fatalf("after the run:\n%s", excerpt(body))
	}
	for path, want := range map[string]int{"darwin-core.zip": 200, "report.html": 200, "darwin-core/eml.xml": 200, "../survey.yaml": 404, "..%2fsurvey.yaml": 404, "darwin-core": 404, "none.csv": 404} {
		w := ask(d, request(http.MethodGet, "/publish/file/"+path, nil, nil))
		if w.Code == http.StatusMovedPermanently || w.Code == http.StatusTemporaryRedirect {
			w = ask(d, request(http.MethodGet, w.Header().Get("Location"), nil, nil))
		}
		if w.Code != want {
			t.Errorf("%s: status %d, want %d", path, w.Code, want)
		}
	}
	before, _ := d.Survey(t.Context())
	if again, _ := d.Survey(t.Context()); again != before {
		t.Error("what was published makes the survey be walked again")
	}
}

// Whoever sits at the desk sees the place of a sensitive animal; what is published
// does not have it.
func TestASensitivePlaceIsShownAndNotPublished(t *testing.T) {
	folder := season(t, 300, func(row int, cells []string) {
		if cells[3] == "Anaxyrus americanus" {
			cells[2] = "Hollow behind the mill"
		}
	})
	for name, text := range map[string]string{
		"checklist.csv": "code,scientificName,family\nLICL,Lithobates clamitans,Ranidae\nLISY,Lithobates sylvaticus,Ranidae\nANAM,Anaxyrus americanus,Bufonidae\n",
		"sensitive.csv": "taxon,grid,reason\nAnaxyrus americanus,0.1,invented for the test\n",
	} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	yaml, err := os.OpenFile(filepath.Join(folder, "survey.yaml"), os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	_, err = yaml.WriteString("tables: {checklist: checklist.csv, sensitive: sensitive.csv}\n")
	if err = errors.Join(err, yaml.Close()); err != nil {
		t.Fatal(err)
	}
	d := open(t, folder)
	offering(t, d, "Hollow behind the mill")
	if body := post(t, d, "/publish/run", url.Values{}); !strings.Contains(body, "written and proved") {
		t.Fatalf("after the run:\n%s", excerpt(body))
	}
	for _, file := range filesOf(t, folder+"-published") {
		name, text, _ := strings.Cut(file, "\n")
		if !strings.HasSuffix(name, ".zip") && strings.Contains(strings.ToLower(text), "hollow behind") {
			t.Errorf("%s tells the place", name)
		}
	}
}
