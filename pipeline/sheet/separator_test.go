package sheet

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestSeparators(t *testing.T) {
	rows := func(s string) string { return s + strings.Repeat(s[strings.IndexByte(s, '\n')+1:], 5) }
	for _, test := range []struct {
		name, file, text, want string
		noted                  bool
	}{
		{"commas", "a.csv", rows("Tag,SVL,Notes\nA1,57.5,wet; cold\n"), ",", false},
		{"semicolons", "a.csv", rows("Tag;SVL;Notes\nA1;57,5;wet, cold\n"), ";", true},
		{"semicolons and many decimal commas", "a.csv", rows("Tag;SVL;Mass\n1,5;57,5;30,2\n"), ";", true},
		{"two columns of decimal commas", "a.csv", rows("SVL;Mass\n57,5;30,2\n"), ";", true},
		{"tabs", "a.tsv", rows("Tag\tSVL\tNotes\nA1\t57,5\twet, cold\n"), "\t", false},
		{"tabs under another name", "a.csv", rows("Tag\tSVL\nA1\t57,5\n"), "\t", true},
		{"bars", "a.txt", rows("Tag|SVL|Notes\nA1|57,5|wet; cold\n"), "|", true},
		{"commas in a text file", "a.txt", rows("Tag,SVL\nA1,5\n"), ",", true},
		{"separators inside quotes", "a.csv", rows("Tag,Notes\nA1,\"x;y;z\"\n"), ",", false},
		{"a semicolon inside the quotes of every row", "a.csv", "Tag,Notes\n" + strings.Repeat("A1,\"wet, cold; tail cut\"\n", 12), ",", false},
		{"title above", "a.csv", rows("Marrow Creek; spring; 2021\nTag,SVL,Mass\nA1,5,6\n"), ",", false},
		{"one column", "a.csv", rows("Tag\nA1\n"), ",", false},
		{"one column of a tab file", "a.tsv", rows("Tag\nA1\n"), "\t", false},
		{"notes with commas in a tab file", "a.tsv", rows("Tag\tNotes\nA1\ta, b, c\n"), "\t", false},
		{"line ends inside quotes", "a.csv", rows("Tag;Notes\nA1;\"x,\ny,\nz\"\n"), ";", true},
	} {
		s := readShape(test.file, []byte(test.text), true, 0)
		if s.separator != test.want {
			t.Errorf("%s: got %q with %d columns, want %q", test.name, s.separator, s.width, test.want)
		}
		if noted := len(s.report(test.file)) > 0; noted != test.noted {
			t.Errorf("%s: noted %v, confidence %v", test.name, noted, s.confidence)
		}
	}
}

func TestSeparatorGiven(t *testing.T) {
	s, fs, err := ReadText("a.csv", strings.NewReader("Tag¦SVL\nA1¦\"5¦7\"\n"), Options{Separator: '¦'})
	must(t, err)
	if d := cmp.Diff([]string{"1:Tag|SVL", "2:A1|5¦7"}, texts(s)); d != "" || len(fs) > 0 {
		t.Error(d, fs)
	}
}
