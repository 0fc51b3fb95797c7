package main

import (
	"io"
	"strings"
	"testing"

	"github.com/spf13/cobra"
)

// verbsOf are the verbs, with the program itself first.
func verbsOf() []*cobra.Command {
	root := program(io.Discard, io.Discard)
	return append([]*cobra.Command{root}, root.Commands()...)
}

// Every --help has two examples that do what they say, and fits a terminal.
func TestHelpOfEveryVerb(t *testing.T) {
	for _, verb := range verbsOf() {
		t.Run(verb.Name(), func(t *testing.T) {
			args := []string{verb.Name(), "--help"}
			if !verb.HasParent() {
				args = args[1:]
			}
			code, text, stderr := called(args...)
			if code != exitClean {
				t.Fatal(stderr)
			}
			if strings.Contains(text, "true|false") {
				t.Error("a flag without a value says true|false")
			}
			for line := range strings.Lines(text) {
				if len([]rune(line)) > wide+1 {
					t.Errorf("wider than %d columns: %s", wide, line)
				}
			}
			var commands []shown
			for line := range strings.Lines(verb.Example) {
				args, ok := strings.CutPrefix(strings.TrimSpace(line), "spadefoot ")
				if !ok || !strings.Contains(text, line) {
					t.Errorf("an example is %q", line)
				}
				commands = append(commands, shown{args: split(args)})
			}
			if len(commands) != 2 {
				t.Errorf("%d examples, want 2", len(commands))
			}
			switch verb.Name() {
			case "desk":
				return // it serves until it is interrupted; its own tests open it
			case "prove":
				commands = append([]shown{{args: split("run demo --out out")}}, commands...)
			}
			runShown(t, commands)
		})
	}
}

// split parts a command line into its words, as a shell does with quotation
// marks.
func split(line string) []string {
	var words []string
	for i, part := range strings.Split(line, `"`) {
		if i%2 == 1 {
			words = append(words, part)
		} else {
			words = append(words, strings.Fields(part)...)
		}
	}
	return words
}

// What the shell asks for are topics and rules after help, and words after flags
// that take some.
func TestCompletion(t *testing.T) {
	for _, c := range []struct {
		words []string
		want  string
	}{
		{[]string{"help", "weig"}, "weighing\nweighing-slip\n"},
		{[]string{"check", "demo", "--fail-on", ""}, "error\nwarning\nnote\nnever\n"},
		{[]string{"ru"}, "run\t"},
	} {
		if _, got, _ := called(append([]string{"__complete"}, c.words...)...); !strings.Contains(got, c.want) {
			t.Errorf("%v: %q does not hold %q", c.words, got, c.want)
		}
	}
}
