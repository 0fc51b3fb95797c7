package screen

import (
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

func TestTransposed(t *testing.T) {
	for _, c := range []struct {
		in   string
		want []string
	}{
		{"54.2", []string{"45.2", "52.4"}},
		{"7.4", []string{"4.7"}},
		{"44", nil},
		{"10.5", []string{"15.0"}}, // 01.5 is not what a person writes
		{"0,4", []string{"4,0"}},
	} {
		if got := transposed(c.in); !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", c.in, got, c.want)
		}
	}
}

func TestMisread(t *testing.T) {
	if got := misread("13"); !slices.Equal(got, []string{"73", "43", "15", "18"}) {
		t.Errorf("13: %q", got)
	}
	for from, to := range alike {
		for _, d := range []byte(to) {
			if !strings.Contains(alike[d], string(from)) {
				t.Errorf("%c is taken for %c but not the other way round", from, d)
			}
		}
	}
}

func TestOneOff(t *testing.T) {
	if got := oneOff("1.09"); !slices.Equal(got, []string{"0.09", "2.09", "1.19"}) {
		t.Errorf("1.09: %q", got)
	}
}

func TestSuggestionsAreInTheHandOfTheSheet(t *testing.T) {
	for _, c := range []struct {
		name    string
		reading record.Reading
		slip    slip
		want    string
		value   float64
	}{
		{"point lost", record.Reading{Number: 452, Text: "452", Verbatim: "452", Unit: "mm", WrittenUnit: "mm"}, tenTooLarge, "45.2 mm", 45.2},
		{"comma", record.Reading{Number: 4.52, Decimals: 2, Text: "4.52", Verbatim: "4,52", Unit: "mm", WrittenUnit: "mm"}, tenTooSmall, "45,2 mm", 45.2},
		{"written in cm", record.Reading{Number: 452, Decimals: 0, Text: "452", Verbatim: "45.2 cm", Unit: "mm", WrittenUnit: "cm"}, tenTooLarge, "4.52 cm", 45.2},
		{"inches", record.Reading{Number: 1.8, Decimals: 1, Text: "1.8", Verbatim: "1.8", Unit: "mm", WrittenUnit: "mm"}, inInches, "45.7 mm", 45.72},
		{"doubted", record.Reading{Number: 452, Text: "452", Verbatim: "c. 452?", Unit: "mm"}, tenTooLarge, "45.2 mm", 45.2},
	} {
		f := &fitted{settings: Defaults()}
		list := f.plainChanges(nil, &c.reading, length, 1)
		i := slices.IndexFunc(list, func(ch change) bool { return ch.slip == c.slip })
		if i < 0 {
			t.Fatalf("%s: no %s", c.name, c.slip)
		}
		if got := list[i]; got.text() != c.want || got.value-c.value > 1e-9 || c.value-got.value > 1e-9 {
			t.Errorf("%s: %q, %g; want %q, %g", c.name, got.text(), got.value, c.want, c.value)
		}
	}
}

func TestEveryNamedSlipHasAStory(t *testing.T) {
	for _, s := range []slip{tenTooSmall, tenTooLarge, hundredTooSmall, hundredTooLarge, inInches, inOunces,
		digitsSwapped, digitMisread, digitOneOff, digitDoubled, digitDropped, tareLeftIn, tareTwice, grossForTare, columnsSwapped} {
		if stories[s] == "" {
			t.Errorf("%q has no story", s)
		}
	}
}

func FuzzWritten(f *testing.F) {
	for _, s := range []string{"45.2", "4,52 cm", "c. 12?", "", ".5", "1 3/4", "７１"} {
		f.Add(s, 45.2, 1)
	}
	f.Fuzz(func(t *testing.T, text string, number float64, decimals int) {
		r := record.Reading{Verbatim: text, Number: number, Decimals: min(max(decimals, -3), 6), Unit: "mm"}
		w := writtenOf(&r)
		if finite(number) && number > 0 && !finite(w.value*w.factor) && finite(number*2) {
			t.Errorf("%q, %g: %+v", text, number, w)
		}
		for _, s := range append(transposed(w.text), misread(w.text)...) {
			if len(s) != len(w.text) {
				t.Errorf("%q became %q", w.text, s)
			}
		}
	})
}
