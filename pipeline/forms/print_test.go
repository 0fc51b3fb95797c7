package forms

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"spadefoot/pipeline/record/need"
)

// spill returns what reaches beyond the page or is cut off within its box.
const spill = `(() => {
  const out = [], width = document.body.getBoundingClientRect().width;
  if (document.documentElement.scrollWidth > Math.ceil(width)) out.push("the page is " + document.documentElement.scrollWidth + " wide, the paper " + width);
  for (const e of document.querySelectorAll("body *")) {
    const r = e.getBoundingClientRect();
    if (r.right > width + 0.5 || r.left < -3) out.push("beyond the paper: " + e.tagName + " " + e.textContent.slice(0, 40));
  }
  for (const e of document.querySelectorAll(".sheet, .title, .heads span, .field, .foot, .tools th")) {
    if (e.scrollHeight > e.clientHeight + 1 || e.scrollWidth > e.clientWidth + 1) out.push("cut off: " + e.className + " " + e.tagName + " " + e.textContent.slice(0, 40) + " " + e.scrollHeight + "/" + e.clientHeight + " " + e.scrollWidth + "/" + e.clientWidth);
  }
  return out;
})()`

// browser starts headless Chromium.
func browser(t *testing.T) context.Context {
	t.Helper()
	options := []chromedp.ExecAllocatorOption{chromedp.ExecPath(need.Tool(t, "chromium")), chromedp.UserDataDir(t.TempDir()),
		chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun}
	for _, name := range []string{"disable-background-networking", "disable-component-update", "disable-sync"} {
		options = append(options, chromedp.Flag(name, true))
	}
	ctx, stop := chromedp.NewExecAllocator(t.Context(), options...)
	ctx, stopTab := chromedp.NewContext(ctx)
	t.Cleanup(func() {
		end, done := context.WithTimeout(ctx, 10*time.Second)
		defer done()
		_ = chromedp.Cancel(end)
		stopTab()
		stop()
	})
	return ctx
}

// leaves finds the pages of a PDF and their sizes in points.
var leaves = regexp.MustCompile(`/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\]`)

// Chromium prints each sheet on one page of the right size, and nothing is
// wider than the paper or cut off.
func TestPrinted(t *testing.T) {
	need.Fullest(t)
	t.Parallel()
	tab := browser(t)
	for _, c := range []struct {
		name   string
		paper  Paper
		most   int // pages: two sheets, and the words
		change func(*Source)
	}{
		{"station on A4", A4, 3, nil},
		{"station on letter", Letter, 3, nil},
		{"three readings on letter", Letter, 3, func(s *Source) { s.Replicates = 3 }},
		{"all that strains it on A4", A4, 4, wide},
	} {
		file := filepath.Join(t.TempDir(), "page.html")
		if err := os.WriteFile(file, []byte(page(t, planned(t, c.change), c.paper)), 0o644); err != nil {
			t.Fatal(err)
		}
		ctx, stop := context.WithTimeout(tab, 30*time.Second)
		defer stop()
		if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"}); err != nil {
			t.Fatal(err)
		}
		width := int64(math.Ceil((c.paper.Width - 2*margin) / 25.4 * 96))
		if err := chromedp.Do(ctx, chromedp.EmulateViewport(width, 800), chromedp.Navigate("file://"+file)); err != nil {
			t.Fatal(err)
		}
		beyond, err := chromedp.Run(ctx, chromedp.Evaluate[[]string](spill))
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range beyond {
			t.Errorf("%s: %s", c.name, s)
		}
		pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize()))
		if err != nil {
			t.Fatal(err)
		}
		pages := leaves.FindAllSubmatch(pdf, -1)
		if len(pages) < 3 || len(pages) > c.most {
			t.Errorf("%s: %d pages, want 3 to %d", c.name, len(pages), c.most)
		}
		for _, p := range pages {
			w, _ := strconv.ParseFloat(string(p[1]), 64)
			h, _ := strconv.ParseFloat(string(p[2]), 64)
			if math.Abs(w/72*25.4-c.paper.Width) > 0.5 || math.Abs(h/72*25.4-c.paper.Height) > 0.5 {
				t.Errorf("%s: a page of %.1f by %.1f mm", c.name, w/72*25.4, h/72*25.4)
			}
		}
		shown(t, c.name, pdf)
	}
}

// shown keeps a PDF in the folder that SPADEFOOT_SHOTS names, for a person to
// look at.
func shown(t *testing.T, name string, pdf []byte) {
	t.Helper()
	dir := os.Getenv("SPADEFOOT_SHOTS")
	if dir == "" {
		return
	}
	if err := os.WriteFile(filepath.Join(dir, "field sheet, "+name+".pdf"), pdf, 0o644); err != nil {
		t.Fatal(err)
	}
}
