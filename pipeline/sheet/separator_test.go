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
		{"codes with semicolons", "a.csv", rows("No,Rings (R;L),Wing\n1,RS;YG,97\n"), ",", false},
		{"bars", "a.txt", rows("Tag|SVL|Notes\nA1|57,5|wet; cold\n"), "|", true},
		{"commas in a text file", "a.txt", rows("Tag,SVL\nA1,5\n"), ",", true},
		{"separators inside quotes", "a.csv", rows("Tag,Notes\nA1,\"x;y;z\"\n"), ",", false},
		{"a semicolon inside the quotes of every row", "a.csv", "Tag,Notes\n" + strings.Repeat("A1,\"wet, cold; tail cut\"\n", 12), ",", false},
		{"title above", "a.csv", rows("Marrow Creek; spring; 2021\nTag,SVL,Mass\nA1,5,6\n"), ",", false},
		{"one column", "a.csv", rows("Tag\nA1\n"), ",", false},
		{"one column of a tab file", "a.tsv", rows("Tag\nA1\n"), "\t", false},
		{"notes with commas in a tab file", "a.tsv", rows("Tag\tNotes\nA1\ta, b, c\n"), "\t", false},
		{"ditto marks", "a.txt", "No\tDate\tSite\tSVL\n1\t3 May\tMill\t57,5\n" + strings.Repeat("2\t\"\t\"\t57,5\n3\t\"\tMill\t49,1\n4\t3 May\t\"\t50,2\n", 4), "\t", true},
		{"cells that begin and end with the separator", "a.csv", rows("Tag,Notes,Site\nA1,\",x,\",\",\"\n"), ",", false},
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

