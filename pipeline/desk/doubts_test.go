package desk_test

import (
	"bytes"
	"context"
	"html"
	"image"
	"image/png"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
)

var doubtLink = regexp.MustCompile(`href="/doubts/([0-9a-z]+)">`)

// offering finds the first doubt of which the page offers something.
func offering(t testing.TB, d http.Handler, what string) (id, body string) {
	t.Helper()
	for _, m := range doubtLink.FindAllStringSubmatch(page(t, d, "/doubts"), -1) {
		if body := page(t, d, "/doubts/"+m[1]); strings.Contains(body, what) {
			return m[1], body
		}
	}
	t.Fatalf("no doubt offers %q", what)
	return "", ""
}

func given(t testing.TB, folder string) []remedy.Remedy {
	t.Helper()
	rs, err := pipeline.Decisions(folder, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return rs
}

func TestEachKindOfDecision(t *testing.T) {
	folder := demo(t)
	d := open(t, folder)
	for _, c := range []struct {
		do, offered, text string
		action            remedy.Action
		replacement       string
	}{
		{"take", `value="take"`, "", remedy.Replace, ""},
		{"write", `value="write"`, "61.9", remedy.Replace, "61.9"},
		{"confirm", `value="confirm"`, "", remedy.Confirm, ""},
		{"clear", `value="clear"`, "", remedy.Clear, ""},
		{"drop:0", `value="drop:0"`, "", remedy.Drop, ""},
	} {
		t.Run(c.do, func(t *testing.T) {
			id, _ := offering(t, d, c.offered)
			form := url.Values{"do": {c.do}, "text": {c.text}, "who": {"Ines Varga"}, "why": {"field book, page 12"}}
			body := post(t, d, "/doubts/"+id, form)
			if !strings.Contains(body, `class="said"`) {
				t.Errorf("nothing is said:\n%s", excerpt(body))
			}
			rs := given(t, folder)
			if len(rs) == 0 {
				t.Fatal("nothing was written")
			}
			for _, r := range rs {
				if r.Action != c.action || r.Who != "Ines Varga" || r.When != "2024-09-02" || r.Why != "field book, page 12" || c.replacement != "" && r.Replacement != c.replacement {
					t.Errorf("written: %+v", r)
				}
			}
			if w := ask(d, request(http.MethodGet, "/doubts/"+id, nil, nil)); w.Code != http.StatusNotFound {
				t.Errorf("the doubt is still there: status %d", w.Code)
			}
			checked, err := pipeline.Check(context.Background(), folder, pipeline.Options{})
			if err != nil {
				t.Fatalf("the command line: %v", err)
			}
			looked, err := d.Survey(context.Background())
			if err != nil || checked.Tally.Levels != looked.Tally.Levels {
				t.Errorf("the command line counts %v, the desk %v (%v)", checked.Tally.Levels, looked.Tally.Levels, err)
			}
			body = post(t, d, "/doubts/back", url.Values{})
			if !strings.Contains(body, "Undone") || len(given(t, folder)) != 0 {
				t.Errorf("not taken back: %+v", given(t, folder))
			}
			page(t, d, "/doubts/"+id)
		})
	}
}

// One decision holds for all cells of one cause, and a slip that many cells share
// is corrected as a whole.
func TestOneDecisionForManyCells(t *testing.T) {
	folder := season(t, 300, func(row int, cells []string) {
		if row%30 == 4 {
			cells[4] = "Z9" // no word for a sex
		}
		if row >= 100 && row < 150 {
			cells[5], cells[6] = cells[6], cells[5]
		}
	})
	d := open(t, folder)
	id, _ := offering(t, d, "in all 10 cells")
	post(t, d, "/doubts/"+id, url.Values{"do": {"write"}, "text": {"F"}, "who": {"Ines Varga"}, "why": {"field book"}})
	rs := given(t, folder)
	if len(rs) != 1 || len(rs[0].Also) != 9 || rs[0].Replacement != "F" {
		t.Errorf("for ten cells: %+v", rs)
	}
	id, body := offering(t, d, "Take the suggestion for")
	if !strings.Contains(body, `class="corrected"`) {
		t.Errorf("what it changes is not shown:\n%s", excerpt(body))
	}
	before, err := d.Survey(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	post(t, d, "/doubts/"+id, url.Values{"do": {"take"}, "who": {"Ines Varga"}, "why": {"the columns were exchanged"}})
	after, err := d.Survey(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if rs = given(t, folder); len(rs) != 2 || len(rs[1].Also) == 0 {
		t.Errorf("for the columns: %d rows, the second for %d cells", len(rs), len(rs[len(rs)-1].Also)+1)
	}
	if after.Tally.Levels.AtLeast(record.Warning) >= before.Tally.Levels.AtLeast(record.Warning) {
		t.Errorf("doubts before %v, after %v", before.Tally.Levels, after.Tally.Levels)
	}
}

func TestADecisionNeedsSomebodyAndAReason(t *testing.T) {
	folder := demo(t)
	d := open(t, folder)
	id, _ := offering(t, d, `value="confirm"`)
	for _, form := range []url.Values{
		{"do": {"confirm"}, "why": {"looked"}}, {"do": {"confirm"}, "who": {"Ines"}}, {"who": {"Ines"}, "why": {"looked"}},
		{"do": {"write"}, "who": {"Ines"}, "why": {"looked"}}, {"do": {"drop:99"}, "who": {"Ines"}, "why": {"looked"}},
	} {
		form.Set("secret", secret)
		if w := ask(d, request(http.MethodPost, "/doubts/"+id, form, nil)); w.Code != http.StatusBadRequest {
			t.Errorf("%v: status %d", form, w.Code)
		}
	}
	if w := ask(d, request(http.MethodPost, "/doubts/"+id, url.Values{"do": {"confirm"}, "who": {"Ines"}, "why": {"looked"}}, nil)); w.Code != http.StatusForbidden {
		t.Errorf("without the secret: status %d", w.Code)
	}
	if _, err := os.Stat(filepath.Join(folder, remedy.FileName)); !os.IsNotExist(err) {
		t.Errorf("something was written: %v", err)
	}
}

// The next decision is offered under the name of who decided last, as it is written.
func TestWhoDecidedLastIsRemembered(t *testing.T) {
	d := open(t, demo(t))
	id, _ := offering(t, d, `value="confirm"`)
	who := `Zoë "Zo" Ångström; Łódź`
	w := ask(d, request(http.MethodPost, "/doubts/"+id, url.Values{"secret": {secret}, "do": {"confirm"}, "who": {who}, "why": {"looked"}}, nil))
	next, _ := offering(t, d, `value="confirm"`)
	body := ask(d, request(http.MethodGet, "/doubts/"+next, nil, func(r *http.Request) {
		for _, c := range w.Result().Cookies() {
			r.AddCookie(c)
		}
	})).Body.String()
	if want := `value="` + html.EscapeString(who) + `"`; !strings.Contains(body, want) {
		t.Errorf("no %s in\n%s", want, body)
	}
}

// What somebody else writes into the table meanwhile stays there.
func TestDecisionsOfOthersStay(t *testing.T) {
	folder := demo(t)
	d := open(t, folder)
	id, _ := offering(t, d, `value="take"`)
	if _, err := pipeline.Propose(context.Background(), folder, pipeline.ProposeOptions{}, pipeline.Options{}); err != nil {
		t.Fatal(err)
	}
	before := given(t, folder)
	post(t, d, "/doubts/"+id, url.Values{"do": {"take"}, "who": {"Ines Varga"}, "why": {"field book"}})
	after := given(t, folder)
	decided := 0
	for _, r := range after {
		if r.Action != "" {
			decided++
		}
	}
	if len(after) != len(before) || decided != 1 {
		t.Errorf("%d rows of which %d are decided, before %d", len(after), decided, len(before))
	}
	body := page(t, d, "/doubts/decided")
	post(t, d, "/doubts/back", url.Values{"key": {hidden(t, body, "key")}})
}

func TestEarlierCapturesStandBesideADoubt(t *testing.T) {
	folder := t.TempDir()
	for name, text := range map[string]string{
		"survey.yaml": "dataset: {id: marrow, title: Marked frogs, description: Frogs that were marked., licence: CC0-1.0, creators: [{family: Varga}]}\n" +
			"defaults: {basisOfRecord: HumanObservation}\nsheets:\n  - {file: marked.csv, mapping: marked.yaml}\n",
		"marked.yaml": "key: [recordNumber]\nheadings:\n  - {heading: No, term: recordNumber}\n  - {heading: Mark, term: organismID}\n" +
			"  - {heading: Species, term: scientificName}\n  - {heading: Date, term: eventDate}\n  - {heading: SVL, measurement: snoutVentLength, unit: mm}\n",
		"marked.csv": "No,Mark,Species,Date,SVL\n1,A7,Rana temporaria,2024-03-02,61.4\n2,A8,Rana temporaria,2024-03-02,58.2\n3,A7,Rana temporaria,2024-03-20,6l.x\n",
	} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	_, body := offering(t, open(t, folder), "Earlier captures of this animal")
	_, earlier, _ := strings.Cut(body, "Earlier captures of this animal")
	if earlier, _, _ = strings.Cut(earlier, "</ul>"); !strings.Contains(earlier, "2024-03-02") || !strings.Contains(earlier, "61.4") || strings.Contains(earlier, "58.2") {
		t.Errorf("the earlier capture:\n%s", earlier)
	}
}

// scanned puts pictures of field sheets beside the June sheet of the demo.
func scanned(t testing.TB, folder string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Join(folder, "scans"), 0o755); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"a.png", "b.png", "c.txt"} {
		f, err := os.Create(filepath.Join(folder, "scans", name))
		if err != nil {
			t.Fatal(err)
		}
		sheet := image.NewGray(image.Rect(0, 0, 900, 600))
		for i := range sheet.Pix {
			sheet.Pix[i] = 250
			if y := i / 900; y%40 == 0 || i%900%150 == 0 {
				sheet.Pix[i] = 120
			}
		}
		if err := png.Encode(f, sheet); err != nil {
			t.Fatal(err)
		}
		f.Close()
	}
	yaml := filepath.Join(folder, "survey.yaml")
	b, err := os.ReadFile(yaml)
	if err != nil {
		t.Fatal(err)
	}
	b = bytes.Replace(b, []byte("mapping: june.yaml}"), []byte("mapping: june.yaml, pages: scans}"), 1)
	if err := os.WriteFile(yaml, b, 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestThePageOfAFieldSheetIsShown(t *testing.T) {
	folder := demo(t)
	scanned(t, folder)
	d := open(t, folder)
	_, body := offering(t, d, `class="scan"`)
	if strings.Contains(body, "c.txt") || !strings.Contains(body, "of 2") {
		t.Errorf("the pages:\n%s", excerpt(body))
	}
	for path, status := range map[string]int{"/doubts/page/2/0": 200, "/doubts/page/2/1": 200, "/doubts/page/2/2": 404, "/doubts/page/0/0": 404, "/doubts/page/2/..%2fsurvey.yaml": 404} {
		if w := ask(d, request(http.MethodGet, path, nil, nil)); w.Code != status {
			t.Errorf("%s: status %d, want %d", path, w.Code, status)
		}
	}
}

// Values that slid into the row above are put back as a whole by one decision.
func TestAShiftedBlockIsCorrectedAsAWhole(t *testing.T) {
	var slid []string
	season(t, 300, func(row int, cells []string) { slid = append(slid, cells[6]) })
	folder := season(t, 300, func(row int, cells []string) {
		if row >= 60 && row < 85 {
			cells[6] = slid[row+1]
		}
	})
	d := open(t, folder)
	id, body := offering(t, d, "Take the suggestion for")
	if !strings.Contains(body, "rows-shifted") || !strings.Contains(body, `class="corrected"`) {
		t.Fatalf("what is suggested:\n%s", excerpt(body))
	}
	before, err := d.Survey(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	post(t, d, "/doubts/"+id, url.Values{"do": {"take"}, "who": {"Ines Varga"}, "why": {"field sheet, page 3"}})
	after, err := d.Survey(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if rs := given(t, folder); len(rs) != 1 || len(rs[0].Also) < 15 {
		t.Errorf("%d rows of remedies, the first for %d cells", len(rs), len(rs[0].Also)+1)
	}
	if b, a := before.Tally.Levels.AtLeast(record.Warning), after.Tally.Levels.AtLeast(record.Warning); a >= b {
		t.Errorf("%d doubts before, %d after", b, a)
	}
	if page(t, d, "/doubts") == "" || strings.Contains(page(t, d, "/doubts"), "rows-shifted") {
		t.Error("the block is still in doubt")
	}
}

// The page of a doubt has the sentence, the row as written, the place among the
// others and all that can be decided; the list begins with the errors.
func TestADoubtWithAllThatBelongsToIt(t *testing.T) {
	d := open(t, season(t, 300, nil))
	_, body := offering(t, d, `value="take"`)
	for _, want := range []string{"<h2 id=\"doubt-h\">", "As written", "(in doubt)", "Compared with the others", "<svg", `value="take"`, `value="write"`, `value="confirm"`, `value="clear"`, `value="drop:0"`,
		">later<", `name="who"`, `name="why"`} {
		if !strings.Contains(body, want) {
			t.Errorf("no %s in\n%s", want, excerpt(body))
		}
	}
	list := page(t, d, "/doubts")
	if first, last := strings.Index(list, `<span class="quiet">warning</span>`), strings.LastIndex(list, `<span class="quiet">error</span>`); last < 0 || first >= 0 && first < last {
		t.Errorf("a warning stands before an error:\n%s", excerpt(list))
	}
}
