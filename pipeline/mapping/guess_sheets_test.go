package mapping

import (
	"fmt"
	"math"
	"math/rand"
	"strings"

	"spadefoot/pipeline/record"
)

// column is a column of an invented sheet: its heading, the meaning that a
// person would give it, and how its cells are made.
type column struct {
	heading string
	want    string // as written by said
	cell    func(f *frog) string
}

// frog is one invented capture.
type frog struct {
	row            int
	svl, mass, bag float64
	rng            *rand.Rand
	comma          bool
	male           bool
	species, code  string
}

func (f *frog) number(x float64, decimals int) string {
	s := fmt.Sprintf("%.*f", decimals, x)
	if f.comma {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s
}

// share makes a length that is a share of the snout-vent length.
func shareOf(part float64) func(*frog) string {
	return func(f *frog) string { return f.number(f.svl*part*math.Exp(f.rng.NormFloat64()*0.04), 1) }
}

func pick(words ...string) func(*frog) string {
	return func(f *frog) string { return words[f.rng.Intn(len(words))] }
}

func sexed(male, female string) func(*frog) string {
	return func(f *frog) string {
		if f.male {
			return male
		}
		return female
	}
}

func between(low, high float64, decimals int) func(*frog) string {
	return func(f *frog) string { return f.number(low+f.rng.Float64()*(high-low), decimals) }
}

func ids(prefix string) func(*frog) string {
	return func(f *frog) string { return fmt.Sprintf("%s%03d", prefix, f.row+17) }
}

func dates(layout string) func(*frog) string {
	return func(f *frog) string {
		r := strings.NewReplacer("D", fmt.Sprintf("%02d", f.row%27+1), "M", fmt.Sprintf("%02d", f.row/27%12+4), "Y", "2021")
		return r.Replace(layout)
	}
}

var (
	svl     = func(f *frog) string { return f.number(f.svl, 1) }
	inches  = func(f *frog) string { return f.number(f.svl/10, 2) }
	net     = func(f *frog) string { return f.number(f.mass, 1) }
	tare    = func(f *frog) string { return f.number(f.bag, 1) }
	gross   = func(f *frog) string { return f.number(f.mass+f.bag, 1) }
	species = func(f *frog) string { return f.species }
	code    = func(f *frog) string { return f.code }
	notes   = pick("", "", "", "in reeds", "old scar on left thigh", "escaped once", "calling")
	blank   = func(*frog) string { return "" }
)

// sheet fills a table of n captures with the columns.
func sheet(columns []column, n int, comma bool) record.Table {
	rng := rand.New(rand.NewSource(int64(len(columns) + n)))
	t := record.Table{File: "frogs.csv", Index: 1}
	for i, c := range columns {
		t.Columns = append(t.Columns, record.Column{Heading: c.heading, Parts: []string{c.heading}, Number: i + 1})
	}
	kinds := [][2]string{{"Lithobates clamitans", "LICL"}, {"Lithobates pipiens", "LIPI"}, {"L. sylvaticus", "LISY"}}
	for r := range n {
		f := &frog{row: r, rng: rng, comma: comma, male: rng.Intn(2) == 0}
		k := kinds[rng.Intn(3)]
		f.species, f.code = k[0], k[1]
		f.svl = 60 * math.Exp(rng.NormFloat64()*0.18)
		f.mass = 22 * math.Pow(f.svl/60, 3) * math.Exp(rng.NormFloat64()*0.1)
		f.bag = 4 + 0.5*float64(rng.Intn(5))
		row := record.TableRow{Number: r + 2}
		for i, c := range columns {
			text := c.cell(f)
			if rng.Intn(25) == 0 && r > 3 {
				text = "" // nobody fills every cell
			}
			row.Cells = append(row.Cells, record.Cell{Text: text, Kind: record.Text, Row: r + 2, Column: i + 1})
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// sheets are invented field sheets in five languages, with good headings, bad
// headings, and none.
var sheets = []struct {
	name    string
	comma   bool
	columns []column
}{
	{"english, plain", false, []column{
		{"Field No", "recordNumber", ids("MC")}, {"Date", "eventDate", dates("Y-M-D")}, {"Time", "eventTime", pick("21:15", "22:40", "20:05")},
		{"Site", "locality", pick("Beaver Pond", "Mill Race", "Old Quarry")}, {"Lat", "decimalLatitude", between(45.1, 45.3, 4)}, {"Long", "decimalLongitude", between(-78.4, -78.1, 4)},
		{"Species", "scientificName", species}, {"Sex", "sex", sexed("M", "F")}, {"Stage", "lifeStage", pick("adult", "ad", "juv")},
		{"SVL (mm)", "snoutVentLength mm", svl}, {"Tibia mm", "tibiaLength mm", shareOf(0.48)}, {"Head W", "headWidth mm", shareOf(0.36)},
		{"Tymp", "tympanumDiameter mm", shareOf(0.1)}, {"Eye", "eyeDiameter mm", shareOf(0.11)}, {"Gross wt (g)", "gross g", gross}, {"Bag wt (g)", "tare g", tare},
		{"Observer", "recordedBy", pick("TB", "RLO", "KN")}, {"Notes", "occurrenceRemarks", notes}}},
	{"english, abbreviations", false, []column{
		{"#", "recordNumber", func(f *frog) string { return fmt.Sprint(f.row + 1) }}, {"Dt", "eventDate", dates("D Jun Y")}, {"Spp", "scientificName", code}, {"S", "sex", sexed("m", "f")},
		{"SVL", "snoutVentLength mm", svl}, {"TL", "tibiaLength mm", shareOf(0.49)}, {"FL", "femurLength mm", shareOf(0.46)}, {"FOL", "footLength mm", shareOf(0.52)},
		{"FAL", "forearmLength mm", shareOf(0.21)}, {"HAL", "handLength mm", shareOf(0.27)}, {"HW", "headWidth mm", shareOf(0.36)}, {"HL", "headLength mm", shareOf(0.33)},
		{"ED", "eyeDiameter mm", shareOf(0.11)}, {"TD", "tympanumDiameter mm", shareOf(0.1)}, {"IND", "internarialDistance mm", shareOf(0.08)}, {"IOD", "interorbitalDistance mm", shareOf(0.1)},
		{"EN", "eyeNostrilDistance mm", shareOf(0.09)}, {"UEW", "upperEyelidWidth mm", shareOf(0.09)}, {"Wt", "net g", net}, {"Obs", "recordedBy", pick("TB", "RLO", "KN")}}},
	{"english, replicates and centimetres", false, []column{
		{"Frog ID", "organismID", pick("A12", "A13", "B7", "C44", "C45", "D2", "D3", "E9", "F1", "F2", "F5", "G6")}, {"Capture date (mm/dd/yyyy)", "eventDate", dates("M/D/Y")},
		{"SVL1", "snoutVentLength cm #1", inches}, {"SVL2", "snoutVentLength cm #2", inches}, {"SVL3", "snoutVentLength cm #3", inches},
		{"HW 1 (mm)", "headWidth mm #1", shareOf(0.36)}, {"HW 2 (mm)", "headWidth mm #2", shareOf(0.36)}, {"Bag", "bag", pick("A", "B", "C", "D")},
		{"Weight with bag", "gross g", gross}, {"Air temp", "airTemperature [degF]", between(50, 75, 0)}, {"Water temp (C)", "waterTemperature Cel", between(8, 19, 1)},
		{"Photo", "associatedMedia", ids("IMG_0")}, {"Recap?", "organismRemarks", pick("new", "recap", "N")}, {"Typist", "", pick("kn", "tb")}}},
	{"english, headings that say nothing", false, []column{
		{"A", "recordNumber", ids("MC-")}, {"B", "eventDate", dates("D/M/Y")}, {"C", "scientificName", species}, {"D", "sex", sexed("male", "female")},
		{"E", "snoutVentLength mm", svl}, {"F", "gross g", gross}, {"G", "tare g", tare}, {"H", "net g", net}, {"I", "lifeStage", pick("adult", "juvenile", "subadult")},
		{"J", "", pick("3", "7", "12", "1")}, {"K", "", blank}}},
	{"english, a mass and a tare", false, []column{
		{"No", "recordNumber", ids("")}, {"Sp.", "scientificName", species}, {"Length", "snoutVentLength mm", svl}, {"Weight", "gross g", gross}, {"Bag wt", "tare g", tare},
		{"Collector", "recordedBy", pick("T. Brook", "R. L. Oak")}, {"Elev (m)", "minimumElevationInMeters", between(210, 260, 0)}, {"Easting", "verbatimLongitude", between(445000, 447000, 0)},
		{"Northing", "verbatimLatitude", between(5027000, 5029000, 0)}, {"UTM zone", "verbatimCoordinateSystem", pick("18T")}, {"Datum", "geodeticDatum", pick("NAD83")}}},
	{"english, one row per measurement", false, []column{
		{"Frog no", "recordNumber", ids("MC")}, {"Trait", "long name", pick("SVL", "HW", "tibia length", "body mass")}, {"Value", "long value", svl}, {"Unit", "long unit", pick("mm", "g")}}},
	{"german", true, []column{
		{"Feldnummer", "recordNumber", ids("MC")}, {"Datum", "eventDate", dates("D.M.Y")}, {"Uhrzeit", "eventTime", pick("21:15", "22.40 Uhr", "20:05")}, {"Fundort", "locality", pick("Bibersee", "Mühlgraben")},
		{"Art", "scientificName", species}, {"Geschlecht", "sex", sexed("Männchen", "Weibchen")}, {"Alter", "lifeStage", pick("adult", "juvenil", "Jungtier")}, {"KRL (mm)", "snoutVentLength mm", svl},
		{"Unterschenkel", "tibiaLength mm", shareOf(0.5)}, {"Kopfbreite", "headWidth mm", shareOf(0.36)}, {"Trommelfell-Ø", "tympanumDiameter mm", shareOf(0.1)}, {"Brutto (g)", "gross g", gross},
		{"Beutel (g)", "tare g", tare}, {"Netto", "net g", net}, {"Lufttemp", "airTemperature Cel", between(9, 18, 1)}, {"Bearbeiter", "recordedBy", pick("TB", "KN")}, {"Bemerkungen", "occurrenceRemarks", notes}}},
	{"spanish", true, []column{
		{"No. de campo", "recordNumber", ids("MC")}, {"Fecha", "eventDate", dates("D de abril de Y")}, {"Hora", "eventTime", pick("21:15", "22h40")}, {"Sitio", "locality", pick("Laguna Castor", "El Molino")},
		{"Especie", "scientificName", species}, {"Sexo", "sex", sexed("macho", "hembra")}, {"Estadio", "lifeStage", pick("adulto", "juvenil")}, {"LHC (mm)", "snoutVentLength mm", svl},
		{"Longitud tibia", "tibiaLength mm", shareOf(0.48)}, {"Ancho cabeza", "headWidth mm", shareOf(0.36)}, {"Diámetro ojo", "eyeDiameter mm", shareOf(0.11)}, {"Tímpano", "tympanumDiameter mm", shareOf(0.1)},
		{"Peso bruto (g)", "gross g", gross}, {"Peso bolsa", "tare g", tare}, {"Observador", "recordedBy", pick("TB", "RLO")}, {"Observaciones", "occurrenceRemarks", notes},
		{"Latitud", "decimalLatitude", between(-34.2, -34.1, 5)}, {"Longitud", "decimalLongitude", between(-58.4, -58.3, 5)}}},
	{"portuguese", true, []column{
		{"Nº de campo", "recordNumber", ids("MC")}, {"Data", "eventDate", dates("D/M/Y")}, {"Horário", "eventTime", pick("21:15", "22:40")}, {"Local", "locality", pick("Lagoa do Castor", "Moinho")},
		{"Espécie", "scientificName", species}, {"Sexo", "sex", sexed("M", "F")}, {"CRC (mm)", "snoutVentLength mm", svl}, {"Tíbia", "tibiaLength mm", shareOf(0.5)}, {"Largura da cabeça", "headWidth mm", shareOf(0.36)},
		{"Massa", "gross g", gross}, {"Peso do saco", "tare g", tare}, {"Temp. ar", "airTemperature Cel", between(17, 25, 1)}, {"Umidade", "relativeHumidity %", between(60, 98, 0)},
		{"Coletor", "recordedBy", pick("TB", "RLO")}, {"Observações", "occurrenceRemarks", notes}, {"Município", "municipality", pick("Ribeirão", "Serra")}}},
	{"french", true, []column{
		{"Numéro de terrain", "recordNumber", ids("MC")}, {"Date", "eventDate", dates("D/M/Y")}, {"Heure", "eventTime", pick("21h15", "22h40")}, {"Lieu", "locality", pick("Étang du Castor", "Moulin")},
		{"Espèce", "scientificName", species}, {"Sexe", "sex", sexed("mâle", "femelle")}, {"Stade", "lifeStage", pick("adulte", "juvénile")}, {"LMC (mm)", "snoutVentLength mm", svl},
		{"Tibia", "tibiaLength mm", shareOf(0.48)}, {"Fémur", "femurLength mm", shareOf(0.46)}, {"Largeur tête", "headWidth mm", shareOf(0.36)}, {"Sac + grenouille (g)", "gross g", gross}, {"Sac vide", "tare g", tare},
		{"Observateur", "recordedBy", pick("TB", "RLO")}, {"Remarques", "occurrenceRemarks", notes}, {"Altitude", "minimumElevationInMeters", between(210, 260, 0)}, {"Commune", "municipality", pick("Sainte-Anne", "Val-du-Lac")}}},
	{"mistyped headings", false, []column{
		{"Feild number", "recordNumber", ids("MC")}, {"Lattitude", "decimalLatitude", between(45.1, 45.3, 5)}, {"Longitide", "decimalLongitude", between(-78.4, -78.1, 5)}, {"Speices", "scientificName", species},
		{"Snout vent lenght", "snoutVentLength mm", svl}, {"Head widht mm", "headWidth mm", shareOf(0.36)}, {"Obsever", "recordedBy", pick("TB", "RLO")}, {"Date of survey visit", "eventDate", dates("Y-M-D")}}},
}
