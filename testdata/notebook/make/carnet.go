package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
	"golang.org/x/text/encoding/charmap"
)

var excelizeDate = excelize.Style{NumFmt: 15}

// number lets a workbook store what reads as a number as one.
func number(s string) any {
	if x, err := strconv.ParseFloat(s, 64); err == nil {
		return x
	}
	return s
}

// carnetPlaces have their coordinates in NAD27, and WGS 84 as cs2cs of PROJ
// 9.1.1 gives it (EPSG:4267 to EPSG:4326).
var carnetPlaces = []struct{ name, latitude, longitude, north, east string }{
	{"Étang du Héron", `45°24'31"N`, `76°12'04"O`, "45.408700", "-76.200897"},
	{"Mare aux Aulnes", `45°23'58"N`, `76°12'40"O`, "45.399533", "-76.210897"},
	{"Fossé du Moulin", `45°25'06"N`, `76°11'17"O`, "45.418422", "-76.187840"},
}

// carnetText is the French notebook of 1993 and 1994, as a spreadsheet program
// on a Macintosh of those years saved it: Mac Roman, lines that end in CR.
func carnetText(rng *rand.Rand, t *truth) []byte {
	rows := [][]string{
		{"Carnet de terrain no 7, Émile Lachance, étés 1993 et 1994"},
		{"Système géodésique : NAD27"},
		{""},
		{"N°", "Date", "Lieu", "Latitude", "Longitude", "Espèce", "Sexe", "LMC (mm)", "Tibia (mm)", "Largeur tête (mm)", "Poids brut (g)", "Sac (g)", "Remarques"},
	}
	days := []struct{ written, iso string }{{"12 août 1993", "1993-08-12"}, {"été 1993", "1993-06/1993-08"}, {"3 mai 1994", "1994-05-03"},
		{"21 mai 1994", "1994-05-21"}, {"1er juin 1994", "1994-06-01"}, {"14 juillet 1994", "1994-07-14"}}
	for i := range 48 {
		a := newAnimal(rng, kinds[rng.IntN(len(kinds))])
		d, p := days[i/8], carnetPlaces[i/3%len(carnetPlaces)]
		bag := 4.0 + 0.5*float64(rng.IntN(3))
		gross := half(a.mass) + bag
		svl, tibia, mass := fixed(a.svl, 1), fixed(a.tibia, 1), fixed(gross-bag, 1)
		comma := func(s string) string { return strings.Replace(s, ".", ",", 1) }
		row := []string{fmt.Sprint(i + 1), d.written, p.name, p.latitude, p.longitude, a.kind.old, map[bool]string{true: "mâle", false: "femelle"}[a.male],
			comma(svl), comma(tibia), comma(fixed(a.head, 1)), comma(fixed(gross, 1)), comma(fixed(bag, 1)),
			[]string{"", "", "chante", "", "dans les joncs", "", ""}[i%7]}
		switch i {
		case 5:
			row[7] += "?"
		case 12:
			row[8] += " (patte enflée)"
		case 19:
			row[10], mass = "-999", ""
		case 26:
			svl = fixed(a.svl, 0)
			row[7] = "env. " + svl
		case 33:
			row[9] = ""
		}
		rows = append(rows, row)
		t.captures = append(t.captures, []string{"carnet-1994.csv", "", fmt.Sprint(i + 1), a.kind.name, d.iso, p.name, a.sex(), svl, tibia, mass, p.north, p.east})
	}
	for _, h := range [][3]string{{"Système géodésique", "geodeticDatum", ""}, {"N°", "recordNumber", ""}, {"Date", "eventDate", ""}, {"Lieu", "locality", ""},
		{"Latitude", "decimalLatitude", ""}, {"Longitude", "decimalLongitude", ""}, {"Espèce", "scientificName", ""}, {"Sexe", "sex", ""}, {"LMC (mm)", "snoutVentLength", "mm"},
		{"Tibia (mm)", "tibiaLength", "mm"}, {"Largeur tête (mm)", "headWidth", "mm"}, {"Poids brut (g)", "gross", "g"}, {"Sac (g)", "tare", "g"}, {"Remarques", "occurrenceRemarks", ""}} {
		t.heading("carnet-1994.csv", "", h[0], h[1], h[2])
	}
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.Comma = ';'
	must(w.WriteAll(rows))
	text, err := charmap.Macintosh.NewEncoder().String(strings.ReplaceAll(b.String(), "\n", "\r"))
	must(err)
	return []byte(text)
}
