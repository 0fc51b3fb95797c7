// Package browser drives headless Chromium for tests of pages. Only tests
// import it; without Chromium they are skipped as need says.
package browser

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"spadefoot/pipeline/record/need"
)

// Tab is a page in headless Chromium.
type Tab struct {
	t   testing.TB
	ctx context.Context
}

// Elsewhere is a name of this machine that browsers take for another one, to which
// they speak without encryption.
const Elsewhere = "pond.invalid"

// Open shows an address. The test fails if a page asks for anything that does
// not begin with one of own, the data within the page apart.
func Open(t testing.TB, address string, own ...string) *Tab {
	t.Helper()
	options := []chromedp.ExecAllocatorOption{
		chromedp.ExecPath(need.Tool(t, "chromium")), chromedp.UserDataDir(t.TempDir()),
		chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun,
	}
	options = append(options, chromedp.Flag("host-resolver-rules", "MAP "+Elsewhere+" 127.0.0.1"))
	for _, name := range []string{"disable-quic", "disable-background-networking", "disable-component-update", "disable-sync"} {
		options = append(options, chromedp.Flag(name, true))
	}
	ctx, stop := chromedp.NewExecAllocator(context.Background(), options...)
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
			if !slices.ContainsFunc(append(own, "data:"), func(begin string) bool { return strings.HasPrefix(url, begin) }) {
				t.Errorf("the page asks for %s", url)
			}
		}
	})
	b := &Tab{t, ctx}
	err := chromedp.Listen(ctx, func(e any) {
		switch e := e.(type) {
		case *network.EventRequestWillBeSent:
			lock.Lock()
			defer lock.Unlock()
			asked = append(asked, e.Request.URL)
		case *page.EventJavascriptDialogOpening: // a page that asks before it is left
			go func() {
				_, _ = chromedp.Call(ctx, page.HandleJavaScriptDialog, page.HandleJavaScriptDialogParams{Accept: true}) // the page may be gone
			}()
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	b.Go(address)
	return b
}

// limit is how long one step may take.
const limit = 3 * time.Minute

// Do takes steps one after the other.
func (b *Tab) Do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	ctx, done := context.WithTimeout(b.ctx, limit)
	defer done()
	if err := chromedp.Do(ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

// Go shows another address.
func (b *Tab) Go(address string) {
	b.t.Helper()
	b.Do(chromedp.Navigate(address), chromedp.WaitReady(chromedp.CSS("main")))
}

// Leave closes the page as a person does who leaves it.
func (b *Tab) Leave() {
	b.t.Helper()
	b.Do(chromedp.Navigate("about:blank"))
}

// Get takes a step that gives a value.
func Get[T any](b *Tab, a chromedp.Action[T]) T {
	b.t.Helper()
	ctx, done := context.WithTimeout(b.ctx, limit)
	defer done()
	v, err := chromedp.Run(ctx, a)
	if err != nil {
		b.t.Fatal(err)
	}
	return v
}

// Says evaluates a script.
func Says[T any](b *Tab, script string) T {
	b.t.Helper()
	return Get(b, chromedp.Evaluate[T](script))
}

// Text is the text of the page.
func (b *Tab) Text() string { b.t.Helper(); return Says[string](b, `document.body.innerText`) }

// Window sets the size of the window.
func (b *Tab) Window(width, height int64) {
	b.t.Helper()
	b.Do(chromedp.EmulateViewport(width, height))
}

// Scheme emulates a light or a dark screen.
func (b *Tab) Scheme(value string) {
	b.t.Helper()
	ctx, done := context.WithTimeout(b.ctx, limit)
	defer done()
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: value}}}); err != nil {
		b.t.Fatal(err)
	}
}

// Press clicks the first visible link, button or choice that has the words, and waits for the
// page that it leads to if it leads to one.
func (b *Tab) Press(words string) {
	b.t.Helper()
	b.leave(fmt.Sprintf(`const want = %q; const all = [...document.querySelectorAll("a, button, summary, label, input[type=submit]")];
		const said = e => (e.innerText || e.value || "").replace(/\s+/g, " ").trim();
		const found = all.find(e => said(e) === want) || all.find(e => said(e).startsWith(want));
		if (!found) throw new Error("nothing to press says " + want + " on: " + document.body.innerText);
		found.click();`, words))
}

// PressAt clicks the element that a selector of CSS finds.
func (b *Tab) PressAt(selector string) {
	b.t.Helper()
	b.leave(fmt.Sprintf(`document.querySelector(%q).click();`, selector))
}

