package desk_test

import (
	"fmt"
	"maps"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"spadefoot/pipeline/desk"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record/need"
	"spadefoot/pipeline/record/need/browser"
)

// serve opens a desk that a browser can ask, and returns its address.
func serve(t testing.TB, folder string) (address string) {
	t.Helper()
	need.Fullest(t)
	var d *desk.Desk
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { d.ServeHTTP(w, r) }))
	t.Cleanup(s.Close)
	d = open(t, folder, strings.TrimPrefix(s.URL, "http://"))
	return s.URL
}

// visit opens a page of a desk in a browser.
func visit(t testing.TB, address, path string) *browser.Tab {
	t.Helper()
	sign := "?"
	if strings.Contains(path, "?") {
		sign = "&"
	}
	return browser.Open(t, address+path+sign+"secret="+secret, address, "blob:")
}

// everyWidth looks at the page that is open, at three widths, light and dark.
func everyWidth(b *browser.Tab, name string) {
	for _, width := range []int64{360, 800, 1280} {
		b.Window(width, 900)
		for _, scheme := range []string{"light", "dark"} {
			b.Scheme(scheme)
			what := fmt.Sprintf("%s-%d-%s", name, width, scheme)
			b.Fits(what)
			b.Accessible(what)
			b.Keep(what)
		}
	}
	b.Scheme("light")
}

// Everything on the page Questions works with a mouse and a keyboard alone.
func TestQuestionsInABrowser(t *testing.T) {
	address := serve(t, unmapped(t))
	b := visit(t, address, "/doubts")
	everyWidth(b, "doubts-undescribed")
	b.Go(address + "/questions")
	everyWidth(b, "questions-new")
	b.Type("#title", "Frogs of Marrow Creek")
	b.Press("Read these sheets")
	if text := b.Text(); !strings.Contains(text, "What they were taken to mean was written") {
		t.Fatalf("after the draft:\n%s", text)
	}
	everyWidth(b, "questions-open")
	b.Go(address + "/questions/column?mapping=marrow-2023-spring.yaml&heading=SVL+(mm)")
	b.PressAt("input[value=other]")
	b.Choose("#kind", "measurement:headLength")
	b.Press("See what would change")
	if text := b.Text(); !strings.Contains(text, "As head length in mm") {
		t.Fatalf("after trying:\n%s", text)
	}
	everyWidth(b, "questions-column")
}

// Doubts are decided by keys alone.
func TestDoubtsInABrowser(t *testing.T) {
	folder := demo(t)
	scanned(t, folder)
	address := serve(t, folder)
	b := visit(t, address, "/doubts")
	everyWidth(b, "doubts")
	b.Press("Start with the first")
	everyWidth(b, "doubts-first")
	for n := 0; !browser.Says[bool](b, `!!document.querySelector("[value=take]")`); n++ {
		if n > 30 {
			t.Fatal("nothing is suggested anywhere")
		}
		b.Keys("l")
	}
	everyWidth(b, "doubts-take")
	b.Keys("t")
	b.Keys("y")
	b.Type("#why", "field book, page 12")
	b.Type("#who", "Ines Varga")
	b.Enter("#who")
	if text := b.Text(); !strings.Contains(text, "the suggestion was taken") {
		t.Fatalf("after deciding:\n%s", text)
	}
	if who := browser.Says[string](b, `document.querySelector("#who")?.value ?? "Ines Varga"`); who != "Ines Varga" {
		t.Errorf("who decides is asked again: %q", who)
	}
	everyWidth(b, "doubts-next")
	if rs := given(t, folder); len(rs) != 1 || rs[0].Who != "Ines Varga" {
		t.Errorf("written: %+v", rs)
	}
	b.Go(address + "/doubts/decided")
	everyWidth(b, "doubts-decided")
	b.Go(address + "/doubts")
	b.Press("Start with the first")
	for n := 0; !browser.Says[bool](b, `!!document.querySelector("img.scan")`); n++ {
		if n > 40 {
			t.Fatal("no field sheet is shown")
		}
		b.Keys("l")
	}
	everyWidth(b, "doubts-scan")
	b.Go(address + "/doubts")
	b.Keys("u")
	if text := b.Text(); !strings.Contains(text, "Undone") || len(given(t, folder)) != 0 {
		t.Errorf("not taken back:\n%s", text)
	}
}

