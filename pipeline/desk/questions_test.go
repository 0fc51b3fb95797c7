package desk_test

import (
	"bytes"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"spadefoot/pipeline/record/need"
)

// unmapped is a folder with a workbook of the demo that nobody has described.
func unmapped(t testing.TB) string {
	t.Helper()
	folder := t.TempDir()
	for _, name := range []string{"marrow-2023.xlsx", "checklist.csv"} {
		b, err := os.ReadFile(filepath.Join(need.Root(t), "testdata", "demo", name))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(folder, name), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return folder
}

// post sends a form of a page and returns the page that it leads to.
func post(t testing.TB, d http.Handler, path string, form url.Values) string {
	t.Helper()
	form.Set("secret", secret)
	w := ask(d, request(http.MethodPost, path, form, nil))
	if w.Code != http.StatusSeeOther {
		t.Fatalf("%s: status %d\n%s", path, w.Code, excerpt(w.Body.String()))
	}
	return page(t, d, w.Header().Get("Location"))
}

func page(t testing.TB, d http.Handler, path string) string {
	t.Helper()
	w := ask(d, request(http.MethodGet, path, nil, nil))
	if w.Code != http.StatusOK {
		t.Fatalf("%s: status %d\n%s", path, w.Code, excerpt(w.Body.String()))
	}
	return w.Body.String()
}

// excerpt is what a page says, without the long list of meanings.
func excerpt(body string) string {
	body = regexp.MustCompile(`(?s)<(select|svg|head).*?</(select|svg|head)>`).ReplaceAllString(body, "")
	return regexp.MustCompile(`\s*<[^>]*>\s*`).ReplaceAllString(body, " ")
}

// hidden returns what a page has in a hidden field.
func hidden(t testing.TB, body, name string) string {
	t.Helper()
	m := regexp.MustCompile(`name="` + name + `" value="([^"]*)"`).FindStringSubmatch(body)
	if m == nil {
		t.Fatalf("no field %s in\n%s", name, excerpt(body))
	}
	return m[1]
}

func TestAFolderWithSheetsBecomesASurvey(t *testing.T) {
	folder := unmapped(t)
	d := open(t, folder)
	if body := page(t, d, "/questions"); !strings.Contains(body, `value="marrow-2023.xlsx" checked`) || strings.Contains(body, `value="checklist.csv" checked`) {
		t.Errorf("the sheets are not offered:\n%s", excerpt(body))
	}
	body := post(t, d, "/questions/draft", url.Values{"sheet": {"marrow-2023.xlsx"}, "title": {"Frogs of Marrow Creek"}})
	if !strings.Contains(body, "Frogs of Marrow Creek") || !strings.Contains(body, "Columns and their meaning") {
		t.Errorf("after the draft:\n%s", excerpt(body))
	}
	if b, _ := os.ReadFile(filepath.Join(folder, "checklist.csv")); !strings.Contains(string(b), "Lithobates") {
		t.Errorf("the checklist became %q", b)
	}
	if w := ask(d, request(http.MethodPost, "/questions/draft", url.Values{"secret": {secret}, "sheet": {"../marrow-2023.xlsx"}}, nil)); w.Code != http.StatusBadRequest {
		t.Errorf("a sheet outside the folder: status %d", w.Code)
	}
}

func TestAMeaningIsTriedAndWritten(t *testing.T) {
	folder := demo(t)
	name := filepath.Join(folder, "june.yaml")
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	text = append(bytes.Replace(text, []byte("headings:\n"), []byte("headings: # as M. Reyes wrote them\n  # the left leg\n"), 1), "# by hand\n"...)
	if err := os.WriteFile(name, text, 0o644); err != nil {
		t.Fatal(err)
	}
	d := open(t, folder)
	at := "/questions/column?mapping=june.yaml&heading=LHC+(mm)"
	body := page(t, d, at)
	if !strings.Contains(body, "snout-vent length") || !strings.Contains(body, "<svg") {
		t.Fatalf("the column:\n%s", excerpt(body))
	}
	before, err := os.ReadFile(filepath.Join(folder, "june.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	form := url.Values{"secret": {secret}, "mapping": {"june.yaml"}, "heading": {"LHC (mm)"}, "mark": {hidden(t, body, "mark")},
		"meaning": {"other"}, "kind": {"measurement:headLength"}, "unit": {"mm"}, "do": {"try"}}
	w := ask(d, request(http.MethodPost, "/questions/column", form, nil))
	if w.Code != http.StatusOK || !strings.Contains(w.Body.String(), "What would change") || !strings.Contains(w.Body.String(), "head length in mm") {
		t.Fatalf("status %d\n%s", w.Code, excerpt(w.Body.String()))
	}
	if now, _ := os.ReadFile(filepath.Join(folder, "june.yaml")); string(now) != string(before) {
		t.Error("trying has written")
	}
	form.Set("do", "write")
	if body := post(t, d, "/questions/column", form); !strings.Contains(body, "june.yaml now has") {
		t.Errorf("after writing:\n%s", excerpt(body))
	}
	now, _ := os.ReadFile(filepath.Join(folder, "june.yaml"))
	if !strings.Contains(string(now), "measurement: headLength") {
		t.Errorf("the mapping is\n%s", now)
	}
	was, is := strings.Split(string(before), "\n"), strings.Split(string(now), "\n")
	for i := range was { // comments, order and all other lines are as they were
		if len(is) != len(was) || is[i] != was[i] && !strings.Contains(was[i], "LHC") {
			t.Fatalf("the mapping was\n%s\nand is\n%s", before, now)
		}
	}
	w = ask(d, request(http.MethodPost, "/questions/column", form, nil))
	if w.Code != http.StatusConflict {
		t.Errorf("written over a file that had changed: status %d", w.Code)
	}
}

func TestAnAnswerIsKept(t *testing.T) {
	folder := unmapped(t)
	d := open(t, folder)
	body := post(t, d, "/questions/draft", url.Values{"sheet": {"marrow-2023.xlsx"}})
	asked := regexp.MustCompile(`name="question" value="([^"]*)"`)
	questions := asked.FindAllStringSubmatch(body, -1)
	if first, columns := strings.Index(body, `name="question"`), strings.Index(body, "Columns and their meaning"); first < 0 || first > columns {
		t.Errorf("the questions do not come first:\n%s", excerpt(body))
	}
	for n := 0; len(questions) > 0; n++ {
		if n > 40 {
			t.Fatal("the questions never end")
		}
		unescape := strings.NewReplacer("&#34;", `"`, "&#39;", "'", "&amp;", "&", "&lt;", "<", "&gt;", ">", "&#43;", "+")
		from := body[strings.Index(body, `class="ask"`):]
		body = post(t, d, "/questions/answer", url.Values{"mapping": {hidden(t, from, "mapping")}, "mark": {hidden(t, from, "mark")},
			"question": {unescape.Replace(questions[0][1])}, "answer": {unescape.Replace(regexp.MustCompile(`name="answer" value="([^"]*)"`).FindStringSubmatch(from)[1])}})
		left := asked.FindAllStringSubmatch(body, -1)
		if len(left) >= len(questions) {
			t.Fatalf("%s is still asked", questions[0][1])
		}
		questions = left
	}
	if !strings.Contains(body, "There are no open questions") {
		t.Errorf("at the end:\n%s", excerpt(body))
	}
}
