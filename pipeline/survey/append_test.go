package survey

import "testing"

func TestAppend(t *testing.T) {
	for _, c := range []struct {
		name, text, want string
		ok               bool
	}{
		{"at the end", "sheets:\n  - {file: a.csv}", "sheets:\n  - {file: a.csv}\n  - {file: b.csv}\n", true},
		{"before what follows", "sheets:\n  - file: a.csv\n    note: |\n      two\n      lines\nrules: {}\n", "sheets:\n  - file: a.csv\n    note: |\n      two\n      lines\n  - {file: b.csv}\nrules: {}\n", true},
		{"a break within quotes", "sheets:\n  - {file: a.csv, defaults: {habitat: \"bog\\npool\"}}\nrules: {}\n", "sheets:\n  - {file: a.csv, defaults: {habitat: \"bog\\npool\"}}\n  - {file: b.csv}\nrules: {}\n", true},
		{"no list of that name", "tables: {}\n", "", false},
		{"in one line", "sheets: [{file: a.csv}]\n", "", false},
		{"empty", "", "", false},
		{"not YAML", "sheets: [", "", false},
	} {
		got, ok := Append([]byte(c.text), "sheets", []string{"- {file: b.csv}"})
		if string(got) != c.want || ok != c.ok {
			t.Errorf("%s: %q %v, want %q", c.name, got, ok, c.want)
		}
	}
}

func TestSlug(t *testing.T) {
	for text, want := range map[string]string{"June sheet (2024)": "june-sheet-2024", "Été": "t", "沼": "sheet", "a_b": "a-b"} {
		if got := Slug(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