// A new user goes from a workbook that nobody has described to a proved archive
// by clicking and typing only.
func TestANewUsersWayInABrowser(t *testing.T) {
	folder := unmapped(t)
	b := visit(t, serve(t, folder), "/")
	b.Type("#title", "Frogs of Marrow Creek")
	b.Press("Read these sheets")
	for n := 0; browser.Says[bool](b, `!!document.querySelector(".ask")`); n++ {
		if n > 40 {
			t.Fatal("the questions never end")
		}
		b.PressAt(".ask [type=radio]")
		b.PressAt(".ask button")
	}
	if text := b.Text(); !strings.Contains(text, "There are no open questions") {
		t.Fatalf("after the questions:\n%s", text)
	}
	b.Press("Doubts")
	b.Press("Start with the first")
	for n := 0; browser.Says[bool](b, `!!document.querySelector(".decision")`) && n < 12; n++ {
		for _, do := range []string{"take", "confirm"} {
			if choice := "[name=do][value=" + do + "]"; browser.Says[bool](b, `!!document.querySelector("`+choice+`")`) {
				b.PressAt(choice)
				break
			}
		}
		b.Type("#why", "field book")
		if n == 0 {
			b.Type("#who", "Ines Varga")
		}
		b.Press("Decide")
		if text := b.Text(); !strings.Contains(text, "left.") {
			t.Fatalf("after decision %d:\n%s", n+1, text)
		}
	}
	if rs := given(t, folder); len(rs) < 10 {
		t.Errorf("only %d decisions were written", len(rs))
	}
	b.Press("Publish")
	everyWidth(b, "publish-before")
	b.Type("#description", "Frogs and toads caught by hand and released at once.")
	b.Type("#id", "https://marrow-creek.invalid/datasets/frogs-of-a-season")
	b.PressAt("[name=licence]")
	b.Type("#given-0", "Ines")
	b.Type("#family-0", "Varga")
	b.Press("Save the description")
	if text := b.Text(); !strings.Contains(text, "The description is complete.") {
		t.Fatalf("after the description:\n%s", text)
	}
	b.Press("Write and prove the archive")
	if text := b.Text(); !strings.Contains(text, "written and proved") {
		t.Fatalf("after the run:\n%s", text)
	}
	everyWidth(b, "publish-after")
	proof, err := prove.Path(t.Context(), filepath.Join(folder+"-published", "darwin-core.zip"), prove.Options{})
	if err != nil || need.Errors(proof.Findings) > 0 {
		t.Errorf("the archive does not hold: %v, %v", err, proof)
	}
}

// Two people look at one doubt in two browsers. The one who decides second is told
// that it is decided, and what the first one wrote stays; on two doubts both
// decisions are written.
func TestTwoBrowsersDecide(t *testing.T) {
	folder := season(t, 300, nil)
	address := serve(t, folder)
	one, two := visit(t, address, "/doubts"), visit(t, address, "/doubts")
	decide := func(b *browser.Tab, who string) string {
		t.Helper()
		b.Keys("t")
		b.Type("#why", "field book")
		b.Type("#who", who)
		b.Enter("#who")
		return b.Text()
	}
	one.Press("Start with the first")
	two.Press("Start with the first")
	if text := decide(one, "Ines Varga"); !strings.Contains(text, "the suggestion was taken") {
		t.Fatalf("the first browser:\n%s", text)
	}
	if text := decide(two, "Tom Okafor"); !strings.Contains(text, "This doubt no longer exists: it was decided") {
		t.Fatalf("the second browser:\n%s", text)
	}
	everyWidth(two, "doubts-decided-by-another")
	two.Go(address + "/doubts")
	two.Press("Start with the first")
	two.Press("later")
	if text := decide(two, "Tom Okafor"); !strings.Contains(text, "the suggestion was taken") {
		t.Fatalf("the second browser on another doubt:\n%s", text)
	}
	decide(one, "Ines Varga")
	rs := given(t, folder)
	if len(rs) != 3 || rs[0].Who != "Ines Varga" || rs[1].Who != "Tom Okafor" || rs[2].Who != "Ines Varga" {
		t.Errorf("written: %+v", rs)
	}
}

// A page that has to wait says so, and comes by itself.
func TestAPageComesWhenItIsReady(t *testing.T) {
	need.Fullest(t)
	var d *desk.Desk
	var still atomic.Bool // the page does not come by itself
	still.Store(true)
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		answer := httptest.NewRecorder()
		d.ServeHTTP(answer, r)
		maps.Copy(w.Header(), answer.Header())
		if still.Load() {
			w.Header().Del("Refresh")
		}
		w.WriteHeader(answer.Code)
		_, _ = w.Write(answer.Body.Bytes())
	}))
	t.Cleanup(s.Close)
	d = patient(t, season(t, 2_000, nil), time.Nanosecond, strings.TrimPrefix(s.URL, "http://"))
	b := visit(t, s.URL, "/season")
	if text := b.Text(); !strings.Contains(text, "The survey is being read") {
		t.Fatalf("at first:\n%s", text)
	}
	everyWidth(b, "wait")
	still.Store(false)
	b.Press("Reload")
	shows(t, b, "it never comes", `!!document.querySelector("button.copy")`)
	everyWidth(b, "season-marked")
	b.Go(s.URL + "/doubts")
	b.Press("Start with the first")
	b.Keys("t")
	b.Type("#why", "field book")
	b.Type("#who", "Ines Varga")
	b.Enter("#who")
	if text := b.Text(); !strings.Contains(text, "being checked again") {
		t.Errorf("after a decision:\n%s", text)
	}
	everyWidth(b, "doubts-early")
	b.Go(s.URL + "/season")
	shows(t, b, "the season never comes again", `!!document.querySelector("button.copy")`)
	b.Press("Copy the table")
	if text := b.Text(); !strings.Contains(text, "Copied: ") && !strings.Contains(text, "does not let pages copy") {
		t.Errorf("after copying:\n%s", text)
	}
}

func TestPagesInABrowser(t *testing.T) {
	address := serve(t, demo(t))
	b := visit(t, address, "/questions")
	for _, path := range []string{"/questions", "/doubts", "/type-in", "/season", "/publish"} {
		b.Go(address + path)
		everyWidth(b, path[1:])
	}
}
