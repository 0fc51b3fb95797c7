package mapping

import (
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

func TestObjectionsHaveAPlaceForEachFigure(t *testing.T) {
	t.Parallel()
	all := againstEmpty
	for _, s := range subjects {
		all = append(all[:len(all):len(all)], s.objections...)
	}
	for _, o := range all {
		if places := strings.Count(strings.ReplaceAll(o.why, "%%", ""), "%"); (places > 0) != (o.figures != nil) {
			t.Errorf("%q: %d places for figures, and figures are given: %t", o.why, places, o.figures != nil)
		}
	}
}

// Which of two kinds of areas is the state or province depends on the country: it is the
// one that consists of the other, where the rows show it, and else stays open. Regions
// are of any size.
func TestStatesBesideProvinces(t *testing.T) {
	t.Parallel()
	whole, part := cycle("Cusco", "Cusco", "Puno", "Puno", "Cusco"), cycle("Calca", "Urubamba", "Lampa", "Lampa", "Urubamba")
	for _, c := range []struct {
		headings []string
		values   []func(int) string
		want     []string
	}{
		{[]string{"Departamento", "Provincia"}, []func(int) string{whole, part}, []string{"stateProvince", ""}},
		{[]string{"Provincia", "Departamento"}, []func(int) string{whole, part}, []string{"stateProvince", ""}},
		{[]string{"Provincia", "Departamento"}, []func(int) string{part, whole}, []string{"", "stateProvince"}},
		{[]string{"Departamento", "Provincia"}, []func(int) string{whole, whole}, []string{"", ""}},
		{[]string{"Departamento", "Provincia"}, []func(int) string{cycle("Cusco", "Puno"), cycle("Calca", "Urubamba", "Lampa")}, []string{"", ""}},
		{[]string{"Región", "Provincia"}, []func(int) string{whole, part}, []string{"higherGeography", ""}},
		{[]string{"Provincia", "Estado"}, []func(int) string{whole, cycle("juvenil", "adulto")}, []string{"stateProvince", "lifeStage"}},
		{[]string{"Departamento", "Municipio"}, []func(int) string{whole, part}, []string{"stateProvince", "municipality"}},
	} {
		table := tableOf("ranas.csv", append([]string{"No", "Fecha", "Especie"}, c.headings...), append([]func(int) string{rising("%.0f", 1, 1), cycle("2024-05-03", "2024-05-04"), cycle("Rana temporaria")}, c.values...)...)
		guesses := Guess([]record.Table{table}, repeatableTerms)
		var got []string
		for _, guess := range guesses[3:] {
			got = append(got, guess.Meaning.Term)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%q: %q, want %q", c.headings, got, c.want)
		}
	}
}

// What keeps a column open is said as it is.
func TestWhyAColumnIsOpen(t *testing.T) {
	for _, c := range []struct {
		heading, why string
		values       func(int) string
	}{
		{"Weight", "the heading means something measured, but most of the values are no plain numbers.", cycle("23.5 in wet cloth", "heavy", "26 in dry cloth")},
		{"Frobnitz", "the heading is not known, and the values suggest no meaning.", cycle("23.5 in wet cloth", "heavy", "26 in dry cloth")},
		{"Size_mm", "no meaning is likely enough; the alternatives list what it may be.", rising("%.1f", 31.2, 0.3)},
	} {
		g := Guess([]record.Table{tableOf("frogs.csv", []string{"Species", c.heading}, cycle("Rana dalmatina"), c.values)}, repeatableTerms)[1]
		if g.Meaning.Role != record.Unmatched || g.Reason != c.why {
			t.Errorf("%q is %s: %s", c.heading, said(g.Meaning), g.Reason)
		}
	}
}
