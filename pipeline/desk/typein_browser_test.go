package desk_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"spadefoot/pipeline/desk"
	"spadefoot/pipeline/record/need"
	"spadefoot/pipeline/record/need/browser"
)

// fill types the animal of a row of the spring form, and the session where it is
// asked for.
func fill(b *browser.Tab, session bool, n int, more map[int]string) {
	for i, text := range springRow(n, more) {
		if i > 14 || text == "" || !session && (i == 1 || i == 3 || i == 14) {
			continue
		}
		field := fmt.Sprintf("#f%d", i)
		if i == 1 {
			b.Choose(field, text) // the keys of a date hang on the language of the browser
			continue
		}
		b.Type(field, text)
	}
}

// shows waits until a script gives true.
func shows(t *testing.T, b *browser.Tab, what, script string) {
	t.Helper()
	for until := time.Now().Add(20 * time.Second); time.Now().Before(until); time.Sleep(30 * time.Millisecond) {
		if browser.Says[bool](b, script) {
			return
		}
	}
	t.Fatalf("%s; the page says:\n%s", what, b.Text())
}

func hasKept(n int) string {
	return fmt.Sprintf(`document.getElementById("n").textContent === "%d"`, n)
}

// What is doubted, expected and told is beside the field while a row is
// typed; a slip is asked about, and kept when a person says so.
func TestTypingInABrowser(t *testing.T) {
	folder := demo(t)
	address := serve(t, folder)
	b := visit(t, address, "/type-in")
	fill(b, true, 901, map[int]string{8: "253"})
	shows(t, b, "the slip is not doubted", `document.getElementById("d8").textContent.startsWith("Tibia length 253 mm is too large")`)
	shows(t, b, "nothing is expected", `/expected \d.* to \d.* mm/.test(document.getElementById("h8").textContent)`)
	shows(t, b, "the net is not told", `document.getElementById("h12").textContent.startsWith("Net 10.0 g")`)
	b.PressAt("#keep")
	shows(t, b, "the slip is not asked about", `!document.getElementById("anyway").hidden`)
	everyWidth(b, "type-in-doubt")
	b.Type("#f8", "25.3")
	shows(t, b, "the doubt stays", `document.getElementById("anyway").hidden && document.getElementById("d8").textContent === ""`)
	b.Enter("#f8")
	shows(t, b, "the row is not kept", hasKept(1))
	fill(b, false, 902, map[int]string{12: "131"})
	b.PressAt("#keep")
	shows(t, b, "the mass is not asked about", `!document.getElementById("anyway").hidden`)
	if !browser.Says[bool](b, `document.activeElement.id === "anyway"`) {
		t.Error("whoever types has to look for the button")
	}
	b.Enter("#anyway")
	shows(t, b, "the row is not kept", hasKept(2))
	if lines := typedFile(t, folder, "spring.csv"); len(lines) != 3 || lines[1][8] != "25.3" || lines[2][12] != "131" || lines[2][17] == "" {
		t.Errorf("%q", lines)
	}
	b.Press("3") // the number of the row
	if text := b.Text(); !strings.Contains(text, "Your changes will replace it") {
		t.Fatalf("the kept row:\n%s", text)
	}
	everyWidth(b, "type-in-change")
	b.Type("#f12", "14.0")
	b.PressAt("#keep")
	shows(t, b, "the change is not kept", `!document.querySelector("[name=was]") && !!document.getElementById("kept")?.textContent.includes("14.0")`)
	if lines := typedFile(t, folder, "spring.csv"); len(lines) != 3 || lines[2][12] != "14.0" {
		t.Errorf("after the change: %q", lines)
	}
	b.Go(address + "/season")
	shows(t, b, "the season lacks its tables", `document.body.innerText.includes("Sexes") && document.querySelectorAll("figure").length > 3`)
}

// Two browsers type into one form at once, and nothing of either is lost.
func TestTwoBrowsersType(t *testing.T) {
	folder := demo(t)
	address := serve(t, folder)
	one, two := visit(t, address, "/type-in"), visit(t, address, "/type-in")
	for n := range 4 {
		fill(one, n == 0, 910+n, nil)
		fill(two, n == 0, 920+n, nil)
		one.PressAt("#keep")
		two.PressAt("#keep")
		shows(t, one, "the first browser's row is not kept", fmt.Sprintf(`document.getElementById("kept").textContent.includes("MC24-%d")`, 910+n))
		shows(t, two, "the second browser's row is not kept", fmt.Sprintf(`document.getElementById("kept").textContent.includes("MC24-%d")`, 920+n))
	}
	seen := map[string]int{}
	for _, line := range typedFile(t, folder, "spring.csv")[1:] {
		seen[line[0]]++
	}
	for n := range 4 {
		for _, first := range []int{910, 920} {
			if key := fmt.Sprintf("MC24-%d", first+n); seen[key] != 1 {
				t.Errorf("%s stands there %d times", key, seen[key])
			}
		}
	}
}

