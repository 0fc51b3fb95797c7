package report_test

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"spadefoot/pipeline/record/need"
)

// tab is a page in headless Chromium.
type tab struct {
	t   *testing.T
	ctx context.Context
}

// open shows a file. The test fails if the page asks for anything beside it.
func open(t *testing.T, file string) *tab {
	t.Helper()
	options := []chromedp.ExecAllocatorOption{
		chromedp.ExecPath(need.Tool(t, "chromium")), chromedp.UserDataDir(t.TempDir()),
		chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun,
	}
	for _, name := range []string{"disable-quic", "disable-background-networking", "disable-component-update", "disable-sync"} {
		options = append(options, chromedp.Flag(name, true))
	}
	ctx, stop := chromedp.NewExecAllocator(t.Context(), options...)
	ctx, stopTab := chromedp.NewContext(ctx)
	var lock sync.Mutex
	var asked []string
	t.Cleanup(func() {
		end, done := context.WithTimeout(ctx, 10*time.Second)
		defer done()
		_ = chromedp.Cancel(end)
		stopTab()
		stop()
		lock.Lock()
		defer lock.Unlock()
		for _, url := range asked {
			if !strings.HasPrefix(url, "file://"+file) && !strings.HasPrefix(url, "data:") {
				t.Errorf("the page asks for %s", url)
			}
		}
	})
	b := &tab{t, ctx}
	err := chromedp.Listen(ctx, func(e any) {
		if r, ok := e.(*network.EventRequestWillBeSent); ok {
			lock.Lock()
			defer lock.Unlock()
			asked = append(asked, r.Request.URL)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	b.do(chromedp.Navigate("file://"+file), chromedp.WaitReady(chromedp.CSS("main")))
	return b
}

func (b *tab) limit() (context.Context, context.CancelFunc) {
	return context.WithTimeout(b.ctx, 60*time.Second)
}

func (b *tab) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	ctx, done := b.limit()
	defer done()
	if err := chromedp.Do(ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

func get[T any](b *tab, a chromedp.Action[T]) T {
	b.t.Helper()
	ctx, done := b.limit()
	defer done()
	v, err := chromedp.Run(ctx, a)
	if err != nil {
		b.t.Fatal(err)
	}
	return v
}

// says evaluates a script.
func says[T any](b *tab, script string) T {
	b.t.Helper()
	return get(b, chromedp.Evaluate[T](script))
}

// scheme emulates a light or a dark screen.
func (b *tab) scheme(value string) {
	b.t.Helper()
	ctx, done := b.limit()
	defer done()
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: value}}}); err != nil {
		b.t.Fatal(err)
	}
}

// inWindow reports whether an element stands within the window.
func (b *tab) inWindow(id string) bool {
	b.t.Helper()
	return says[bool](b, fmt.Sprintf(`(() => { const r = document.getElementById(%q).getBoundingClientRect();
		return r.bottom > 0 && r.top < innerHeight && r.width > 0; })()`, id))
}

func (b *tab) hash() string { b.t.Helper(); return says[string](b, `location.hash.slice(1)`) }

func TestInABrowser(t *testing.T) {
	b := open(t, demoReport(t))
	if title := get(b, chromedp.Title()); !strings.Contains(title, "survey report") {
		t.Errorf("title %q", title)
	}
	for _, width := range []int64{1200, 400} {
		b.do(chromedp.EmulateViewport(width, 800))
		if wide := says[int64](b, `document.documentElement.scrollWidth`); wide > width {
			t.Errorf("the page is %d wide in a window of %d", wide, width)
		}
	}
	b.do(chromedp.EmulateViewport(1200, 800))
	thereAndBack(t, b)
	colours := func() string {
		return says[string](b, `getComputedStyle(document.body).backgroundColor + getComputedStyle(document.body).color`)
	}
	b.scheme("light")
	light := colours()
	b.scheme("dark")
	if dark := colours(); light == dark {
		t.Errorf("light and dark look the same: %s", dark)
	}
	pdf := get(b, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize()))
	if len(pdf) < 20_000 || !strings.HasPrefix(string(pdf), "%PDF") {
		t.Errorf("%d bytes of PDF", len(pdf))
	}
}

