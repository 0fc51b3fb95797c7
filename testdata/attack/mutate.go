package main

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// mutate damages files of a survey, runs it, and proves what was released. A run
// that fails must leave the earlier outputs as they were.
func mutate(a *attack) error {
	whole, err := a.surveyWithRemedies()
	if err != nil {
		return err
	}
	for ; a.goes(); a.tried++ {
		survey, out := filepath.Join(a.work, "survey"), filepath.Join(a.work, "out")
		if err := os.RemoveAll(survey); err != nil {
			return err
		}
		if err := os.CopyFS(survey, os.DirFS(whole)); err != nil {
			return err
		}
		if err := a.damage(survey); err != nil {
			return err
		}
		before, err := outputs(out)
		if err != nil && a.tried > 0 {
			return err
		}
		code, said := ended(a.program, "run", survey, "--out", out, "--quiet")
		a.codes[code]++
		if crashed(code, said) {
			a.failedAt(survey, "exit code %d: %s", code, said)
			continue
		}
		if err := os.MkdirAll(out, 0o755); err != nil {
			return err
		}
		after, err := outputs(out)
		if err != nil {
			return err
		}
		if code != 0 {
			if !maps.Equal(before, after) {
				a.failedAt(survey, "exit code %d, and the earlier outputs changed: %s", code, said)
			}
			continue
		}
		if code, said := ended(a.program, "prove", filepath.Join(out, "darwin-core.zip")); code != 0 {
			a.failedAt(survey, "what was released does not pass its proof (%d): %s", code, said)
		}
	}
	return nil
}

// surveyWithRemedies is the demo with its proposals, of which some are decided.
func (a *attack) surveyWithRemedies() (string, error) {
	whole := filepath.Join(a.work, "whole")
	if err := os.CopyFS(whole, os.DirFS(filepath.Join("testdata", "demo"))); err != nil {
		return "", err
	}
	if code, said := ended(a.program, "remedies", whole, "--quiet"); code != 0 {
		return "", fmt.Errorf("remedies: exit code %d: %s", code, said)
	}
	path := filepath.Join(whole, "remedies.csv")
	text, err := os.ReadFile(path)
	if err != nil {
		return "", err
	}
	decided := strings.NewReplacer("tare-missing,,,", "tare-missing,I. Varga,2024-09-02,weighed without a bag", ",\"17,0\",,", ",\"17,0\",confirm,").Replace(string(text))
	return whole, os.WriteFile(path, []byte(decided), 0o600)
}

// damage damages one or two files of a survey.
func (a *attack) damage(survey string) error {
	all, err := names(survey)
	if err != nil {
		return err
	}
	all = slices.DeleteFunc(all, func(path string) bool {
		return !slices.Contains([]string{".csv", ".yaml", ".xlsx"}, filepath.Ext(path))
	})
	for range 1 + a.random.IntN(6)/4 {
		path := all[a.random.IntN(len(all))]
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if filepath.Ext(path) == ".xlsx" && a.random.IntN(5) > 0 {
			if text, err = a.damagedPart(text); err != nil {
				return err
			}
		} else {
			text = a.damaged(text)
		}
		if err := os.WriteFile(path, text, 0o600); err != nil {
			return err
		}
	}
	return nil
}

// damagedPart damages one part of a workbook and packs it anew.
func (a *attack) damagedPart(book []byte) ([]byte, error) {
	z, err := zip.NewReader(bytes.NewReader(book), int64(len(book)))
	if err != nil {
		return a.damaged(book), nil // damaged before
	}
	chosen := a.random.IntN(max(1, len(z.File)))
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for i, f := range z.File {
		r, err := f.Open()
		if err != nil {
			return a.damaged(book), nil
		}
		text, err := io.ReadAll(r)
		r.Close()
		if err != nil {
			return a.damaged(book), nil
		}
		if i == chosen {
			text = a.damaged(text)
		}
		part, err := w.Create(f.Name)
		if err != nil {
			return nil, err
		}
		if _, err := part.Write(text); err != nil {
			return nil, err
		}
	}
	return out.Bytes(), w.Close()
}

// pieces are what damage puts in.
var pieces = []string{"=1+1", "NaN", "-5", "1e5", "0x1F", "1_000", "\x00", "\xff\xfe", "\x1b[31m", "\"", "'", ",", ";", "\n", "\r", "\t", "(", "((((((((", "<", "&#0;", "]]>",
	"999999999999999999999", "2023-02-30", "12/31/99", "١٢", "３４", "é", "\u202e", "*a", "&a ", "{", "[", "- ", ": ", "#", "null", "true", "../", "/dev/zero", "::error::", "Rana", "mm", "g", "%s"}

// damaged changes a text in one to eight places.
func (a *attack) damaged(text []byte) []byte {
	text = slices.Clone(text)
	for range 1 + a.random.IntN(8)/5*a.random.IntN(8) {
		if len(text) == 0 {
			return text
		}
		at := a.random.IntN(len(text))
		to := min(len(text), at+1+a.random.IntN(40))
		switch a.random.IntN(7) {
		case 0:
			text[at] ^= 1 << a.random.IntN(8)
		case 1:
			text = slices.Delete(text, at, to)
		case 2:
			text = slices.Insert(text, to, slices.Clone(text[at:to])...)
		case 3:
			text = slices.Insert(text, at, []byte(pieces[a.random.IntN(len(pieces))])...)
		case 4:
			text = slices.Replace(text, at, to, []byte(pieces[a.random.IntN(len(pieces))])...)
		case 5:
			text = a.exchangedLines(text)
		case 6:
			if a.random.IntN(3) == 0 { // rarely, since little is left to attack then
				text = text[:at]
			}
		}
	}
	return text
}

// exchangedLines puts one line in the place of another.
func (a *attack) exchangedLines(text []byte) []byte {
	lines := bytes.SplitAfter(text, []byte("\n"))
	i, k := a.random.IntN(len(lines)), a.random.IntN(len(lines))
	lines[i], lines[k] = lines[k], lines[i]
	return bytes.Join(lines, nil)
}