// awayAtTimes is a desk that does not answer while away is set, and its address.
func awayAtTimes(t *testing.T, folder string, away *atomic.Bool) (address string) {
	t.Helper()
	need.Fullest(t)
	var d *desk.Desk
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if away.Load() {
			if c, _, err := http.NewResponseController(w).Hijack(); err == nil {
				c.Close() // as if nobody were there
			}
			return
		}
		d.ServeHTTP(w, r)
	}))
	t.Cleanup(s.Close)
	at := strings.TrimPrefix(s.URL, "http://")
	d = open(t, folder, at, strings.Replace(at, "127.0.0.1", browser.Elsewhere, 1))
	return s.URL
}

// A telephone asks without encryption, so that its browser cannot load the page
// without a connection. Rows that it holds are there again, and handed over once,
// when the page was closed and is opened anew.
func TestATelephoneHoldsRows(t *testing.T) {
	folder := demo(t)
	var away atomic.Bool
	address := strings.Replace(awayAtTimes(t, folder, &away), "127.0.0.1", browser.Elsewhere, 1)
	b := visit(t, address, "/type-in")
	b.Window(360, 740)
	if browser.Says[bool](b, `isSecureContext || !!navigator.serviceWorker`) {
		t.Fatal("this is no telephone at the pond")
	}
	fill(b, true, 941, nil)
	b.PressAt("#keep")
	shows(t, b, "the first row is not kept", hasKept(1))
	away.Store(true)
	for n := 942; n <= 943; n++ {
		fill(b, false, n, nil)
		b.PressAt("#keep")
		shows(t, b, "a row is not held", fmt.Sprintf(`document.getElementById("held").textContent.startsWith("%d row")`, n-941))
	}
	if text := b.Text(); !strings.Contains(text, "do not reload it before the desk answers") {
		t.Errorf("the page says:\n%s", text)
	}
	b.Fits("type-in-telephone")
	b.Keep("type-in-telephone")
	b.Leave()
	away.Store(false)
	b.Go(address + "/type-in")
	shows(t, b, "the rows are not handed over", hasKept(3))
	shows(t, b, "the page still holds rows", `Object.keys(localStorage).every(k => !k.startsWith("spadefoot-held:"))`)
	if lines := typedFile(t, folder, "spring.csv"); len(lines) != 4 || lines[2][0] != "MC24-942" || lines[3][0] != "MC24-943" {
		t.Errorf("%q", lines)
	}
}

// Without a connection rows are held in the browser, also over a page that is
// opened anew, and handed over once when the desk is back.
func TestRowsAreHeldWithoutAConnection(t *testing.T) {
	folder := demo(t)
	var away atomic.Bool
	address := awayAtTimes(t, folder, &away)
	b := visit(t, address, "/type-in")
	fill(b, true, 931, nil)
	b.PressAt("#keep")
	shows(t, b, "the first row is not kept", hasKept(1))
	if !browser.Says[bool](b, `!!navigator.serviceWorker`) {
		t.Fatal("the browser takes no script for the time without a connection")
	}
	shows(t, b, "the form is not kept in the browser", `!!navigator.serviceWorker.controller`)
	away.Store(true)
	for n := 932; n <= 934; n++ {
		more := map[int]string{}
		if n == 933 {
			more[8] = "253"
		}
		fill(b, false, n, more)
		b.PressAt("#keep")
		shows(t, b, "a row is not held", fmt.Sprintf(`document.getElementById("held").textContent.startsWith("%d row")`, n-931))
	}
	if lines := typedFile(t, folder, "spring.csv"); len(lines) != 2 {
		t.Errorf("%d lines while the desk was away", len(lines))
	}
	b.Go(address + "/type-in") // as this machine may, the form is there again
	shows(t, b, "the held rows are not shown again", `document.getElementById("held").textContent.startsWith("3 row")`)
	b.Window(360, 900)
	b.Fits("type-in-held")
	b.Accessible("type-in-held")
	b.Keep("type-in-held")
	away.Store(false)
	shows(t, b, "the rows are not handed over", hasKept(4))
	shows(t, b, "the page still holds rows", `Object.keys(localStorage).every(k => !k.startsWith("spadefoot-held:"))`)
	lines := typedFile(t, folder, "spring.csv")
	if len(lines) != 5 || lines[2][0] != "MC24-932" || lines[4][0] != "MC24-934" {
		t.Fatalf("%q", lines)
	}
	if !strings.HasPrefix(lines[3][17], "typed without a connection, to be checked: Tibia length 253") || lines[2][17] != "" {
		t.Errorf("what was not checked says %q and %q", lines[2][17], lines[3][17])
	}
}
