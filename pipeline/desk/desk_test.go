package desk_test

import (
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"spadefoot/pipeline"
	"spadefoot/pipeline/desk"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record/need"
)

const (
	host   = "127.0.0.1:4711"
	secret = "a-secret-of-the-test"
)

// demo is a copy of the demo survey.
func demo(t testing.TB) string {
	t.Helper()
	folder := t.TempDir()
	if err := os.CopyFS(folder, os.DirFS(filepath.Join(need.Root(t), "testdata", "demo"))); err != nil {
		t.Fatal(err)
	}
	return folder
}

func open(t testing.TB, folder string, hosts ...string) *desk.Desk {
	t.Helper()
	return patient(t, folder, 0, hosts...)
}

// patient opens a desk whose pages wait for so long.
func patient(t testing.TB, folder string, patience time.Duration, hosts ...string) *desk.Desk {
	t.Helper()
	d, err := desk.Open(folder, desk.Options{Secret: secret, Hosts: append(hosts, host), Patience: patience, Today: func() string { return "2024-09-02" }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := d.Close(); err != nil {
			t.Error(err)
		}
	})
	return d
}

// request is one that the desk's own page would make; change spoils it.
func request(method, path string, form url.Values, change func(*http.Request)) *http.Request {
	r := httptest.NewRequest(method, "http://"+host+path, strings.NewReader(form.Encode()))
	r.AddCookie(&http.Cookie{Name: "spadefoot-desk-4711", Value: secret})
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Origin", "http://"+host)
	}
	if change != nil {
		change(r)
	}
	return r
}

func ask(d http.Handler, r *http.Request) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	d.ServeHTTP(w, r)
	return w
}

func TestOnlyWhoKnowsTheSecretIsAnswered(t *testing.T) {
	d := open(t, demo(t))
	for _, c := range []struct {
		what   string
		change func(*http.Request)
		status int
	}{
		{"as the page asks", nil, http.StatusOK},
		{"another name", func(r *http.Request) { r.Host = "pond.example:4711" }, http.StatusMisdirectedRequest},
		{"another port", func(r *http.Request) { r.Host = "127.0.0.1:80" }, http.StatusMisdirectedRequest},
		{"another page", func(r *http.Request) { r.Header.Set("Origin", "https://pond.example") }, http.StatusForbidden},
		{"a page without an origin", func(r *http.Request) { r.Header.Set("Origin", "null") }, http.StatusForbidden},
		{"no cookie", func(r *http.Request) { r.Header.Del("Cookie") }, http.StatusForbidden},
		{"a wrong cookie", func(r *http.Request) {
			r.Header.Set("Cookie", "spadefoot-desk-4711=guessed")
		}, http.StatusForbidden},
		{"a wrong secret", func(r *http.Request) {
			r.Header.Del("Cookie")
			r.URL.RawQuery = "secret=guessed"
		}, http.StatusForbidden},
	} {
		w := ask(d, request(http.MethodGet, "/questions", nil, c.change))
		if w.Code != c.status {
			t.Errorf("%s: status %d, want %d", c.what, w.Code, c.status)
		}
		if c.status != http.StatusOK && strings.Contains(w.Body.String(), secret) {
			t.Errorf("%s: the answer tells the secret", c.what)
		}
		if p := w.Header().Get("Content-Security-Policy"); !strings.Contains(p, "default-src 'none'") || strings.Contains(p, "unsafe") {
			t.Errorf("%s: policy %q", c.what, p)
		}
	}
}

func TestTheAddressWithTheSecretGivesACookie(t *testing.T) {
	d := open(t, demo(t))
	w := ask(d, httptest.NewRequest(http.MethodGet, "http://"+host+"/doubts?secret="+secret, nil))
	if w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/doubts" {
		t.Fatalf("status %d, on to %q", w.Code, w.Header().Get("Location"))
	}
	c := w.Result().Cookies()
	if len(c) != 1 || c[0].Name != "spadefoot-desk-4711" || !c[0].HttpOnly || c[0].Value != secret {
		t.Errorf("cookies %v", c)
	}
}

