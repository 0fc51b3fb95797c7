package mapping

import (
	"fmt"
	"testing"

	"spadefoot/pipeline/record"
)

// blindSheets have headings as people write them in a hurry. They were written
// down before the draft was first run on them; that run had 60 of 69 columns
// right, 7 open and 2 wrong. The rule for shortened headings came after it,
// nothing else, and mappings/headings.csv is not to be corrected by them: the
// count says what to expect of a sheet that nobody has seen.
var blindSheets = []struct {
	name    string
	comma   bool
	columns []column
}{
	{"english", false, []column{
		{"Sample #", "recordNumber", ids("")}, {"Capt. date", "eventDate", dates("M/D/Y")}, {"Pond", "locality", pick("North", "South", "Mill")}, {"Sp", "scientificName", code},
		{"M/F/J", "sex", sexed("M", "F")}, {"Snout-Vent (mm)", "snoutVentLength mm", svl}, {"LegL", "hindlimbLength mm", shareOf(1.6)}, {"Bag+frog (g)", "gross g", gross},
		{"bag", "tare g", tare}, {"Frog (g)", "net g", net}, {"Temp_air", "airTemperature Cel", between(9, 20, 1)}, {"Coll.", "recordedBy", pick("TB", "RLO")},
		{"Remarks/Notes", "occurrenceRemarks", notes}, {"GPS_N", "decimalLatitude", between(45.1, 45.3, 5)}, {"GPS_W", "decimalLongitude", between(-78.4, -78.1, 5)},
		{"PIT tag #", "organismID", ids("9851000")}}},
	{"english, database export", false, []column{
		{"capture_id", "recordNumber", ids("C")}, {"survey_date", "eventDate", dates("Y-M-D")}, {"site_name", "locality", pick("Beaver Pond", "Mill Race")}, {"species_code", "scientificName", code},
		{"sex_cd", "sex", sexed("M", "F")}, {"age_class", "lifeStage", pick("A", "J", "SA")}, {"svl_mm", "snoutVentLength mm", svl}, {"tibia_length_mm", "tibiaLength mm", shareOf(0.48)},
		{"mass_g", "net g", net}, {"observers", "recordedBy", pick("T. Brook; R. L. Oak", "K. Niles")}, {"comments", "occurrenceRemarks", notes}, {"lat_dd", "decimalLatitude", between(45.1, 45.3, 5)}, {"lon_dd", "decimalLongitude", between(-78.4, -78.1, 5)}}},
	{"german", true, []column{
		{"Lfd.Nr.", "recordNumber", func(f *frog) string { return fmt.Sprint(f.row + 1) }}, {"Fangtag", "eventDate", dates("D.M.Y")}, {"Gewässer", "locality", pick("Bibersee", "Mühlgraben")},
		{"Artname (wiss.)", "scientificName", species}, {"m/w/j", "sex", sexed("m", "w")}, {"SVL [mm]", "snoutVentLength mm", svl}, {"Masse [g]", "net g", net}, {"Kopfbr.", "headWidth mm", shareOf(0.36)},
		{"Beobachter/in", "recordedBy", pick("TB", "KN")}, {"Bem.", "occurrenceRemarks", notes}, {"Wassert. °C", "waterTemperature Cel", between(8, 17, 1)}}},
	{"spanish", true, []column{
		{"N°", "recordNumber", ids("")}, {"Fecha captura", "eventDate", dates("D/M/Y")}, {"Localidad", "locality", pick("Laguna Castor", "El Molino")}, {"Sp.", "scientificName", species},
		{"Sx", "sex", sexed("M", "H")}, {"LRC", "snoutVentLength mm", svl}, {"Peso (gr)", "net g", net}, {"Tibia", "tibiaLength mm", shareOf(0.48)}, {"Obs", "occurrenceRemarks", notes}, {"Colectores", "recordedBy", pick("T. Brook", "R. Oak")}}},
	{"portuguese", true, []column{
		{"Ind.", "recordNumber", ids("")}, {"Dia/mês/ano", "eventDate", dates("D/M/Y")}, {"Ponto amostral", "locality", pick("Lagoa do Castor", "Moinho")}, {"Esp.", "scientificName", species},
		{"Sexo", "sex", sexed("M", "F")}, {"CRC mm", "snoutVentLength mm", svl}, {"Peso", "net g", net}, {"Larg. cabeça", "headWidth mm", shareOf(0.36)}, {"Coletores", "recordedBy", pick("TB", "RLO")}}},
	{"french", true, []column{
		{"Code", "recordNumber", ids("MC")}, {"Date capture", "eventDate", dates("D/M/Y")}, {"Site", "locality", pick("Étang du Castor", "Moulin")}, {"Sp", "scientificName", species}, {"Sexe", "sex", sexed("M", "F")},
		{"LMC", "snoutVentLength mm", svl}, {"Masse (g)", "net g", net}, {"Temp. eau", "waterTemperature Cel", between(8, 17, 1)}, {"Obs.", "recordedBy", pick("TB", "RLO")}, {"Rem.", "occurrenceRemarks", notes}}},
}

func TestGuessBlind(t *testing.T) {
	right, silent, all := 0, 0, 0
	for _, s := range blindSheets {
		guesses := Guess([]record.Table{sheet(s.columns, 40, s.comma)}, repeatableTerms)
		for i, g := range guesses {
			all++
			want, got := s.columns[i].want, said(g.Meaning)
			switch {
			case got == want:
				right++
				continue
			case got == "":
				silent++
			}
			t.Logf("%s: %q: guessed %q (%.2f), want %q: %s", s.name, g.Heading, got, g.Confidence, want, g.Reason)
		}
	}
	t.Logf("%d of %d columns right, %d left open", right, all, silent)
	if right < 60 || all-right-silent > 3 {
		t.Errorf("%d of %d columns right, %d wrong", right, all, all-right-silent)
	}
}
