package report_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"spadefoot/pipeline/record/need"
	"spadefoot/pipeline/record/need/browser"
)

// open shows a file. The test fails if the page asks for anything beside it.
func open(t *testing.T, file string) *browser.Tab {
	t.Helper()
	return browser.Open(t, "file://"+file, "file://"+file)
}

// inWindow reports whether an element stands within the window.
func inWindow(b *browser.Tab, id string) bool {
	return browser.Says[bool](b, fmt.Sprintf(`(() => { const r = document.getElementById(%q).getBoundingClientRect();
		return r.bottom > 0 && r.top < innerHeight && r.width > 0; })()`, id))
}

func hash(b *browser.Tab) string { return browser.Says[string](b, `location.hash.slice(1)`) }

func TestInABrowser(t *testing.T) {
	b := open(t, demoReport(t))
	if title := browser.Get(b, chromedp.Title()); !strings.Contains(title, "survey report") {
		t.Errorf("title %q", title)
	}
	for _, width := range []int64{1200, 400} {
		b.Window(width, 800)
		if wide := browser.Says[int64](b, `document.documentElement.scrollWidth`); wide > width {
			t.Errorf("the page is %d wide in a window of %d", wide, width)
		}
	}
	b.Window(1200, 800)
	thereAndBack(t, b)
	colours := func() string {
		return browser.Says[string](b, `getComputedStyle(document.body).backgroundColor + getComputedStyle(document.body).color`)
	}
	b.Scheme("light")
	light := colours()
	b.Scheme("dark")
	if dark := colours(); light == dark {
		t.Errorf("light and dark look the same: %s", dark)
	}
	pdf := browser.Get(b, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize()))
	if len(pdf) < 20_000 || !strings.HasPrefix(string(pdf), "%PDF") {
		t.Errorf("%d bytes of PDF", len(pdf))
	}
}

// thereAndBack follows the first link from a finding to its point with the
// mouse, and the point's link back with the keyboard.
func thereAndBack(t *testing.T, b *browser.Tab) {
	t.Helper()
	const first = `article a[href*="-point-"]`
	point := browser.Says[string](b, fmt.Sprintf(`document.querySelector('%s').getAttribute('href').slice(1)`, first))
	b.Do(chromedp.Click(chromedp.CSS(first)))
	if at := hash(b); at != point || !inWindow(b, point) {
		t.Errorf("the link led to %q, want %q in the window", at, point)
	}
	b.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`document.getElementById(%q).focus()`, point)), chromedp.KeyEvent("\r"))
	back := browser.Says[string](b, fmt.Sprintf(`document.getElementById(%q).getAttribute('href').slice(1)`, point))
	if at := hash(b); at != back || !strings.HasPrefix(back, "finding-") || !inWindow(b, back) {
		t.Errorf("the point's link led to %q, want %q in the window", at, back)
	}
}

// TestAccessible runs axe-core, whose script SPADEFOOT_AXE names, in the page,
// light and dark, wide and narrow.
func TestAccessible(t *testing.T) {
	need.Named(t, "SPADEFOOT_AXE") // axe.min.js of the npm package axe-core
	for name, file := range map[string]string{"demo": demoReport(t), "season": seasonReport(t, 300)} {
		b := open(t, file)
		b.Do(chromedp.Evaluate[chromedp.Void](`document.querySelectorAll('details').forEach(d => d.open = true)`))
		for _, view := range []struct {
			scheme string
			width  int64
		}{{"light", 1100}, {"dark", 1100}, {"light", 400}} {
			b.Scheme(view.scheme)
			b.Window(view.width, 900)
			what := fmt.Sprintf("%s, %s, %d wide", name, view.scheme, view.width)
			if n := b.Accessible(what); n < 15 {
				t.Errorf("%s: only %d rules were tried", what, n)
			}
		}
	}
}

// TestScreenshots saves what reports look like in the folder that
// SPADEFOOT_SHOTS names, for a person to look at: the demo's, a large
// season's, and those that SPADEFOOT_SHOTS_OF lists.
func TestScreenshots(t *testing.T) {
	dir := os.Getenv("SPADEFOOT_SHOTS")
	if dir == "" {
		t.Skip("SPADEFOOT_SHOTS names no folder")
	}
	reports := map[string]string{"demo": demoReport(t), "season": seasonReport(t, 5000)}
	for _, extra := range filepath.SplitList(os.Getenv("SPADEFOOT_SHOTS_OF")) {
		reports[filepath.Base(filepath.Dir(extra))] = extra
	}
	keep := func(name string, content []byte) {
		if err := os.WriteFile(filepath.Join(dir, name), content, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for name, file := range reports {
		b := open(t, file)
		for _, view := range []struct {
			name, scheme string
			width        int64
		}{{"light", "light", 1000}, {"dark", "dark", 1000}, {"narrow", "light", 400}} {
			b.Scheme(view.scheme)
			b.Window(view.width, 900)
			keep(name+"-"+view.name+".png", browser.Get(b, chromedp.FullScreenshot(100)))
		}
		b.Scheme("light")
		b.Window(1000, 1000)
		keep(name+"-top.png", browser.Get(b, chromedp.CaptureScreenshot()))
		keep(name+".pdf", browser.Get(b, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize())))
		pdf := filepath.Join(dir, name)
		if out, err := exec.Command(need.Tool(t, "pdftoppm"), "-r", "60", "-png", pdf+".pdf", pdf+"-print").CombinedOutput(); err != nil {
			t.Errorf("%v: %s", err, out)
		}
	}
}