func TestASecondDeskSaysThatThereIsOne(t *testing.T) {
	folder := demo(t)
	d, err := desk.Open(folder, desk.Options{Secret: secret, Hosts: []string{host}})
	if err != nil {
		t.Fatal(err)
	}
	_, err = desk.Open(folder, desk.Options{Secret: secret, Hosts: []string{host}})
	var held *output.HeldError
	if !errors.As(err, &held) || !strings.Contains(err.Error(), "another desk") {
		t.Errorf("the second one: %v", err)
	}
	if err := d.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(folder, desk.LockName)); !os.IsNotExist(err) {
		t.Errorf("what held the folder is still there: %v", err)
	}
	open(t, folder)
}

func TestFilesAreReadAnewAndNeverWrittenOverUnseen(t *testing.T) {
	folder := demo(t)
	d := open(t, folder)
	before, err := d.Survey(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if again, _ := d.Survey(context.Background()); again != before {
		t.Error("walked again though nothing changed")
	}
	was, err := d.Read("june.yaml")
	if err != nil {
		t.Fatal(err)
	}
	theirs := append([]byte("# by hand\n"), was.Bytes...)
	if err := os.WriteFile(filepath.Join(folder, "june.yaml"), theirs, 0o644); err != nil {
		t.Fatal(err)
	}
	var changed *pipeline.ChangedError
	if err := d.Write(was, []byte("ours")); !errors.As(err, &changed) {
		t.Errorf("written over: %v", err)
	}
	if now, _ := os.ReadFile(filepath.Join(folder, "june.yaml")); string(now) != string(theirs) {
		t.Errorf("the file holds %q", now)
	}
	if again, _ := d.Survey(context.Background()); again == before {
		t.Error("a changed file was not read again")
	}
	if _, err := d.Read("../outside.csv"); err == nil {
		t.Error("read a file outside the folder")
	}
	if err := d.Write(desk.Text{Name: "../outside.csv"}, []byte("x")); err == nil {
		t.Error("wrote a file outside the folder")
	}
}

func TestEveryPageIsThere(t *testing.T) {
	d := open(t, demo(t))
	for _, path := range []string{"/questions", "/doubts", "/type-in", "/season", "/publish"} {
		w := ask(d, request(http.MethodGet, path, nil, nil))
		if body := w.Body.String(); w.Code != http.StatusOK || !strings.Contains(body, `href="`+path+`" aria-current="page"`) {
			t.Errorf("%s: status %d\n%s", path, w.Code, body)
		}
	}
	if w := ask(d, request(http.MethodGet, "/", nil, nil)); w.Header().Get("Location") != "/questions" {
		t.Errorf("the first page is %q", w.Header().Get("Location"))
	}
	for path, kind := range map[string]string{"/style.css": "text/css", "/web/desk.js": "javascript"} {
		if w := ask(d, request(http.MethodGet, path, nil, nil)); w.Code != http.StatusOK || !strings.Contains(w.Header().Get("Content-Type"), kind) {
			t.Errorf("%s: status %d, %s", path, w.Code, w.Header().Get("Content-Type"))
		}
	}
	if w := ask(d, request(http.MethodGet, "/web/layout.html", nil, nil)); w.Code != http.StatusNotFound {
		t.Errorf("a template is served: status %d", w.Code)
	}
}

// What is under the name that files were once written under before they are
// moved is neither followed nor written over.
func TestPlantedWorkingNames(t *testing.T) {
	folder := demo(t)
	d := open(t, folder)
	was, err := d.Read("june.yaml")
	if err != nil {
		t.Fatal(err)
	}
	thesis, planted := filepath.Join(folder, "thesis.txt"), filepath.Join(folder, ".june.yaml.spadefoot-partial")
	if err := errors.Join(os.WriteFile(thesis, []byte("mine"), 0o644), os.Symlink("thesis.txt", planted)); err != nil {
		t.Skip(err)
	}
	if err := d.Write(was, []byte("ours")); err != nil {
		t.Fatal(err)
	}
	now, _ := os.ReadFile(filepath.Join(folder, "june.yaml"))
	mine, _ := os.ReadFile(thesis)
	if _, err := os.Lstat(planted); err != nil || string(now) != "ours" || string(mine) != "mine" {
		t.Errorf("june.yaml is %q, the thesis %q, %v", now, mine, err)
	}
}