// TestTextWithoutSeparators has tables whose cells are parted by blanks or stand
// under each other, and text that is not a table.
func TestTextWithoutSeparators(t *testing.T) {
	aligned := "date       loc   sp             SVL  notes\n" +
		"09-Sep-12  B1    Rana arvalis   32.7 under a log\n" +
		"20-Apr-10        Rana ridibunda  8.1\n" +
		"2-May-10   C7    Rana arvalis    9.5\n" +
		"12-May-10  C7    Rana lessonae  48   gravid, eye dull\n" +
		"13-May-10  C7    Rana lessonae  51\n"
	for _, test := range []struct {
		name, text string
		want       [][]string
	}{
		{"blanks", "No Sex SVL\n1 M 55.2\n2 F  61.0\n3 F\t58\n", [][]string{{"No", "Sex", "SVL"}, {"1", "M", "55.2"}, {"2", "F", "61.0"}, {"3", "F", "58"}}},
		{"blanks and quotation marks", "No Sp SVL\n1 \"Rana arvalis\" 55.2\n2 \"the \"\"big\"\" one\" 61.0\n3 x 58\n",
			[][]string{{"No", "Sp", "SVL"}, {"1", "Rana arvalis", "55.2"}, {"2", `the "big" one`, "61.0"}, {"3", "x", "58"}}},
		{"blanks and names of rows", "sp svl mass\nA1 \"Rana arvalis\" 55.2 11\nA2 \"Rana arvalis\" 61.0 12\nA3 x 58 13\n",
			[][]string{{"", "sp", "svl", "mass"}, {"A1", "Rana arvalis", "55.2", "11"}, {"A2", "Rana arvalis", "61.0", "12"}, {"A3", "x", "58", "13"}}},
		{"commas and names of rows", "sp,svl\n1,Rana arvalis,55.2\n2,Rana arvalis,61.0\n3,Bufo bufo,58\n",
			[][]string{{"", "sp", "svl"}, {"1", "Rana arvalis", "55.2"}, {"2", "Rana arvalis", "61.0"}, {"3", "Bufo bufo", "58"}}},
		{"no names: the numbers have a heading", "No,svl\n1,55.2,wet\n2,61.0,wet\n3,58,dry\n", [][]string{{"No", "svl"}, {"1", "55.2", "wet"}, {"2", "61.0", "wet"}, {"3", "58", "dry"}}},
		{"no names: remarks without a heading", "sp,svl\nx,55.2,wet\ny,61.0\nz,58,\nx,60,\n", [][]string{{"sp", "svl"}, {"x", "55.2", "wet"}, {"y", "61.0"}, {"z", "58", ""}, {"x", "60", ""}}},
		{"columns of fixed width", aligned, [][]string{{"date", "loc", "sp", "SVL", "notes"}, {"09-Sep-12", "B1", "Rana arvalis", "32.7", "under a log"}, {"20-Apr-10", "", "Rana ridibunda", "8.1", ""},
			{"2-May-10", "C7", "Rana arvalis", "9.5", ""}, {"12-May-10", "C7", "Rana lessonae", "48", "gravid, eye dull"}, {"13-May-10", "C7", "Rana lessonae", "51", ""}}},
		{"a title above", "Searches, Bear Run, 2010\n\n" + aligned, nil},
		{"columns of fixed width, each with a blank in one cell", "Ring   Species        Wing\nAB101  Parus major    76.5\nAB102  Parus ater     61.0\nAB103  Parus major    75.0\n",
			[][]string{{"Ring", "Species", "Wing"}, {"AB101", "Parus major", "76.5"}, {"AB102", "Parus ater", "61.0"}, {"AB103", "Parus major", "75.0"}}},
		{"columns of fixed width and decimal commas", "Ring   Day           Wing  Tarsus\nAB101  May 3, 2021   76,5  19,5\nAB102  May 3, 2021   61,0  20,0\nAB103  May 14, 2021  75,0  18,5\n",
			[][]string{{"Ring", "Day", "Wing", "Tarsus"}, {"AB101", "May 3, 2021", "76,5", "19,5"}, {"AB102", "May 3, 2021", "61,0", "20,0"}, {"AB103", "May 14, 2021", "75,0", "18,5"}}},
		{"blanks and decimal commas", "Ring Wing Mass\nA1 76,5 19,5\nA2 61,0 20,0\nA3 75,0 18,5\n", [][]string{{"Ring", "Wing", "Mass"}, {"A1", "76,5", "19,5"}, {"A2", "61,0", "20,0"}, {"A3", "75,0", "18,5"}}},
		{"commas and blanks under a title", "Three word title\nRing, Sex, Wing\nA1, M, 76\nA2, F, 61\nA3, F, 75\n",
			[][]string{{"Three word title"}, {"Ring", " Sex", " Wing"}, {"A1", " M", " 76"}, {"A2", " F", " 61"}, {"A3", " F", " 75"}}},
		{"commas under a title, with blanks in the cells", "Bear Run birds\nRing no,Day,Wing\n1,3 May 2021,76\n2,3 May 2021,61\n3,4 May 2021,75\n",
			[][]string{{"Bear Run birds"}, {"Ring no", "Day", "Wing"}, {"1", "3 May 2021", "76"}, {"2", "3 May 2021", "61"}, {"3", "4 May 2021", "75"}}},
		{"one column of numbers with decimal commas", "svl\n27,9\n27,8\n22\n62,8\n", [][]string{{"svl"}, {"27,9"}, {"27,8"}, {"22"}, {"62,8"}}},
		{"decimal commas, and sentences", "datum   soort          romp   gewicht\n12-03   heikikker      58,5   19,2\n12-03   bruine kikker  71,0   38,5\n15-03   gewone pad     64,3   34,0\n" +
			"v = vrouw, m = man; gewicht in gram, zakje al afgetrokken\n",
			[][]string{{"datum", "soort", "romp", "gewicht"}, {"12-03", "heikikker", "58,5", "19,2"}, {"12-03", "bruine kikker", "71,0", "38,5"}, {"15-03", "gewone pad", "64,3", "34,0"},
				{"v = vrouw, m = man; gewicht in gram, zakje al afgetrokken"}}},
		{"commas and blanks", "id, svl, mass\n1, 52.5, 20.1\n2, 61.0, 31.4\n3, 58, 22\n", [][]string{{"id", " svl", " mass"}, {"1", " 52.5", " 20.1"}, {"2", " 61.0", " 31.4"}, {"3", " 58", " 22"}}},
		{"columns of fixed width, one row with a blank cell", "No  Sex  Age  Mass\n1   F    2.0  57.8\n2   M    3.0  61.0\n3        2.0  55.1\n4   F    4.0  66.2\n5   F    4.0  66.2\n6   M    4.0  66.2\n7   F    4.0  66.2\n8   F    4.0  66.2\n9   F    4.0  66.2\n10  F    4.0  66.2\n11  F    4.0  66.2\n",
			[][]string{{"No", "Sex", "Age", "Mass"}, {"1", "F", "2.0", "57.8"}, {"2", "M", "3.0", "61.0"}, {"3", "", "2.0", "55.1"}, {"4", "F", "4.0", "66.2"}, {"5", "F", "4.0", "66.2"}, {"6", "M", "4.0", "66.2"},
				{"7", "F", "4.0", "66.2"}, {"8", "F", "4.0", "66.2"}, {"9", "F", "4.0", "66.2"}, {"10", "F", "4.0", "66.2"}, {"11", "F", "4.0", "66.2"}}},
		{"one column of names", "Species\nRana arvalis\nRana lessonae\nBufo bufo\n", [][]string{{"Species"}, {"Rana arvalis"}, {"Rana lessonae"}, {"Bufo bufo"}}},
		{"cards under a title", "Toads, May 2021\nNo: 1   SVL: 45\nSex: F\nNo: 2   SVL: 47\nSex: M\n",
			[][]string{{"Toads, May 2021"}, {"No: 1   SVL: 45"}, {"Sex: F"}, {"No: 2   SVL: 47"}, {"Sex: M"}}},
		{"a text", "We went to the pond\nand saw 3 frogs there\nnone of which we caught\nbut one was a male\n",
			[][]string{{"We went to the pond"}, {"and saw 3 frogs there"}, {"none of which we caught"}, {"but one was a male"}}},
	} {
		s, _, err := ReadText("a.txt", strings.NewReader(test.text), Options{})
		if err != nil {
			t.Fatal(err)
		}
		var got [][]string
		for _, r := range s.Rows {
			var cells []string
			for _, c := range r.Cells {
				if c.Row != r.Number || c.Column != len(cells)+1 {
					t.Errorf("%s: %+v", test.name, c)
				}
				cells = append(cells, c.Text)
			}
			got = append(got, cells)
		}
		if test.want == nil { // the title is one cell, the rest as without it
			if len(got) != 8 || len(got[0]) != 1 || len(got[2]) != 5 || got[7][3] != "51" {
				t.Errorf("%s: %q", test.name, got)
			}
			continue
		}
		if d := cmp.Diff(test.want, got); d != "" {
			t.Errorf("%s: %s", test.name, d)
		}
	}
}
