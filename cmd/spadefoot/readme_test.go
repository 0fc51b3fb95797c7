package main

import (
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

var updateReadme = flag.Bool("update-readme", false, "write what the commands of README.md print into it anew")

// README.md is short, begins with the two commands, and what it shows of the
// first season is what the program prints. The lines of files that it shows
// are in the files.
func TestReadme(t *testing.T) {
	root, err := filepath.Abs(filepath.Join("..", ".."))
	if err != nil {
		t.Fatal(err)
	}
	written, err := os.ReadFile(filepath.Join(root, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	for _, survey := range []string{"demo", "first-season"} {
		if err := os.CopyFS(filepath.Join("testdata", survey), os.DirFS(filepath.Join(root, "testdata", survey))); err != nil {
			t.Fatal(err)
		}
	}
	page := readPage(t, string(written))
	if want := []string{"go run ./cmd/spadefoot run testdata/demo --out out", "go test ./..."}; len(page.bare) < 2 || !slices.Equal(page.bare[:2], want) {
		t.Errorf("the first commands are %v", page.bare)
	}
	if n := strings.Count(page.text, "\n"); n > 150 {
		t.Errorf("%d lines, want 150 or fewer", n)
	}
	if page.commands < 8 {
		t.Errorf("%d commands were run", page.commands)
	}
	named := 0
	_, table, _ := strings.Cut(page.text, "| to | read `spadefoot help` … |\n")
	table, _, _ = strings.Cut(table, "\n\n")
	for line := range strings.Lines(table) {
		for i, name := range strings.Split(line, "`") {
			if _, found := findTopic(name); i%2 == 1 && !found {
				t.Errorf("README.md names the topic %q, which there is not", name)
			}
			named += i % 2
		}
	}
	if all, _ := topics(); named < len(all) {
		t.Errorf("README.md names %d topics of %d", named, len(all))
	}
	if *updateReadme {
		if err := os.WriteFile(filepath.Join(root, "README.md"), []byte(page.text), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if page.text != string(written) {
		was, is := strings.Split(string(written), "\n"), strings.Split(page.text, "\n")
		for i := range min(len(was), len(is)) {
			if was[i] != is[i] {
				t.Fatalf("line %d of README.md says\n%s\nand the program\n%s\ngo test ./cmd/spadefoot -run Readme -update-readme writes it anew", i+1, was[i], is[i])
			}
		}
		t.Fatal("README.md and what the program prints differ in length")
	}
}

// page is README.md with the output that its commands really have.
type page struct {
	text     string
	bare     []string // lines of blocks without a prompt
	commands int
}

func readPage(t *testing.T, text string) page {
	t.Helper()
	var p page
	var b strings.Builder
	fence := ""
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(line, "\n")
		switch command, prompt := strings.CutPrefix(line, "$ "); {
		case strings.HasPrefix(line, "```"):
			if fence == "" {
				fence = line
			} else {
				fence = ""
			}
		case fence == "```yaml":
			if !inDecided(t, line) {
				t.Errorf("%q stands in no file of testdata/first-season/decided", line)
			}
		case fence == "```" && prompt:
			p.commands++
			b.WriteString(line + "\n" + printed(t, command))
			fence = "output"
			continue
		case fence == "output" && prompt:
			p.commands++
			b.WriteString(line + "\n" + printed(t, command))
			continue
		case fence == "output":
			continue // what was printed when README.md was written
		case fence == "```":
			p.bare = append(p.bare, line)
		}
		b.WriteString(line + "\n")
	}
	p.text = b.String()
	return p
}

// inDecided reports whether a line is in a file of the first season.
func inDecided(t *testing.T, line string) bool {
	files, err := filepath.Glob(filepath.Join("testdata", "first-season", "decided", "*"))
	if err != nil {
		t.Fatal(err)
	}
	return slices.ContainsFunc(files, func(path string) bool {
		b, err := os.ReadFile(path)
		return err == nil && strings.Contains("\n"+string(b), "\n"+line+"\n")
	})
}

// printed runs a command of README.md: the program, or cp.
func printed(t *testing.T, command string) string {
	t.Helper()
	words := split(command)
	switch words[0] {
	case "spadefoot":
		code, stdout, stderr := called(words[1:]...)
		if code != exitClean {
			t.Errorf("%s: exit code %d: %s", command, code, stderr)
		}
		return stdout
	case "cp":
		to := words[len(words)-1]
		for _, from := range words[1 : len(words)-1] {
			b, err := os.ReadFile(from)
			if err == nil {
				err = os.WriteFile(filepath.Join(to, filepath.Base(from)), b, 0o644)
			}
			if err != nil {
				t.Fatal(err)
			}
		}
	default:
		t.Errorf("README.md shows %q", command)
	}
	return ""
}