// thereAndBack follows the first link from a finding to its point with the
// mouse, and the point's link back with the keyboard.
func thereAndBack(t *testing.T, b *tab) {
	t.Helper()
	const first = `article a[href*="-point-"]`
	point := says[string](b, fmt.Sprintf(`document.querySelector('%s').getAttribute('href').slice(1)`, first))
	b.do(chromedp.Click(chromedp.CSS(first)))
	if at := b.hash(); at != point || !b.inWindow(point) {
		t.Errorf("the link led to %q, want %q in the window", at, point)
	}
	b.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`document.getElementById(%q).focus()`, point)), chromedp.KeyEvent("\r"))
	back := says[string](b, fmt.Sprintf(`document.getElementById(%q).getAttribute('href').slice(1)`, point))
	if at := b.hash(); at != back || !strings.HasPrefix(back, "finding-") || !b.inWindow(back) {
		t.Errorf("the point's link led to %q, want %q in the window", at, back)
	}
}

// TestAccessible runs axe-core, whose script SPADEFOOT_AXE names, in the page,
// light and dark, wide and narrow.
func TestAccessible(t *testing.T) {
	path := os.Getenv("SPADEFOOT_AXE")
	if path == "" {
		if os.Getenv("SPADEFOOT_REQUIRE") == "all" {
			t.Fatal("SPADEFOOT_AXE does not name axe.min.js of the npm package axe-core")
		}
		t.Skip("SPADEFOOT_AXE does not name axe.min.js of the npm package axe-core")
	}
	script, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for name, file := range map[string]string{"demo": demoReport(t), "season": seasonReport(t, 300)} {
		b := open(t, file)
		b.do(chromedp.EmulateViewport(1100, 900), chromedp.Evaluate[chromedp.Void](string(script)),
			chromedp.Evaluate[chromedp.Void](`document.querySelectorAll('details').forEach(d => d.open = true)`))
		for _, view := range []struct {
			scheme string
			width  int64
		}{{"light", 1100}, {"dark", 1100}, {"light", 400}} {
			b.scheme(view.scheme)
			b.do(chromedp.EmulateViewport(view.width, 900))
			audit(t, b, fmt.Sprintf("%s, %s, %d wide", name, view.scheme, view.width))
		}
	}
}

func audit(t *testing.T, b *tab, name string) {
	t.Helper()
	text := get(b, chromedp.Evaluate[string](`axe.run(document, {resultTypes: ['violations']}).then(r =>
		JSON.stringify({passes: r.passes.length, violations: r.violations}))`, chromedp.EvalAwaitPromise))
	var result struct {
		Passes     int
		Violations []struct {
			ID, Impact, Help string
			Nodes            []struct{ HTML string }
		}
	}
	if err := json.Unmarshal([]byte(text), &result); err != nil {
		t.Fatal(err)
	}
	if result.Passes < 15 {
		t.Errorf("%s: only %d rules were tried", name, result.Passes)
	}
	for _, v := range result.Violations {
		t.Errorf("%s: %s (%s): %s: %d times, first %.300s", name, v.ID, v.Impact, v.Help, len(v.Nodes), v.Nodes[0].HTML)
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
			b.scheme(view.scheme)
			b.do(chromedp.EmulateViewport(view.width, 900))
			keep(name+"-"+view.name+".png", get(b, chromedp.FullScreenshot(100)))
		}
		b.scheme("light")
		b.do(chromedp.EmulateViewport(1000, 1000))
		keep(name+"-top.png", get(b, chromedp.CaptureScreenshot()))
		keep(name+".pdf", get(b, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize())))
		pdf := filepath.Join(dir, name)
		if out, err := exec.Command(need.Tool(t, "pdftoppm"), "-r", "60", "-png", pdf+".pdf", pdf+"-print").CombinedOutput(); err != nil {
			t.Errorf("%v: %s", err, out)
		}
	}
}
