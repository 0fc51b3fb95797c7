package desk_test

import (
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// What takes longer than a page waits goes on while its own page says how far
// it is, and is answered there: another meaning that is tried and written, and a run.
func TestWhatTakesLongIsWaitedFor(t *testing.T) {
	folder := season(t, 300, nil)
	d := patient(t, folder, time.Microsecond)
	at := "/questions/column?mapping=season.yaml&heading=Tibia"
	form := url.Values{"secret": {secret}, "mapping": {"season.yaml"}, "heading": {"Tibia"}, "mark": {hidden(t, ready(t, d, at), "mark")},
		"meaning": {"other"}, "kind": {"measurement:headLength"}, "unit": {"mm"}}
	waits := func(path string) string {
		t.Helper()
		began := time.Now()
		w := ask(d, request(http.MethodPost, path, form, nil))
		to := w.Header().Get("Location")
		if w.Code != http.StatusSeeOther || !strings.HasPrefix(to, "/at-work/") {
			t.Fatalf("%s: status %d, on to %q after %v", path, w.Code, to, time.Since(began))
		}
		waited := false
		for until := time.Now().Add(time.Minute); time.Now().Before(until); time.Sleep(5 * time.Millisecond) {
			w := ask(d, request(http.MethodGet, to, nil, nil))
			switch {
			case w.Code == http.StatusSeeOther:
				to = w.Header().Get("Location")
			case w.Code != http.StatusOK:
				t.Fatalf("%s: status %d\n%s", to, w.Code, excerpt(w.Body.String()))
			case w.Header().Get("Refresh") == "":
				if !waited {
					t.Errorf("%s: nobody had to wait", path)
				}
				return w.Body.String()
			}
			waited = true
		}
		t.Fatalf("%s is never done", path)
		return ""
	}
	form.Set("do", "try")
	if body := waits("/questions/column"); !strings.Contains(body, "What would change") {
		t.Errorf("after trying:\n%s", excerpt(body))
	}
	form.Set("do", "write")
	if body := waits("/questions/column"); !strings.Contains(body, "season.yaml now has") {
		t.Errorf("after writing:\n%s", excerpt(body))
	}
	if text, err := os.ReadFile(filepath.Join(folder, "season.yaml")); err != nil || !strings.Contains(string(text), "headLength") {
		t.Errorf("the mapping: %s %v", text, err)
	}
	if body := waits("/publish/run"); !strings.Contains(body, "written and proved") {
		t.Errorf("after the run:\n%s", excerpt(body))
	}
	if w := ask(d, request(http.MethodGet, "/at-work/999", nil, nil)); w.Code != http.StatusNotFound {
		t.Errorf("what nobody asked for: status %d", w.Code)
	}
}