// leave runs a script that may leave the page, and waits until a page is whole.
func (b *Tab) leave(script string) {
	b.t.Helper()
	Says[bool](b, `(() => { `+script+` return true })()`)
	b.settle()
}

// settle waits until a page is whole, after what may have left it.
func (b *Tab) settle() {
	b.t.Helper()
	time.Sleep(50 * time.Millisecond)
	for until := time.Now().Add(limit); time.Now().Before(until); time.Sleep(20 * time.Millisecond) {
		ctx, done := context.WithTimeout(b.ctx, limit)
		whole, err := chromedp.Run(ctx, chromedp.Evaluate[bool](`document.readyState === "complete" && !!document.querySelector("main")`))
		done()
		if err == nil && whole {
			return
		}
	}
	b.t.Fatal("the page does not come to an end")
}

// Type writes into the field that a selector of CSS finds, in place of what is
// there, key by key.
func (b *Tab) Type(selector, text string) {
	b.t.Helper()
	Says[bool](b, fmt.Sprintf(`(() => { const f = document.querySelector(%q); f.focus(); if (f.select) f.select(); else f.value = ""; return true })()`, selector))
	b.Do(chromedp.SendKeys(chromedp.CSS(selector), text))
}

// Keys types a key with nothing in focus, and waits for the page that it leads
// to if it leads to one.
func (b *Tab) Keys(key string) {
	b.t.Helper()
	Says[bool](b, `(() => { document.activeElement.blur(); return true })()`)
	b.Do(chromedp.KeyEvent(key))
	b.settle()
}

// Enter sends the form of a field by the key Enter.
func (b *Tab) Enter(selector string) {
	b.t.Helper()
	b.Do(chromedp.SendKeys(chromedp.CSS(selector), "\r"))
	b.settle()
}

// Choose sets a drop-down or a choice of several to a value.
func (b *Tab) Choose(selector, value string) {
	b.t.Helper()
	Says[bool](b, fmt.Sprintf(`(() => { const f = document.querySelector(%q); f.value = %q; if (f.value !== %q) throw new Error("no such choice");
		f.dispatchEvent(new Event("input", {bubbles: true})); f.dispatchEvent(new Event("change", {bubbles: true})); return true })()`, selector, value, value))
}

// Fits fails the test where the page is wider than the window.
func (b *Tab) Fits(what string) {
	b.t.Helper()
	if wide := Says[[]int64](b, `[document.documentElement.scrollWidth, innerWidth]`); wide[0] > wide[1] {
		b.t.Errorf("%s is %d wide in a window of %d", what, wide[0], wide[1])
	}
}

// Accessible fails the test for what axe-core, the script at $SPADEFOOT_AXE,
// finds, and returns the number of rules that hold. Without it nothing is asked,
// unless SPADEFOOT_REQUIRE=all.
func (b *Tab) Accessible(what string) (passes int) {
	b.t.Helper()
	if os.Getenv("SPADEFOOT_AXE") == "" && os.Getenv("SPADEFOOT_REQUIRE") != "all" {
		return 0
	}
	script, err := os.ReadFile(need.Named(b.t, "SPADEFOOT_AXE"))
	if err != nil {
		b.t.Fatal(err)
	}
	b.Do(chromedp.Evaluate[chromedp.Void](string(script)))
	text := Get(b, chromedp.Evaluate[string](`axe.run(document, {resultTypes: ['violations']}).then(r =>
		JSON.stringify({passes: r.passes.length, violations: r.violations}))`, chromedp.EvalAwaitPromise))
	var result struct {
		Passes     int
		Violations []struct {
			ID, Impact, Help string
			Nodes            []struct{ HTML string }
		}
	}
	if err := json.Unmarshal([]byte(text), &result); err != nil {
		b.t.Fatal(err)
	}
	if result.Passes < 10 {
		b.t.Errorf("%s: only %d rules were tried", what, result.Passes)
	}
	for _, v := range result.Violations {
		b.t.Errorf("%s: %s (%s): %s: %d times, first %.300s", what, v.ID, v.Impact, v.Help, len(v.Nodes), v.Nodes[0].HTML)
	}
	return result.Passes
}

// Keep writes a picture of the whole page into the folder $SPADEFOOT_SCREENSHOTS,
// if there is one, for people to look at.
func (b *Tab) Keep(name string) {
	b.t.Helper()
	dir := os.Getenv("SPADEFOOT_SCREENSHOTS")
	if dir == "" {
		return
	}
	picture := Get(b, chromedp.FullScreenshot(100))
	if err := os.WriteFile(filepath.Join(dir, name+".png"), picture, 0o644); err != nil {
		b.t.Fatal(err)
	}
}
