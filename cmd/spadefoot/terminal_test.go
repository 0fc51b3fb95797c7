package main

import (
	"bytes"
	"io"
	"testing"
	"testing/iotest"
)

func TestHarmlessText(t *testing.T) {
	for text, want := range map[string]string{
		"plain é 日\n":                       "plain é 日\n",
		"a\tb\n":                            "a\tb\n",
		"\x1b[31mred":                       `\u001b[31mred`,
		"\u009b31m":                         `\u009b31m`,
		"over\rwritten":                     `over\u000dwritten`,
		"txt\u202eexe":                      `txt\u202eexe`,
		"\xff\xfe":                          `\u00ff\u00fe`,
		"::error::x":                        `\::error::x`,
		"a\n  ::error::x\n":                 "a\n  \\::error::x\n",
		"a ::error::x":                      "a ::error::x",
		"##[group]x\n##vso[x]":              "\\##[group]x\n\\##vso[x]",
		"# Heading\n## Heading\n### More\n": "# Heading\n## Heading\n### More\n",
		"#":                                 "#",
		":":                                 ":",
	} {
		for name, r := range map[string]io.Reader{"whole": bytes.NewReader([]byte(text)), "by bytes": iotest.OneByteReader(bytes.NewReader([]byte(text)))} {
			var out bytes.Buffer
			h := harmless(&out)
			if _, err := io.Copy(struct{ io.Writer }{h}, struct{ io.Reader }{r}); err != nil {
				t.Fatal(err)
			}
			h.end()
			if out.String() != want {
				t.Errorf("%q, %s: got %q, want %q", text, name, out.String(), want)
			}
		}
	}
}
