package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// Every topic fits a terminal and shows a command that does what it says.
func TestTopics(t *testing.T) {
	all, err := topics()
	if err != nil {
		t.Fatal(err)
	}
	for _, topic := range all {
		t.Run(topic.name, func(t *testing.T) {
			text, err := topic.text()
			if err != nil {
				t.Fatal(err)
			}
			for n, line := range strings.Split(text, "\n") {
				if utf8.RuneCountInString(line) > wide {
					t.Errorf("line %d is wider than %d columns: %s", n+1, wide, line)
				}
			}
			if i := strings.IndexFunc(text, func(r rune) bool { return r > unicode.MaxASCII }); i >= 0 && !isTable(topic.name) {
				t.Errorf("a console without UTF-8 does not show %q", text[i:min(len(text), i+20)])
			}
			shown := commandsShown(text)
			if len(shown) == 0 && !isTable(topic.name) {
				t.Error("no example")
			}
			runShown(t, shown)
		})
	}
}

func isTable(name string) bool {
	for _, t := range tableTopics {
		if t.name == name {
			return true
		}
	}
	return false
}

// shown is a command in a topic and what it must print.
type shown struct {
	args  []string
	parts []string
}

func commandsShown(text string) []shown {
	const prompt = "    $ spadefoot "
	var all []shown
	within := false
	for line := range strings.Lines(text) {
		line = strings.TrimRight(line, "\n")
		switch {
		case strings.HasPrefix(line, prompt):
			all = append(all, shown{args: strings.Fields(strings.TrimPrefix(line, prompt))})
			within = true
		case strings.TrimSpace(line) == "":
			within = false
		case within:
			s := &all[len(all)-1]
			s.parts = append(s.parts, strings.TrimSpace(line))
		}
	}
	return all
}

// runShown runs the commands of a topic one after the other in a folder with
// the bundled surveys; each must end well and print its parts.
func runShown(t *testing.T, commands []shown) {
	root, err := filepath.Abs("../../testdata")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	for _, survey := range []string{"demo", "notebook", "training"} {
		if err := os.CopyFS(survey, os.DirFS(filepath.Join(root, survey))); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range commands {
		var stdout, stderr bytes.Buffer
		if code := run(context.Background(), c.args, &stdout, &stderr); code != exitClean {
			t.Errorf("%v: exit code %d: %s", c.args, code, stderr.String())
		}
		for _, part := range c.parts {
			if !strings.Contains(stdout.String(), part) {
				t.Errorf("%v does not print %q but:\n%s", c.args, part, stdout.String())
			}
		}
	}
}

func TestHelpFindsTopicsVerbsAndRules(t *testing.T) {
	for _, c := range []struct {
		name string
		part string
		code int
	}{
		{"weighing", "from the scale's readings", exitClean},
		{"Weighing", "from the scale's readings", exitClean},
		{"run", "spadefoot run FOLDER", exitClean},
		{"tare-missing", "The bag of this animal was not weighed", exitClean},
		{"keys", "dataset.id", exitClean},
		{"units", "[oz_av]", exitClean},
		{"nothing-like-it", "no topic, verb or rule", exitCall},
	} {
		var stdout, stderr bytes.Buffer
		code := run(context.Background(), []string{"help", c.name}, &stdout, &stderr)
		if code != c.code || !strings.Contains(stdout.String()+stderr.String(), c.part) {
			t.Errorf("help %s: exit code %d, %s%s", c.name, code, stdout.String(), stderr.String())
		}
	}
}
