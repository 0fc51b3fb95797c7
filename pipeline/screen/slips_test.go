package screen

import (
	"slices"
	"testing"

	"spadefoot/pipeline/record"
)

func TestSuggestionsAreInTheHandOfTheSheet(t *testing.T) {
	for _, c := range []struct {
		name    string
		reading record.Reading
		slip    slip
		want    string
		value   float64
	}{
		{"point lost", record.Reading{Series: &record.Series{Unit: "mm", WrittenUnit: "mm"}, Number: 452, Text: "452", Verbatim: "452"}, tenTooLarge, "45.2 mm", 45.2},
		{"comma", record.Reading{Series: &record.Series{Unit: "mm", WrittenUnit: "mm"}, Number: 4.52, Decimals: 2, Text: "4.52", Verbatim: "4,52"}, tenTooSmall, "45,2 mm", 45.2},
		{"written in cm", record.Reading{Series: &record.Series{Unit: "mm", WrittenUnit: "cm"}, Number: 452, Decimals: 0, Text: "452", Verbatim: "45.2 cm"}, tenTooLarge, "4.52 cm", 45.2},
		{"inches", record.Reading{Series: &record.Series{Unit: "mm", WrittenUnit: "mm"}, Number: 1.8, Decimals: 1, Text: "1.8", Verbatim: "1.8"}, inInches, "45.7 mm", 45.72},
		{"doubted", record.Reading{Series: &record.Series{Unit: "mm"}, Number: 452, Text: "452", Verbatim: "c. 452?"}, tenTooLarge, "45.2 mm", 45.2},
	} {
		f := &fitted{settings: Defaults()}
		list := f.plainChanges(nil, &c.reading, length, 1, anywhere)
		i := slices.IndexFunc(list, func(ch change) bool { return ch.slip == c.slip })
		if i < 0 {
			t.Fatalf("%s: no such slip", c.name)
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
			t.Errorf("slip %d has no story", s)
		}
	}
}

func FuzzWritten(f *testing.F) {
	for _, s := range []string{"45.2", "4,52 cm", "c. 12?", "", ".5", "1 3/4", "７１"} {
		f.Add(s, 45.2, 1)
	}
	f.Fuzz(func(t *testing.T, text string, number float64, decimals int) {
		r := record.Reading{Series: &record.Series{Unit: "mm"}, Verbatim: text, Number: number, Decimals: min(max(decimals, -3), 6)}
		w := writtenOf(&r)
		if finite(number) && number > 0 && !finite(w.value*w.factor) && finite(number*2) {
			t.Errorf("%q, %g: %+v", text, number, w)
		}
		for _, way := range [...]func(numeral, func(numeral)){numeral.transposed, numeral.misread, numeral.oneOff} {
			way(w.numeral, func(x numeral) {
				if x.n != w.n || x.decimals != w.decimals || len(x.text()) != len(w.numeral.text()) {
					t.Errorf("%q became %q", w.numeral.text(), x.text())
				}
			})
		}
	})
}
