package report_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
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

// inWindow reports whether an element is within the window.
func inWindow(b *browser.Tab, id string) bool {
	return browser.Says[bool](b, fmt.Sprintf(`(() => { const r = document.getElementById(%q).getBoundingClientRect();
		return r.bottom > 0 && r.top < innerHeight && r.width > 0; })()`, id))
}

func hash(b *browser.Tab) string { return browser.Says[string](b, `location.hash.slice(1)`) }

func TestInABrowser(t *testing.T) {
	need.Fullest(t)
	b := open(t, demoReport(t))
	if title := browser.Get(b, chromedp.Title()); !strings.Contains(title, "survey report") {
		t.Errorf("title %q", title)
	}
	for _, width := range []int64{1200, 400, 360} {
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
	pdf := browser.Get(b, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperA4)))
	if pages := len(leaf.FindAll(pdf, -1)); pages < 5 || pages > 12 || !strings.HasPrefix(string(pdf), "%PDF") {
		t.Errorf("the demo is printed on %d pages of A4", pages)
	}
}

// leaf is what a PDF says of each page.
var leaf = regexp.MustCompile(`/Type /Page\b`)

// narrow finds what is cut off at the right of the page, or has to be scrolled to,
// and words that are broken. Only the data of pictures as CSV may be scrolled.
const narrow = `(() => {
  document.querySelectorAll("details").forEach(d => d.open = true);
  const out = [...document.querySelectorAll("main *")].filter(e => {
    const r = e.getBoundingClientRect();
    return r.width > 0 && !e.closest("svg, pre") && r.right > innerWidth + 0.5;
  }).map(e => "cut off: " + e.tagName + " " + e.textContent.slice(0, 40));
  const texts = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT);
  for (let n; n = texts.nextNode();) {
    if (n.parentElement.closest("svg, pre, .hash")) continue;
    for (const word of n.data.matchAll(/[\p{L}\p{N}]+/gu)) {
      const r = document.createRange();
      r.setStart(n, word.index);
      r.setEnd(n, word.index + word[0].length);
      if (new Set([...r.getClientRects()].map(b => Math.round(b.top))).size > 1) out.push("broken: " + word[0]);
    }
  }
  return out.slice(0, 12);
})()`

// labelled finds labels of points that lie over marks: by the boxes of both, of
// which the borders may touch: the box of a number has 4 pixels of air.
const labelled = `(() => {
  const out = {marks: 0, labels: 0, over: []};
  for (const svg of document.querySelectorAll("svg")) {
    const marks = [];
    for (const p of svg.querySelectorAll("path:not(.k3, .k5, .k6)")) // axes and grids
      for (const d of p.getAttribute("d").split(/(?=M)/)) {
        const one = p.cloneNode();
        one.setAttribute("d", d);
        p.parentNode.append(one);
        const r = one.getBBox();
        one.remove();
        if (r.width < 14 && r.height < 14) marks.push(r);
      }
    out.marks += marks.length;
    for (const t of svg.querySelectorAll("a text")) {
      out.labels++;
      const b = t.getBBox();
      const under = marks.find(r => Math.min(b.x + b.width, r.x + r.width) - Math.max(b.x, r.x) > 1 && Math.min(b.y + b.height, r.y + r.height) - Math.max(b.y, r.y) > 4);
      if (under) out.over.push([svg.querySelector("title").textContent, t.textContent, b.x, b.y, b.width, b.height, "over", under.x, under.y, under.width, under.height].join(" "));
    }
  }
  return out;
})()`

// widely sets the page in a wide font, as it is set where none of those that it
// asks for is installed. It reports whether the wide one is.
const widely = `(() => {
  const s = document.createElement("style");
  s.textContent = "* { font-family: 'DejaVu Serif' !important } svg text { font-family: 'DejaVu Sans' !important }";
  document.head.append(s);
  const pen = document.createElement("canvas").getContext("2d");
  const long = (font, other) => { pen.font = "99px '" + font + "', " + other; return pen.measureText("Lithobates").width };
  return ["DejaVu Serif", "DejaVu Sans"].every(f => long(f, "monospace") == long(f, "serif"));
})()`

// At 360 pixels nothing is cut off, and in no picture does a label lie over a
// mark, whether the fonts are narrow or wide.
func TestPicturesAndNarrowPages(t *testing.T) {
	need.Fullest(t)
	for name, file := range map[string]string{"demo": demoReport(t), "season": seasonReport(t, 300)} {
		b := open(t, file)
		for _, font := range []string{"its own font", "a wide font"} {
			if font == "a wide font" && !browser.Says[bool](b, widely) {
				t.Fatal("the wide font is not installed: fonts-dejavu-core")
			}
			for _, width := range []int64{1200, 360} {
				b.Window(width, 800)
				if cut := browser.Says[[]string](b, narrow); len(cut) > 0 {
					t.Errorf("%s in %s at %d pixels: %q", name, font, width, cut)
				}
				found := browser.Says[struct {
					Marks, Labels int
					Over          []string
				}](b, labelled)
				if found.Marks < 100 || found.Labels < 10 || len(found.Over) > 0 {
					t.Errorf("%s in %s at %d pixels: %d marks, %d labels, over marks: %q", name, font, width, found.Marks, found.Labels, found.Over)
				}
			}
		}
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
