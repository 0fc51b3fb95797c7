package findings

import (
	"bytes"
	"errors"
	"iter"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/record"
)

func someFindings() []record.Finding {
	return []record.Finding{
		{Rule: "value-far", Level: record.Warning, At: cellAt("frogs.csv", "", 7, 4), Capture: "MC-7", Field: "tibiaLength", Value: "73.9", Reason: "too large", Suggestion: "37.9",
			Also: []record.Address{cellAt("frogs.csv", "", 7, 5), cellAt("frogs.csv", "", 7, 4), cellAt("frogs.csv", "", 7, 5)}, Figures: []record.Figure{{Name: "n", Value: 41}}},
		{Rule: "key-missing", Level: record.Error, At: cellAt("frogs.xlsx", "Spring", 3, 1), Field: "key", Reason: "no key"},
		{Rule: "key-missing", Level: record.Error, At: cellAt("frogs.xlsx", "Spring", 8, 1), Field: "key", Reason: "no key"},
		{Rule: "word-unknown", Level: record.Note, At: cellAt("a pond.csv", "", 2, 2), Capture: "MC-9", Field: "sex", Value: "q|<b>@ines #3 {0} [x](y) \"\u2028\x01\x7f", Reason: "no word {0} for [sex](1)"},
		{Rule: "separator-guessed", Level: record.Note, At: cellAt("frogs.csv", "", 0, 0), Value: ";", Reason: "semicolons"},
	}
}

// seqOf returns findings one by one.
func seqOf(fs []record.Finding) iter.Seq2[record.Finding, error] {
	return func(yield func(record.Finding, error) bool) {
		for _, f := range fs {
			if !yield(f, nil) {
				return
			}
		}
	}
}

// toldOf returns findings with their identities, where each says its capture.
func toldOf(fs []record.Finding) Findings {
	names := NamesOf(nil)
	told, err := WithIdentities(seqOf(fs), func(f *record.Finding) (string, error) { return names.Of(f), nil })
	if err != nil {
		panic(err)
	}
	return told
}

// markKnown marks what is known of results.
func markKnown(t testing.TB, r *Results, known KnownFindings) {
	t.Helper()
	told, s, err := known.Mark(r.Findings)
	if err != nil {
		t.Fatal(err)
	}
	r.Findings, r.Standing = told, &s
}

func knownText(t testing.TB, fs []record.Finding, before KnownFindings) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteKnown(&b, toldOf(fs), before); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// knownOf is what a file of known findings holds.
func knownOf(t testing.TB, fs []record.Finding, before KnownFindings) KnownFindings {
	t.Helper()
	ks, err := ReadKnown("known.json", knownText(t, fs, before))
	if err != nil {
		t.Fatal(err)
	}
	return ks
}

func TestKnownFindingsComeBack(t *testing.T) {
	fs := someFindings()
	text := knownText(t, fs, nil)
	back, err := ReadKnown("known.json", text)
	if err != nil || len(back) != len(fs) {
		t.Fatal(back, err)
	}
	for i, k := range back {
		if k.identity().Fingerprint() != k.Fingerprint || i > 0 && k.order() < back[i-1].order() {
			t.Errorf("%+v", k)
		}
	}
	slices.Reverse(fs)
	if again := knownText(t, fs, nil); !bytes.Equal(again, text) {
		t.Errorf("another order gave another file:\n%s\n%s", text, again)
	}
	if empty, err := ReadKnown("known.json", knownText(t, nil, nil)); err != nil || len(empty) != 0 {
		t.Errorf("no findings: %v, %v", empty, err)
	}
	if _, s, err := back.Mark(toldOf(fs)); err != nil || s.Known != len(fs) || s.New+len(s.Gone) > 0 {
		t.Errorf("all are known: %+v %v", s, err)
	}
}

// What people said of a finding stays when the file is written anew.
func TestWhatPeopleSaidStays(t *testing.T) {
	fs := someFindings()
	ks := knownOf(t, fs, nil)
	ks[0].Why = "the county sheet has no numbers"
	again := knownOf(t, fs, ks)
	if again[0].Why != ks[0].Why || again[1].Why != "" {
		t.Errorf("%+v", again[:2])
	}
}

