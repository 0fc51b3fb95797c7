package normalise

import (
	"fmt"
	"strings"
	"testing"
)

func TestMarksOfAnotherLength(t *testing.T) {
	from := func(first, n int, format string) (marks []string) {
		for i := range n {
			marks = append(marks, fmt.Sprintf(format, first+i))
		}
		return marks
	}
	for _, c := range []struct {
		name  string
		marks []string
		want  string
	}{
		{"all as long as each other", from(101, 60, "A%d"), ""},
		{"a digit twice", append(from(3001, 60, "%d"), "30177"), "B62 30177: the mark has 5 characters, but 60 of 61 in the table have 4"},
		{"a digit left out", append(from(3001, 60, "%d"), "307"), "B62 307: the mark has 3 characters, but 60 of 61 in the table have 4"},
		{"two of a hundred", append(from(3001, 100, "3D9.1C%d"), "3D9.1C303", "3D9.1C304"), "B102 3D9.1C303: the mark has 9 characters, but 100 of 102 in the table have 10\n" +
			"B103 3D9.1C304: the mark has 9 characters, but 100 of 102 in the table have 10"},
		{"a few marks", append(from(3001, 20, "%d"), "30177"), ""},
		{"numbers of all lengths", from(1, 120, "%d"), ""},
		{"the first mark past the others", from(940, 61, "A%d"), ""},
		{"numbers that begin below a thousand", append(from(1048, 100, "%d"), "405", "781"), ""},
		{"a zero left out", append(from(1048, 60, "0%d"), "1101"), "B62 1101: the mark has 4 characters, but 60 of 61 in the table have 5"},
		{"the last before the others", from(99, 60, "%d"), ""},
		{"a word", append(from(101, 60, "A%d"), "lost!"), ""},
		{"marks from elsewhere", append(from(101, 60, "A%d"), "NL-20177"), ""},
		{"no marks", make([]string, 60), ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			var lines []string
			for i, mark := range c.marks {
				lines = append(lines, fmt.Sprintf("%d|%s", i+1, mark))
			}
			_, fs := Table(sheet("No=recordNumber|Mark=organismID", lines...), context(t))
			var got []string
			for _, f := range fs {
				if f.Rule == "mark-length" {
					got = append(got, strings.TrimPrefix(f.At.String(), "frogs.csv, ")+" "+f.Value+": "+f.Reason)
				}
			}
			if got := strings.Join(got, "\n"); got != c.want {
				t.Errorf("got %s, want %s", got, c.want)
			}
		})
	}
}
