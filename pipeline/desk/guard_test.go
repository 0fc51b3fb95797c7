package desk_test

import (
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/desk"
	"spadefoot/pipeline/record/need"
)

// changing are the addresses that change something, as the code names them.
func changing(t *testing.T) (paths []string) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(need.Root(t), "pipeline", "desk", "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile(`HandleFunc\("POST (/[^"]+)"`).FindAllStringSubmatch(string(text), -1) {
			paths = append(paths, regexp.MustCompile(`\{[^}]*\}`).ReplaceAllString(m[1], "x"))
		}
	}
	if len(paths) < 11 || !slices.Contains(paths, "/publish/run") {
		t.Fatalf("only %v", paths)
	}
	return paths
}

// Whatever changes something is refused without the secret in it, from another page
// and under another name, and nothing is written then.
func TestWhatChangesSomethingCarriesTheSecret(t *testing.T) {
	folder := demo(t)
	d := open(t, folder)
	before := filesOf(t, folder)
	for _, path := range changing(t) {
		for _, c := range []struct {
			what   string
			form   url.Values
			change func(*http.Request)
			status int
		}{
			{"no secret", url.Values{}, nil, http.StatusForbidden},
			{"a wrong secret", url.Values{"secret": {"guessed"}}, nil, http.StatusForbidden},
			{"a wrong header", url.Values{}, func(r *http.Request) { r.Header.Set("X-Desk-Secret", "guessed") }, http.StatusForbidden},
			{"the secret in the address", url.Values{}, func(r *http.Request) { r.URL.RawQuery = "secret=" + secret }, http.StatusForbidden},
			{"another page", url.Values{"secret": {secret}}, func(r *http.Request) { r.Header.Set("Origin", "http://pond.example") }, http.StatusForbidden},
			{"no cookie", url.Values{"secret": {secret}}, func(r *http.Request) { r.Header.Del("Cookie") }, http.StatusForbidden},
			{"another name", url.Values{"secret": {secret}}, func(r *http.Request) { r.Host = "pond.example" }, http.StatusMisdirectedRequest},
		} {
			if w := ask(d, request(http.MethodPost, path, c.form, c.change)); w.Code != c.status {
				t.Errorf("%s, %s: status %d, want %d", path, c.what, w.Code, c.status)
			}
		}
	}
	if now := filesOf(t, folder); !slices.Equal(now, before) {
		t.Errorf("the folder holds %q, before %q", now, before)
	}
	if _, err := os.Stat(folder + "-published"); !os.IsNotExist(err) {
		t.Errorf("something was published: %v", err)
	}
}

// filesOf are names and texts of the files of a folder.
func filesOf(t *testing.T, folder string) (out []string) {
	t.Helper()
	err := filepath.Walk(folder, func(path string, info os.FileInfo, err error) error {
		if err != nil || info.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		out = append(out, path+"\n"+string(text))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// A link that leads out of the folder is not followed.
func TestNoLinkLeadsOutOfTheFolder(t *testing.T) {
	folder, outside := demo(t), t.TempDir()
	if err := os.WriteFile(filepath.Join(outside, "a.png"), []byte("outside"), 0o644); err != nil {
		t.Fatal(err)
	}
	yaml := filepath.Join(folder, "survey.yaml")
	text, err := os.ReadFile(yaml)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(yaml, []byte(strings.Replace(string(text), "mapping: june.yaml}", "mapping: june.yaml, pages: scans}", 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, link := range []struct{ name, to string }{{"scans", outside}, {"more.yaml", filepath.Join(outside, "a.png")}, {"typed", outside}} {
		if err := os.Symlink(link.to, filepath.Join(folder, link.name)); err != nil {
			t.Skip(err)
		}
	}
	d := open(t, folder)
	if text, err := d.Read("more.yaml"); err == nil {
		t.Errorf("read %q", text.Bytes)
	}
	if err := d.Write(desk.Text{Name: "more.yaml"}, []byte("ours")); err == nil {
		t.Error("written")
	}
	if w := ask(d, request(http.MethodGet, "/doubts/page/2/0", nil, nil)); w.Code == http.StatusOK || strings.Contains(w.Body.String(), "outside") {
		t.Errorf("a picture: status %d, %s", w.Code, w.Body)
	}
	if a, code := sendRow(t, d, "/type-in/keep", map[string]any{"form": "spring", "row": rowID(1), "cells": springRow(901, nil)}); a.Kept {
		t.Errorf("a row was kept outside: status %d", code)
	}
	if entries, _ := os.ReadDir(outside); len(entries) != 1 {
		t.Errorf("outside there are %v", entries)
	}
}

// What a browser gets is loaded from nowhere else, and no page holds a script or a
// style.
func TestPagesHoldNoScript(t *testing.T) {
	d := open(t, demo(t))
	for _, path := range []string{"/questions", "/doubts", "/type-in", "/season", "/publish", "/questions/column?mapping=june.yaml&heading=LHC+(mm)", "/doubts/decided", "/nowhere"} {
		body := ask(d, request(http.MethodGet, path, nil, nil)).Body.String()
		body = regexp.MustCompile(`<script src="/web/[a-z-]+\.js" defer></script>`).ReplaceAllString(body, "")
		if m := regexp.MustCompile(`(?i)<script|<style|\sstyle=|\son[a-z]+=|(?:src|href|action)="(?:https?:)?//`).FindString(body); m != "" {
			t.Errorf("%s holds %q", path, m)
		}
	}
}