func TestMark(t *testing.T) {
	fs := someFindings()
	known := knownOf(t, fs, nil)
	heavier := slices.Clone(fs)
	heavier[0].Level = record.Error
	lighter := slices.Clone(fs)
	lighter[1].Level = record.Warning
	more := append(slices.Clone(fs), record.Finding{Rule: "key-missing", Level: record.Error, At: cellAt("frogs.xlsx", "Spring", 1, 1), Field: "key"})
	for _, c := range []struct {
		name             string
		fs               []record.Finding
		new, known, gone int
		heavier          int
	}{
		{"the same", fs, 0, 5, 0, 0},
		{"one more of the same", more, 1, 5, 0, 0},
		{"one fewer", fs[1:], 0, 4, 1, 0},
		{"none", nil, 0, 0, 5, 0},
		{"heavier than known", heavier, 0, 5, 0, 1},
		{"lighter than known", lighter, 0, 5, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, s, err := known.Mark(toldOf(c.fs))
			if err != nil || s.New != c.new || s.Known != c.known || len(s.Gone) != c.gone || s.Heavier != c.heavier {
				t.Errorf("%d new, %d known, %d gone, %d heavier, want %d, %d, %d, %d", s.New, s.Known, len(s.Gone), s.Heavier, c.new, c.known, c.gone, c.heavier)
			}
		})
	}
}

func TestBadKnownFiles(t *testing.T) {
	fs := someFindings()
	good := string(knownText(t, fs, nil))
	lines := strings.Split(good, "\n")
	for _, c := range []struct {
		name, text string
		says       []string
	}{
		{"empty", "", []string{"known.json", "ends too early", "--write-known"}},
		{"cut", good[:len(good)/2], []string{"known.json, line", "ends too early"}},
		{"no JSON", "rule,level\n", []string{"known.json, line 1", "is not readable JSON"}},
		{"something behind", good + "{}", []string{"after its end"}},
		{"a number without end", `{"version":1e999999999,"findings":[]}`, []string{"1e999999999", "no place"}},
		{"a list", "[]", []string{"not a file of known findings"}},
		{"another file", `{"counts": {}, "findings": []}`, []string{"version", "counts"}},
		{"another version", strings.Replace(good, `"version": 1`, `"version": 2`, 1), []string{"key version"}},
		{"another key", strings.Replace(good, `"rule":`, `"rules":`, 1), []string{"line 4", "findings.0", "rules"}},
		{"unknown level", strings.Replace(good, `"level":"error"`, `"level":"grave"`, 1), []string{"line 4", "findings.0.level"}},
		{"value changed by hand", strings.Replace(good, `"value":"73.9"`, `"value":"37.9"`, 1), []string{"line 7", "findings.3.fingerprint", "not the fingerprint of what this entry says"}},
		{"an entry twice", strings.Replace(good, lines[3], lines[3]+"\n"+lines[3], 1), []string{"line 5", "findings.1", "twice", "findings.0"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if c.text == good {
				t.Fatal("the case changes nothing")
			}
			_, err := ReadKnown("known.json", []byte(c.text))
			var ms config.Mistakes
			if !errors.As(err, &ms) {
				t.Fatalf("got %v", err)
			}
			for _, s := range c.says {
				if !strings.Contains(err.Error(), s) {
					t.Errorf("the error does not say %q: %v", s, err)
				}
			}
		})
	}
}

// What is read holds together, and what is no such file is a mistake.
func FuzzReadKnown(f *testing.F) {
	fs := someFindings()
	f.Add(knownText(f, fs, nil))
	f.Add([]byte(`{"version":1,"findings":[]}`))
	f.Add([]byte(`{"findings":[{"rule":"x"}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		ks, err := ReadKnown("known.json", text)
		if err != nil {
			var ms config.Mistakes
			if !errors.As(err, &ms) || len(ms) == 0 {
				t.Fatalf("%T %v", err, err)
			}
			return
		}
		for _, k := range ks {
			if k.identity().Fingerprint() != k.Fingerprint {
				t.Errorf("%+v", k)
			}
		}
	})
}
