package mapping

import (
	"fmt"
	"slices"
	"testing"

	"spadefoot/pipeline/record"
)

// A table has columns that are each the values of one heading from the top
// down.
func tableOf(file string, headings []string, values ...func(row int) string) record.Table {
	t := record.Table{File: file, Index: 1}
	for i, h := range headings {
		t.Columns = append(t.Columns, record.Column{Heading: h, Parts: []string{h}, Number: i + 1})
	}
	for r := range 40 {
		row := record.TableRow{Number: r + 2}
		for _, v := range values {
			row.Cells = append(row.Cells, record.Cell{Text: v(r), Kind: record.Text, Row: r + 2, Column: len(row.Cells) + 1})
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func cycle(texts ...string) func(int) string {
	return func(row int) string { return texts[row%len(texts)] }
}

func rising(format string, from, step float64) func(int) string {
	return func(row int) string { return fmt.Sprintf(format, from+step*float64(row)) }
}

// TestGuessHeldAgainstValues has headings that say one thing and values that say
// another, and headings that need a look at their parts: common practice.
func TestGuessHeldAgainstValues(t *testing.T) {
	for _, c := range []struct {
		name, heading, want string
		values              func(int) string
		beside              string // another heading, with a day in each row if it is a date
		file                string
	}{
		{"steps of a scale of condition", "Cond (1-5)", "", cycle("3", "4", "2", "5"), "", ""},
		{"a part and its width", "Anch. cuerpo (mm)", "bodyWidth mm", rising("%.1f", 8, 0.1), "", ""},
		{"a part and its height in one word", "Schwanzhöhe", "tailHeight mm", rising("%.1f", 5, 0.1), "", "molche.csv"},
		{"the letter of a length before its part", "ltail", "tailLength mm", rising("%.0f", 62, 1), "", ""},
		{"the head of mice", "Head (mm)", "headLength mm", rising("%.1f", 24, 0.1), "", "mice.csv"},
		{"the greatest width of shells", "Max CW", "carapaceWidth mm", rising("%.0f", 140, 1), "", "turtles.csv"},
		{"caught before or not", "capture_type", "", cycle("new", "recapture"), "", ""},
		{"days of laying", "lay_date", "", cycle("2021-04-19", "2021-04-20"), "", ""},
		{"rings of mothers", "mother_ring", "", rising("TX%.0f", 4410, 1), "", ""},
		{"rings of females over eggs", "female_ring", "", rising("TX%.0f", 4410, 1), "egg_no", ""},
		{"clips of toes or ears", "Clip", "", cycle("L3", "R2"), "", ""},
		{"the length of a foot, and no feet", "Comp. pé", "footLength mm", rising("%.1f", 22, 0.1), "", "sapos.csv"},
		{"numbers of clutches", "Clutch", "", cycle("1", "7", "14", "20", "3", "9", "11", "2", "5", "17", "19", "12"), "", ""},
		{"initials in small letters", "Obs", "recordedBy", cycle("kn", "tb"), "", ""},
		{"how many fish there were", "Fish", "individualCount", cycle("1", "12", "1", "30", "1", "1", "7"), "", ""},
		{"how many there were, and none in rows with a length", "Fish", "", cycle("1", "0", "1", "2", "1"), "SVL (mm)", ""},
		{"eggs in droppings of sheep", "Lungworm [lpg]", "", cycle("230", "478", "12"), "", "sheep.csv"},
		{"eggs in droppings of sheep, each with its unit", "Lungworm", "", cycle("230 lpg", "478 lpg", "12 lpg"), "", "sheep.csv"},
		{"worms of sheep", "Lungworm", "parasiteCount 1", cycle("230", "478", "12"), "", "sheep.csv"},
		{"weights of bags, over grams that another row gives", "BagWt", "tare g", cycle("40", "42", "38"), "NetWt", "possums.csv"},
		{"masses less those of bags", "Weight", "net g", cycle("98.5-22", "54.0-22", "26.5-22.5"), "", "snakes.csv"},
		{"masses, each with that of the bag in it", "Weight", "net g", cycle("98.5 (w/ bag 22)", "54.0 (w/ bag 22)", "26.5 (w/ bag 22.5)"), "", "snakes.csv"},
		{"ranges of masses", "Weight", "", cycle("22-98.5", "22-54.0", "20-26.5"), "", "snakes.csv"},
		{"bags with their name before the mass", "Bag", "tare g", cycle("4.0", "bag 4.5", "4.0", "Bag: 5"), "", "toads.csv"},
		{"with the bag, cut short", "Peso c/ saco (g)", "gross g", rising("%.1f", 25, 0.5), "", "roedores.csv"},
		{"scales of fish, and none to weigh with", "Scales?", "", cycle("Y", "", "Y"), "", "trout.csv"},
		{"days without a year", "Date", "eventDate", cycle("3/24", "3/25", "4/2"), "", ""},
		{"visits are no places", "section", "", cycle("Night 1 - light rain", "Night 2 - dry"), "", ""},
		{"inches, and millimetres later", "CL", "", cycle("5.21", "5.35", "5.48", "136.2", "128.4"), "", "turtles.csv"},
		{"samples of some animals", "Muestra", "", cycle("", "", "guano 1", "", "guano 2"), "", "murcielagos.csv"},
		{"clips of fins", "Clip", "occurrenceRemarks", cycle("AD", "LV", "RV"), "", "trout.csv"},
		{"days of six digits", "Date", "eventDate", cycle("190503", "190517", "190601", "190614", "190630"), "", ""},
		{"six digits that are days in two orders", "Date", "", cycle("030519", "040519", "010619"), "", ""},
		{"names that begin with a c", "clutch", "", cycle("C21-01", "C21-08", "C21-11"), "", ""},
		{"counts of grooves", "CG", "costalGrooves 1", cycle("17", "18", "19"), "", "salamanders.csv"},
		{"the same letters over counts of finds", "CG", "", cycle("0", "3", "17", "1"), "", ""},
		{"numbers that count within groups", "Index", "", func(r int) string { return fmt.Sprint(r%10 + 1) }, "", ""},
		{"the same numbers beside their days", "Index", "recordNumber", func(r int) string { return fmt.Sprint(r%10 + 1) }, "Date", ""},
		{"a class of codes", "Class", "", cycle("rmm", "aaf"), "", ""},
		{"a class of animals", "Class", "class", cycle("Amphibia", "Reptilia"), "", ""},
		{"times under the letters of a measurement", "End", "", cycle("0015", "0030", "0105", "2355"), "", ""},
		{"lengths under the same letters", "END", "eyeNostrilDistance mm", rising("%.1f", 3, 0.1), "", "toads.csv"},
		{"a length that is the same for all", "Head", "", cycle("15"), "", ""},
		{"words the other way round", "Temp body [°C]", "bodyTemperature Cel", rising("%.1f", 28, 0.1), "", ""},
		{"day numbers of a spreadsheet", "Date", "eventDate", rising("%.0f", 43200, 3), "", ""},
		{"letters without their marks", "Gewaesser", "locality", cycle("Aare", "Emme"), "", ""},
		{"a word for an animal in a word", "Fischart", "scientificName", cycle("Salmo trutta", "Thymallus thymallus"), "", ""},
		{"heat of bodies", "temp", "bodyTemperature Cel", rising("%.2f", 36.3, 0.02), "", ""},
		{"heat of the air", "temp", "airTemperature Cel", rising("%.1f", 9, 0.3), "", ""},
		{"days and months", "Date", "eventDate", cycle("5/3", "5/17", "6/1"), "", ""},
		{"the same under another heading", "Ratio", "", cycle("5/3", "5/17", "6/1"), "", ""},
		{"hours of sleep", "sleep_total", "", rising("%.1f", 8, 0.2), "", ""},
		{"states of an eye", "Eye state", "", cycle("clear", "blue"), "", ""},
		{"counts at a place", "Mill Pond", "", cycle("3", "0", "12"), "", ""},
		{"days of another language", "Datum", "eventDate", cycle("18/5 2008", "3/6 2008"), "", ""},
		{"datums", "Datum", "geodeticDatum", cycle("WGS84", "NAD83"), "", ""},
		{"a catch in words", "Catch", "", cycle("2 Lerista, 1 Ctenotus", "3 frogs"), "", ""},
		{"rings on a leg", "Ring R leg", "", cycle("RED A12", "BLK 3C"), "", ""},
		{"an axis of a map", "X", "", rising("%.0f", 140211, 17), "Y", ""},
		{"latitude and longitude in one cell", "Lat/Long", "verbatimCoordinates", cycle("40°53'49\"N 115°10'14\"W", "40°14'48\"N 115°19'44\"W"), "", ""},
		{"heights in feet beside the numbers", "Elev.", "minimumElevationInMeters", cycle("6700 ft", "9200 ft", "8100 ft"), "", ""},
		{"embryos left and right", "embryos", "", cycle("3L 2R", "4", "1L 4R"), "SVL (mm)", "voles.csv"},
		{"counts that are not whole", "Clutch", "", cycle("1.5", "2", "5.2", "3"), "", ""},
		{"counts", "Clutch", "clutchSize 1", cycle("4", "2", "5", "3"), "", ""},
		{"from shrew to whale", "body wt", "", func(r int) string { return fmt.Sprintf("%.3f", 0.005*float64(int(1)<<(r/2))) }, "", ""},
		{"ways of catching", "Trap", "samplingProtocol", cycle("pitfall trap", "hand", "funnel trap"), "", ""},
		{"numbers of traps", "Trap", "locationID", cycle("T1", "T7", "T12", "T31"), "", ""},
		{"names with a line for the blank", "species", "scientificName", cycle("Corvus_corax", "Corvus_ossifragus"), "", ""},
		{"codes of five letters that may be words", "Sp", "scientificName", cycle("BLUTI", "ROBIN", "GRETI"), "", ""},
		{"new and caught again", "Estado", "", cycle("nuevo", "recaptura"), "Especie", ""},
		{"letters of a code under remarks", "recap", "", cycle("N", "R"), "", ""},
		{"numbers that count on under remarks", "Notes", "", rising("%.0f", 1, 1), "", ""},
		{"letters with a number of their own", "Ab_42", "", rising("%.1f", 11, 0.1), "Date", "bats.csv"},
		{"kinds of animals under a word for one", "Bird", "vernacularName", cycle("Great tit", "Blue tit", "Wren"), "", ""},
		{"rings under the same word", "Bird", "organismID", rising("TX%.0f", 4410, 1), "", ""},
		{"days of release", "Released", "", rising("2022-11-%02.0f", 1, 0.5), "Date", ""},
		{"codes that may be days of January", "Set", "", rising("gen%.0f", 1, 0.25), "", ""},
		{"numbers that are no islands", "Ile", "", rising("%.0f", 318, 7), "Date", ""},
		{"islands", "Ile", "island", cycle("Port-Cros", "Bagaud"), "Date", ""},
		{"letters for what is measured on all animals too", "LCC", "snoutVentLength mm", rising("%.0f", 110, 0.3), "Fecha", ""},
		{"the mass without the bag", "Weight in grams (minus bag)", "net g", rising("%.1f", 10.4, 0.3), "Date", "birds.csv"},
		{"places and the days before them", "when/where", "", cycle("2-May N wall", "3-May N wall", "3-May barn"), "Especie", ""},
		{"left and right horns", "Cuerno izdo (cm)", "hornLength cm", rising("%.1f", 14, 0.5), "Fecha", "cabras.csv"},
		{"kinds of photos", "Photo_Type", "", cycle("full body", "head shot", "back"), "Date", ""},
		{"numbers of photos", "Photo_No", "associatedMedia", rising("IMG_%04.0f", 12, 1), "Date", ""},
		{"what was measured, not by whom", "measured", "", cycle("Taste and smell", "Smell only"), "Date", ""},
		{"ages in numbers", "Age", "", cycle("0", "3", "5"), "", ""},
		{"letters of zones", "zone", "locality", cycle("G", "C", "M"), "", "turtles.csv"},
		{"a sort of plots", "plotType", "", cycle("distributed", "tower"), "", ""},
		{"a sort of habitats", "Habitat type", "habitat", cycle("bog", "meadow"), "", ""},
		{"sections of a river where fish were caught again", "SectionRecapture", "locality", cycle("S26", "S04", "S11", "S17", "S02", "S30"), "", "trout.csv"},
		{"the name of a term, alike in all rows", "taxonRank", "taxonRank", cycle("species"), "", ""},
		{"one animal a row", "count", "individualCount", cycle("1"), "Date", ""},
		{"counts of what nothing says, on no day and at no place", "count", "", cycle("3", "0", "14"), "", ""},
		{"seen or not", "Recapture", "", cycle("1", "0"), "", ""},
		{"a mark beside an empty column for another", "Tag", "organismID", rising("T%.0f", 101, 1), "Tag replaced", ""},
		{"lakes by a number in one word", "lakeid", "waterBody", cycle("CR", "BM", "TR"), "", ""},
		{"gear by a number in one word", "gearid", "samplingProtocol", cycle("BSEINE", "FYKNET"), "", ""},
		{"fish that may be in centimetres", "Fish_Length", "", rising("%.0f", 4, 1), "", ""},
		{"fish in millimetres", "Fork length", "forkLength mm", rising("%.0f", 145, 3), "", "trout.csv"},
		{"serial numbers", "Sl. No.", "recordNumber", rising("%.0f", 1, 1), "Date", ""},
		{"a standard length", "SL", "standardLength mm", rising("%.0f", 145, 3), "", "trout.csv"},
		{"numbers of clips", "Clip #", "", cycle("12", "104", "23"), "", ""},
		{"a unit in words", "lengthinmm", "length mm", rising("%.1f", 45, 0.3), "", ""},
		{"sizes under the word for marks", "marks", "", cycle("3", "5", "4", "6", "3", "2", "7", "4"), "", ""},
		{"depths in no unit", "Depth", "", rising("%.0f", 12, 2), "Date", "ponds.csv"},
		{"depths", "Depth (cm)", "waterDepth cm", rising("%.0f", 12, 2), "Date", "ponds.csv"},
		{"heat under two letters and nothing else", "Ts", "", rising("%.1f", 14, 0.2), "Especie", ""},
		{"heat under two letters beside a day", "Ts", "substrateTemperature Cel", rising("%.1f", 14, 0.2), "Date", "toads.csv"},
		{"lengths under a word for counties", "Län", "", rising("%.2f", 12, 0.31), "", ""},
		{"how many there are, and no numbers of rows", "N", "", cycle("36", "30", "11", "21", "11"), "", ""},
		{"how many nests there are", "Nest", "", cycle("0", "4", "11", "0", "6"), "", ""},
		{"codes of rows, and no remarks", "obs", "", func(r int) string { return fmt.Sprintf("e%03d", r+1) }, "Especie", ""},
		{"parts of the body by a word for provinces", "region", "", cycle("throat", "wing", "belly"), "Especie", ""},
		{"provinces", "region", "stateProvince", cycle("Jura", "Savoie"), "Especie", ""},
		{"regions of a team that writes no capitals", "region", "higherGeography", cycle("jura", "savoie"), "", ""},
		{"closed and open zones", "Zone", "", cycle("0", "1"), "lat", ""},
		{"logarithms of lengths", "wingL", "", rising("%.6f", 4.132957, 0.0131713), "", "birds.csv"},
		{"the mass of another kind in each row", "body mass", "", func(r int) string { return fmt.Sprint(3 + 2*r) }, "Kind", ""},
		{"the mass of one kind", "body mass", "net g", func(r int) string { return fmt.Sprint(3 + 2*r) }, "Especie", ""},
		{"a wing, and no w in grams", "wing", "wingLength mm", rising("%.1f", 65, 0.3), "", "birds.csv"},
		{"a unit of one letter in words", "massing", "net g", rising("%.1f", 14, 0.3), "", ""},
		{"tails, and no heat in °F", "T", "tailLength mm", rising("%.0f", 62, 1), "", "mice.csv"},
		{"heat of the air by its letter", "T", "airTemperature Cel", rising("%.1f", 14, 0.2), "Site", ""},
		{"a letter by itself", "T", "", rising("%.1f", 14, 0.2), "", ""},
		{"times of a trial", "t", "", rising("%.0f", 0, 3), "", "mice.csv"},
		{"nets by number", "Red", "locationID", cycle("R1", "R2", "R12", "R7"), "Especie", ""},
		{"epithets beside a genus", "Species", "specificEpithet", cycle("sagrei", "carolinensis", "distichus"), "Genus", ""},
		{"a weight of sheep", "Weight", "", rising("%.1f", 19, 0.3), "HornLen", ""},
		{"a word cut short and its size", "tarsl", "tarsometatarsusLength mm", rising("%.1f", 18, 0.1), "culmen", "birds.csv"},
		{"steps of a scale of wind", "Wind (Bft)", "", cycle("0", "1", "2", "4"), "", ""},
		{"wind in no unit", "Wind", "", rising("%.1f", 1, 0.1), "", ""},
		{"wind", "Wind (m/s)", "windSpeed m/s", rising("%.1f", 1, 0.1), "", ""},
		{"numbers of scales of fish", "Scale no.", "", rising("%.0f", 201, 1), "", "trout.csv"},
		{"scales of a team", "Scale", "scale", cycle("A", "B"), "", "toads.csv"},
		{"scales of questions", "Item scale", "", cycle("A", "B"), "", ""},
		{"two parts together", "Tarsus+toe", "", rising("%.1f", 52, 0.1), "culmen", "birds.csv"},
		{"the body of mice", "KRL", "headBodyLength mm", rising("%.0f", 80, 1), "", "mäuse.csv"},
		{"the body of newts", "KRL", "snoutVentLength mm", rising("%.0f", 40, 1), "", "molche.csv"},
		{"how many there were", "N", "individualCount", cycle("12", "3", "30", "1", "3", "8"), "", "tadpoles.csv"},
		{"how many of nobody knows what", "N", "", cycle("12", "3", "30", "1", "3", "8"), "", ""},
		{"haemoglobin, or head and body", "hb", "", rising("%.1f", 3.1, 0.2), "grp", ""},
		{"head and body", "hb", "headBodyLength mm", rising("%.0f", 80, 1), "", "voles.csv"},
		{"months by name", "Month", "month", cycle("January", "May", "October"), "", ""},
		{"kinds of places beside a place", "Location", "", cycle("edge", "middle", "off edge"), "Tag_site", "trout.csv"},
		{"heat that was scaled", "Wtemp", "", rising("%.9f", -1.229378612, 0.052348761), "", ""},
		{"heat with the noise of a program", "Wtemp", "waterTemperature Cel", rising("%.14f", 8.3, 0.1), "", ""},
		{"letters with a word for the width", "hwid", "headWidth mm", rising("%.2f", 14, 0.1), "newt SVL", ""},
		{"two letters with a word for the length", "hd_len", "headLength mm", rising("%.2f", 15, 0.1), "newt SVL", ""},
		{"parts cut short", "LargCarap_mm", "carapaceWidth mm", rising("%.1f", 90, 1), "", "testuggini.csv"},
		{"heat of the soil", "Tsoil_C", "substrateTemperature Cel", rising("%.1f", 14, 0.2), "", ""},
		{"heat beside humidity", "temp_C", "airTemperature Cel", rising("%.1f", 14, 0.2), "RH_pct", "ponds.csv"},
		{"heat of fish", "temp_C", "waterTemperature Cel", rising("%.1f", 9, 0.2), "", "trout.csv"},
		{"wind in metres a second", "wind_ms", "windSpeed m/s", rising("%.1f", 0, 0.1), "", ""},
		{"points between units", "cond.us.cm", "waterConductivity uS/cm", rising("%.0f", 90, 4), "Pond", ""},
		{"scores that are no conductivity", "Cond", "", cycle("1", "3", "2", "4"), "DO_mgL", "trout.csv"},
		{"scales that ages are read from", "age_scale", "age a", cycle("1", "3", "2", "4"), "", "trout.csv"},
		{"states of carcasses", "carcass_state", "", cycle("fresh", "old", "1 day", "flat"), "", ""},
		{"zones of a beach", "Zone", "locationID", cycle("1", "14", "22", "7", "31", "40", "12"), "Lat", "turtles.csv"},
		{"zones of a grid", "Zone", "verbatimCoordinateSystem", cycle("12"), "UTM E", ""},
		{"how many pictures", "photo", "", cycle("3", "1", "2"), "", ""},
		{"numbers of sets in a year", "Set_ID", "", cycle("2014-019", "2014-023"), "", ""},
		{"miles from a place", "Spec locality", "locality", cycle("2.5 mi N of Elk Ford", "0.5 mi S of Elk Ford", "at Elk Ford"), "", ""},
		{"tails as long as the rat", "TL", "", rising("%.0f", 92, 0.5), "HB", "rats.csv"},
		{"letters of another group", "SPL", "plastronLength mm", rising("%.0f", 92, 1), "", "turtles.csv"},
		{"scores of nothing that turtles have", "SPD", "", rising("%.1f", 2, 0.1), "", "turtles.csv"},
		{"heat of a tank", "tank_temp", "waterTemperature Cel", rising("%.1f", 19, 0.1), "", ""},
		{"a part cut to five letters", "parot_len", "parotoidLength mm", rising("%.1f", 12, 0.1), "", "toads.csv"},
		{"numbers of males", "M", "", cycle("1", "4", "2", "11", "3"), "", ""},
		{"days by their form", "yyyymmdd", "eventDate", cycle("20210603", "20210611", "20210628"), "", ""},
		{"heat in a sheet about water", "Temperature", "", rising("%.1f", 14, 0.1), "Salinity", ""},
		{"the year of a publication", "year", "", rising("%.0f", 1975, 1), "author", ""},
		{"droppings", "Length", "", rising("%.1f", 9, 0.1), "Mass", "scats.csv"},
		{"a length of nobody knows what", "len", "", rising("%.1f", 4.2, 0.5), "dose", ""},
		{"letters of the language of the sheet", "GL", "totalLength mm", rising("%.1f", 83, 1.5), "Schwanz", "mäuse.csv"},
		{"pigs", "Weight", "", rising("%.1f", 26.5, 1.5), "Pig", ""},
		{"units of nobody knows what", "unit", "", cycle("mm", "g", "cm"), "exp_mean", ""},
		{"night and day", "night.day", "", cycle("night", "day"), "", ""},
		{"the sex of another", "SexParent", "", cycle("Male", "Female"), "", ""},
		{"the number of each", "N", "recordNumber", rising("%.0f", 1, 1), "", ""},
		{"scales on two sides, and no tail", "SL left", "", cycle("8", "9", "10"), "SL right", "vipers.csv"},
		{"new or not", "N/R", "", cycle("N", "R"), "", ""},
		{"what was eaten", "Prey", "", cycle("Microtus sp.", "Sorex araneus"), "", "vipers.csv"},
		{"how many of each kind", "No.", "individualCount", cycle("1", "1", "1", "40", "1", "17"), "", "tadpoles.csv"},
		{"the number of each toad of a sheet", "Toad #", "recordNumber", rising("%.0f", 1, 1), "", ""},
		{"the number of each lizard", "N. ind.", "", rising("%.0f", 1, 1), "", ""},
		{"units behind a name that begins as a place", "Box turtles", "", cycle("shell in mm, mass in g"), "", ""},
		{"metres of a zone", "UTM (19H) E", "verbatimLongitude", rising("%.0f", 354210, 17), "", ""},
		{"a pair of a zone", "UTM 18T", "verbatimCoordinates", cycle("352484 4792504", "352164 4792860"), "", ""},
		{"the width of crabs", "size", "carapaceWidth mm", rising("%.1f", 9, 0.3), "", "crabs.csv"},
		{"a length of a part that no word names", "Spine_Length", "", rising("%.1f", 9, 0.3), "Carapace_Width", "crabs.csv"},
		{"the claw of crabs", "Claw_Length", "chelaLength mm", rising("%.1f", 9, 0.3), "Carapace_Width", "crabs.csv"},
		{"a part of another animal, with its unit", "Height_m", "", rising("%.1f", 0.5, 0.1), "Forearm", "bats.csv"},
		{"days of the year", "jd", "startDayOfYear", rising("%.0f", 95, 2), "SUL", "toads.csv"},
		{"weather in numbers", "Sky", "", cycle("0", "3", "1", "2"), "", ""},
		{"weather in words", "Sky", "eventRemarks", cycle("clear", "overcast", "light rain"), "", ""},
		{"steps of the wind", "Wind", "", cycle("0", "3", "1", "2"), "", ""},
		{"wind in a unit", "Wind_kmh", "windSpeed km/h", cycle("0", "13", "11", "2"), "", ""},
		{"zones of a shore", "Zone", "locality", cycle("Creekbank", "Mid-marsh"), "", "toads.csv"},
		{"masses of heads", "HeadWt", "", rising("%.2f", 2.1, 0.05), "Species", ""},
		{"the total of something", "ntotal", "", rising("%.0f", 20, 3), "Species", ""},
		{"how many of something", "n2i", "", rising("%.0f", 12, 7), "Species", ""},
		{"people of a region", "population", "", cycle("3267345", "5996930", "1021000"), "Species", ""},
		{"numbers of sites", "Site", "locationID", cycle("1001", "1002", "1003"), "Species", ""},
		{"numbers of counties", "County", "", rising("%.0f", 1001, 2), "Species", ""},
		{"whether it is common", "com", "", cycle("yes", "no"), "", ""},
		{"classes of income", "income", "", cycle("Low income", "High income", "Lower middle income"), "", ""},
		{"authors of publications", "Author", "", cycle("Reyes 1999", "Oakes 2004"), "", ""},
		{"shares of the time of a study", "time", "", cycle("0.755744", "0.608711", "0.175008", "0.920154"), "Species", ""},
		{"shares of a day", "time", "eventTime", cycle("0.7923611111111111", "0.8055555555555556", "0.84375"), "Species", ""},
		{"hours that animals lived", "time", "", cycle("0.31", "0.45", "1.24", "0.88"), "Species", ""},
		{"codes of temperatures", "temp", "", cycle("0", "1", "2"), "Site", ""},
		{"numbers of stops of anything", "stop", "", cycle("50", "6", "14", "3"), "", ""},
		{"acidity of soils", "pH", "", rising("%.1f", 3.9, 0.05), "Litter (cm)", "plots.csv"},
		{"acidity of water", "pH", "waterPH [pH]", rising("%.1f", 5.9, 0.05), "Water depth (cm)", "plots.csv"},
		{"a letter for its heat", "SoilT_C", "substrateTemperature Cel", rising("%.1f", 9, 0.2), "", ""},
		{"a word cut down", "egg_wt", "eggMass g", rising("%.1f", 49, 0.2), "clutch", "gulls.csv"},
		{"two words cut down, and nothing between them", "totlen_mm", "totalLength mm", rising("%.1f", 62, 0.9), "SVL (mm)", "newts.csv"},
		{"a load that a laboratory estimates", "bd_load", "infectionLoad 1", rising("%.2f", 0.25, 123.4), "", "frogs.csv"},
		{"names of everyday language in short", "Sp", "vernacularName", cycle("Brook trout", "Mottled sculpin"), "", ""},
		{"rams and ewes", "sex", "sex", cycle("ram", "ewe"), "", ""},
		{"temperature of what no word names", "BOT_TEMP", "", rising("%.1f", 12, 0.2), "", "trawls.csv"},
		{"months by their letters", "MM", "month", cycle("04", "07", "10"), "", ""},
		{"a side on its word", "taglft", "organismID", rising("A%.0f", 101, 1), "", ""},
		{"numbers that keep their sex", "ID", "organismID", cycle("4001", "4002", "4003", "4004", "4005", "4006", "4007"), "Sex kept", ""},
		{"numbers that do not", "Pair_ID", "", cycle("4001", "4002", "4003", "4004", "4005", "4006", "4007"), "Sex", ""},
		{"numbers of an unknown word that keep their sex", "Tort_ID", "organismID", cycle("101", "102", "103", "104", "105", "106", "107"), "Sex kept", ""},
		{"oxygen in a unit without its stroke", "DO_mgL", "dissolvedOxygen mg/L", rising("%.1f", 4, 0.1), "", ""},
		{"the length of fish that weigh so much", "L_cm", "length cm", rising("%.1f", 20, 0.4), "W (g)", "eels.csv"},
		{"two of a part that no word tells apart", "EyeV_mm", "", rising("%.1f", 2, 0.05), "EyeH_mm", "eels.csv"},
		{"numbers of ear tags", "r_ear", "", rising("%.0f", 3201, 1), "hind_foot", "hares.csv"},
		{"a foot, and no feet", "hind_ft", "hindfootLength mm", rising("%.0f", 118, 1), "ear", "hares.csv"},
		{"attempts at nests", "Nest_Attempt", "", cycle("1", "2", "1"), "", ""},
		{"sizes of areas", "AREA", "", cycle("300"), "", ""},
		{"names of areas", "AREA", "locality", cycle("North", "South"), "", ""},
		{"a body of fish", "BD_mm", "bodyDepth mm", rising("%.1f", 11, 0.1), "SL_mm", "sticklebacks.csv"},
		{"a bill of birds", "BD_mm", "culmenDepth mm", rising("%.1f", 7, 0.05), "Wing_mm", "sparrows.csv"},
		{"a unit of one letter behind a mass", "Massg", "net g", rising("%.1f", 87, 0.9), "", ""},
		{"names that only look Latin", "COMMON_NAME", "vernacularName", cycle("Spiny lobster"), "", ""},
		{"initials cut down", "obs_init", "recordedBy", cycle("jm", "kr", "dw"), "", ""},
		{"a collection beside its collectors", "Coll", "", cycle("Herp"), "Collectors", ""},
		{"the ID of a study", "study.id", "", func(r int) string { return fmt.Sprintf("S%02d", r/3) }, "", ""},
		{"an index that is no longitude", "longindex", "", rising("%.2f", 0.3, 0.02), "", ""},
		{"the total of rain", "rain.tot", "", rising("%.1f", 766.5, 20), "rain.jan", ""},
		{"the cover of plants", "veg.cover", "", cycle("low", "high"), "", ""},
		{"the content of water, of which two letters stand", "WaterCon", "", rising("%.3f", 2.1, 0.03), "", ""},
		{"the girth of a part", "ThighG", "", rising("%.1f", 46, 0.4), "", "voles.csv"},
		{"the girth of another", "ForearmG", "", rising("%.1f", 19, 0.4), "", "voles.csv"},
		{"the length of a part", "ForearmL", "forearmLength mm", rising("%.1f", 39, 0.1), "", "bats.csv"},
		{"an ending that is a unit by chance", "denMI", "", rising("%.0f", 22, 1), "", ""},
		{"time by its letter", "t", "", rising("%.0f", 0, 3), "con", ""},
		{"numbers that count nothing on", "n", "", func(r int) string { return fmt.Sprint(4 + 7*r%41) }, "", ""},
		{"ranks", "V6", "", func(r int) string { return fmt.Sprint(1 + 7*r%41) }, "", ""},
		{"is there a stream", "Stream", "", cycle("Yes", "No"), "", ""},
		{"shares under a word for a lake", "di.see", "", cycle("0", "0", "1", "0.33"), "", ""},
		{"counts under letters for pictures", "Pic", "", cycle("0", "3", "0", "12"), "", ""},
		{"letters of places", "Code", "", func(r int) string { return "CO" + string(rune('A'+r%26)) + string(rune('A'+r/26)) }, "", ""},
		{"numbers of things", "Code", "catalogNumber", rising("A%.0f", 101, 1), "", ""},
		{"by night or by day", "night.day", "", cycle("night", "day", "both"), "", ""},
		{"where birds breed", "breeding", "", cycle("foliage", "scrub", "ground"), "", ""},
		{"yes and no under two letters", "cp_data", "", cycle("yes", "no"), "", ""},
		{"the same of birds", "CP", "reproductiveCondition", cycle("1", "2", "3"), "Sex", "sparrows.csv"},
		{"acid soil that conducts", "pH", "", rising("%.2f", 4.1, 0.02), "Cond", ""},
		{"acid ponds that conduct", "pH", "waterPH [pH]", rising("%.2f", 6.1, 0.02), "Cond", "ponds.csv"},
		{"heat of water or of soil", "Temp", "", rising("%.1f", 9, 0.2), "Cond", ""},
		{"masses of nobody knows what", "weight", "", rising("%.1f", 36.3, 0.4), "", ""},
		{"masses of something on a day", "weight", "net g", rising("%.1f", 36.3, 0.4), "Date", ""},
		{"young in a litter", "litter.size", "litterSize 1", cycle("9", "12", "7"), "", "rats.csv"},
		{"degrees and minutes with their first letter", "Latitude", "decimalLatitude", func(r int) string { return fmt.Sprintf("51d%02d'N", r) }, "", ""},
		{"an ID beside the species", "species.id", "", cycle("Rana_arvalis_ott1", "Rana_dalmatina_ott2"), "Kind", ""},
		{"numbers of stations", "stations", "", cycle("41", "15", "43"), "", ""},
		{"numbers with decimals", "period", "", rising("%.2f", 3.3, 1.7), "", ""},
		{"the depth of soil", "DEPTHCM", "", rising("%.0f", 20, 3), "PH1", ""},
		{"the girth of trees", "Girth", "", rising("%.1f", 8.3, 0.4), "", "trees.csv"},
		{"letters around a number", "n2i", "", cycle("5", "3", "8"), "", ""},
		{"air with more of a gas", "co2.elev", "", cycle("650", "700"), "", ""},
		{"miles in a city", "MPG.city", "", cycle("25", "18", "20"), "", ""},
		{"states by their numbers", "state", "", cycle("1", "2", "3"), "", ""},
		{"how many live there", "population", "", rising("%.0f", 326250, 9100), "", ""},
		{"lengths of nobody knows what", "Length", "", rising("%.1f", 214, 0.1), "", ""},
		{"a bone, or half a diameter", "Radius_extreme", "", rising("%.2f", 15, 0.3), "", ""},
		{"how far somebody jumped", "long", "", rising("%.2f", 6.1, 0.03), "", ""},
		{"letters beside the heat of the air", "Hum", "", rising("%.0f", 19, 1), "Temp", ""},
		{"degrees of tension", "tension", "", cycle("L", "M", "H"), "", ""},
		{"words that nothing parts", "SAMPDATE", "eventDate", cycle("20030813", "20030829", "20040811"), "", ""},
		{"an animal and its number", "FISHNO", "recordNumber", rising("%.0f", 301, 1), "", "trout.csv"},
		{"numbers within a haul", "Fish_Num", "recordNumber", cycle("1", "1", "2", "1", "2", "3"), "Date", "trout.csv"},
		{"a number of nothing but a toe", "TOENO", "organismID", rising("%.0f", 1, 1), "Sex kept", ""},
		{"fields with letters", "Field", "locality", cycle("A", "B", "C"), "Date", ""},
		{"boards with numbers", "CO_ID", "", cycle("C03", "C17", "C40"), "", ""},
		{"months with days", "Mo/Da", "eventDate", cycle("8/28", "6/4", "7/16"), "", ""},
		{"when the young came out", "EmergDate", "", cycle("2013-06-30", "2013-07-02"), "", ""},
		{"how many were left in a nest", "LiveInNest", "", cycle("1", "0", "2", "1", "3"), "", "turtles.csv"},
		{"pots for crabs", "pot", "locationID", cycle("P1", "P2", "P3"), "Date", "crabs.csv"},
		{"hind feet of animals whose group nothing names", "hf", "hindfootLength mm", func(r int) string { return fmt.Sprintf("%.0f", 18+0.4*float64(r)) }, "hf W", ""},
		{"what does not go with the mass", "hf", "", func(r int) string { return fmt.Sprintf("%.0f", 58-0.4*float64(r)) }, "hf W", ""},
		{"the whole beside the tail", "TL", "totalLength mm", func(r int) string { return fmt.Sprintf("%.0f", 95+float64(r%7)) }, "TV", ""},
		{"initials behind a place", "Station_Init", "recordedBy", cycle("RW", "PD"), "Date", ""},
		{"names in capitals", "SPECIES", "scientificName", cycle("ORCONECTES RUSTICUS", "ORCONECTES VIRILIS"), "", ""},
		{"animals in capitals", "SPECIES", "vernacularName", cycle("ROCK BASS", "WHITE SUCKER", "IOWA DARTER"), "", ""},
		{"days of a year", "DAYNUM", "startDayOfYear", rising("%.0f", 195, 1), "YEAR4", ""},
		{"days of a study", "DAYNUM", "", rising("%.0f", 95, 1), "", ""},
		{"two tags of each animal", "eartags", "organismID", cycle("603/604", "606/607", "609/610", "612/613", "615/616", "618/619", "621/622"), "Sex kept", ""},
		{"the tag of one ear", "ltag", "organismID", rising("A%.0f", 101, 1), "rtag", ""},
		{"a letter before a word", "ltag", "", rising("A%.0f", 101, 1), "", ""},
		{"the whole of newts", "TL (mm)", "totalLength mm", func(r int) string { return fmt.Sprintf("%.0f", 2.1*(60+float64(r%9))) }, "newt SVL", ""},
		{"numbers that are no names", "ident", "", rising("N%.0f", 101, 1), "Date", ""},
		{"a letter in some rows", "mort", "", func(r int) string { return map[bool]string{r%13 == 5: "M"}[true] }, "Date", ""},
		{"the tail beside head and body", "tl", "tailLength mm", func(r int) string { return fmt.Sprint(70 + r%9) }, "HB", ""},
		{"a width of turtles by three letters of theirs", "cw", "carapaceWidth mm", func(r int) string { return fmt.Sprint(104 + r%9) }, "CL PL", ""},
		{"a width of turtles or crabs", "cw", "", func(r int) string { return fmt.Sprint(104 + r%9) }, "Date", ""},
		{"how far around a bear is", "CHEST_CM", "chestGirth cm", rising("%.0f", 70, 1), "", "bears.csv"},
		{"wild or of a hatchery", "Origin", "", cycle("W", "H", "N"), "Tag_site", ""},
		{"ways past a dam", "passage", "", cycle("up", "down", "down"), "Date", ""},
		{"the day of a capture", "CaptDate", "eventDate", cycle("20181113", "20181120", "20190105"), "", ""},
		{"numbers of animals that come again", "tort_no", "organismID", cycle("0031", "0012", "0043", "0004", "0025", "0006", "0017"), "Sex kept", ""},
		{"shells of snails, or of turtles", "ShellLength_mm", "", rising("%.1f", 12, 0.1), "", ""},
		{"grids with small letters", "grid", "locationID", cycle("bonrip", "bonmat", "bonbs"), "Tag_site", ""},
		{"numbers for nothing among lengths", "Major_Claw_Length", "chelaLength mm", cycle("-9999", "-9999", "12.1", "14.7", "13.2"), "", "crabs.csv"},
		{"where an animal was taken again", "Recap_site", "", cycle("Reef 2", "Jetty"), "Tag_site", ""},
	} {
		headings, values := []string{c.heading}, []func(int) string{c.values}
		switch c.beside {
		case "":
		case "Tag replaced":
			headings, values = []string{c.beside, c.heading}, []func(int) string{cycle(""), c.values}
		case "Sex", "Sex kept":
			sexes := map[string]func(int) string{"Sex": cycle("M", "F"), "Sex kept": cycle("M", "F", "F", "M", "M", "F", "M")}
			headings, values = append(headings, "Sex"), append(values, sexes[c.beside])
		case "W (g)":
			headings, values = append(headings, c.beside), append(values, func(r int) string { l := 20 + 0.4*float64(r); return fmt.Sprintf("%.1f", l*l*l/550) })
		case "hf W":
			headings, values = append(headings, "Sex", "Wt (g)"), append(values, cycle("M", "F"), func(r int) string { l := 18 + 0.4*float64(r); return fmt.Sprintf("%.1f", l*l*l/1500) })
		case "HB":
			headings, values = append(headings, c.beside, "Sex"), append(values, func(r int) string { return fmt.Sprint(88 + r%7) }, cycle("M", "F"))
		case "CL PL":
			headings, values = append(headings, "cl", "pl", "Sex"), append(values, func(r int) string { return fmt.Sprint(140 + r%9) }, func(r int) string { return fmt.Sprint(128 + r%9) }, cycle("M", "F"))
		case "YEAR4":
			headings, values = append(headings, c.beside), append(values, cycle("1988", "1989"))
		case "rtag":
			headings, values = append(headings, c.beside), append(values, rising("B%.0f", 301, 1))
		case "newt SVL":
			headings, values = append(headings, "SVL (mm)", "Species"), append(values, func(r int) string { return fmt.Sprintf("%.0f", 60+float64(r%9)) }, cycle("Taricha torosa", "Taricha granulosa"))
		case "TV":
			headings, values = append(headings, "TV", "Sex"), append(values, func(r int) string { return fmt.Sprintf("%.0f", 38+float64(r%5)) }, cycle("M", "F"))
		case "Collectors":
			headings, values = append(headings, c.beside), append(values, cycle("H. B. Lorne", "J. Tasker", "W. E. Pym"))
		case "Tag_site":
			headings, values = append(headings, c.beside), append(values, cycle("Reef 4", "Bridge", "Jetty"))
		case "Kind":
			headings, values = append(headings, "Species"), append(values, func(r int) string { return "Corvus corax" + string(rune('a'+r%26)) + string(rune('a'+r/26)) + "us" })
		case "Date":
			headings, values = append(headings, c.beside), append(values, func(r int) string { return fmt.Sprintf("2024-05-%02d", r/10+1) })
		case "Especie", "Genus":
			headings, values = append(headings, c.beside), append(values, map[string]func(int) string{"Especie": cycle("Rana arvalis", "Rana dalmatina"), "Genus": cycle("Anolis")}[c.beside])
		default:
			headings, values = append(headings, c.beside), append(values, rising("%.1f", 11, 0.05))
		}
		guesses := Guess([]record.Table{tableOf(c.file, headings, values...)}, repeatableTerms)
		guess := guesses[slices.Index(headings, c.heading)]
		if got := said(guess.Meaning); got != c.want {
			t.Errorf("%s: %q is taken for %q, want %q: %s", c.name, c.heading, got, c.want, guess.Reason)
		}
	}
}

// TestGuessHeldAgainstAnother has headings that another column of a sheet of five rows
// speaks against: a whole is longer than its part, and of two times under unknown words
// nothing says which is that of the capture.
func TestGuessHeldAgainstAnother(t *testing.T) {
	times := func(first int) func(int) string {
		return func(r int) string { return fmt.Sprintf("%02d:%02d", first+r, 5*r) }
	}
	for _, c := range []struct {
		headings []string
		values   []func(int) string
		want     []string
	}{
		{[]string{"Especie", "LHC (mm)", "LT (mm)"}, []func(int) string{cycle("Boana cordobae"), rising("%.1f", 48, 2), rising("%.1f", 24, 1)}, []string{"scientificName", "snoutVentLength mm", "tibiaLength mm"}},
		{[]string{"Species", "SVL (mm)", "TOT (mm)"}, []func(int) string{cycle("Anolis sagrei"), rising("%.1f", 48, 2), rising("%.1f", 131, 4)}, []string{"scientificName", "snoutVentLength mm", "totalLength mm"}},
		{[]string{"espécie", "CRC (mm)", "CC (mm)"}, []func(int) string{cycle("Tropidurus torquatus"), rising("%.1f", 74, 2), rising("%.0f", 110, 4)}, []string{"scientificName", "snoutVentLength mm", "tailLength mm"}},
		{[]string{"Soort", "Gewicht 1 (g)", "Gewicht 2 (g)"}, []func(int) string{cycle("Rana arvalis"), rising("%.1f", 9.8, 0.3), rising("%.1f", 9.7, 0.31)}, []string{"scientificName", "bodyMass g #1", "bodyMass g #2"}},
		{[]string{"Especie", "Peso con bolsa", "Bolsa", "Peso neto", "LCC"}, []func(int) string{cycle("Rana arvalis"), rising("%.0f", 102, 8), cycle("8"), rising("%.0f", 94, 8), rising("%.0f", 116, 3)}, []string{"scientificName", "gross g", "tare g", "net g", "snoutVentLength mm"}},
		{[]string{"species", "body", "tail", "HF"}, []func(int) string{cycle("Apodemus sylvaticus"), rising("%.0f", 84, 3), rising("%.0f", 80, 2), rising("%.1f", 21, 0.2)}, []string{"scientificName", "", "tailLength mm", "hindfootLength mm"}},
		{[]string{"species", "Max SVL (mm)", "Count"}, []func(int) string{cycle("Bufo bufo"), rising("%.0f", 64, 3), cycle("14", "2", "1", "6")}, []string{"scientificName", "", "individualCount"}},
		{[]string{"species", "1st capture", "SVL1", "M1", "2nd capture", "SVL2", "M2"}, []func(int) string{cycle("Lacerta agilis"), cycle("12/05/2011", "13/05/2011"), rising("%.1f", 61, 1.1), rising("%.1f", 5.9, 0.4), cycle("20/06/2011", "21/06/2011"), rising("%.1f", 62, 1.1), rising("%.1f", 6.3, 0.4)}, []string{"scientificName", "eventDate", "", "", "", "", ""}},
		{[]string{"dt", "SVL (mm)"}, []func(int) string{cycle("20190602", "20190603"), rising("%.1f", 61, 1.1)}, []string{"eventDate", "snoutVentLength mm"}},
		{[]string{"Gewässer", "Art", "L (cm)", "G (g)"}, []func(int) string{cycle("Aare", "Emme"), cycle("Salmo trutta"), rising("%.1f", 18, 2), rising("%.0f", 61, 25)}, []string{"locality", "scientificName", "length cm", "net g"}},
		{[]string{"Espécie", "CT", "CA", "PE", "OR"}, []func(int) string{cycle("Akodon montensis"), rising("%.0f", 183, 4), rising("%.0f", 80, 2), cycle("23", "24"), cycle("15", "16")}, []string{"scientificName", "totalLength mm", "tailLength mm", "hindfootLength mm", "earLength mm"}},
		{[]string{"Species", "M", "F", "Wt"}, []func(int) string{cycle("Bank vole"), cycle("x", "", "x"), cycle("", "x", ""), rising("%.1f", 19.5, 0.5)}, []string{"vernacularName", "", "", "net g"}},
		{[]string{"č.", "druh", "spec"}, []func(int) string{rising("%.0f", 1, 1), cycle("Bufo bufo"), rising("MC-%.0f", 771, 1)}, []string{"recordNumber", "scientificName", "catalogNumber"}},
		{[]string{"Ring", "Adult wt", "Chick wt", "Chick wing"}, []func(int) string{rising("EB%.0f", 10022, 1), cycle("398", "421", ""), cycle("", "", "210"), cycle("", "", "48")}, []string{"organismID", "", "", ""}},
		{[]string{"Dato", "Køn", "Vægt"}, []func(int) string{cycle("04.10.2015"), cycle("han", "hun"), rising("%.1f", 9.1, 0.4)}, []string{"eventDate", "sex", "net g"}},
		{[]string{"LfPt", "LfPr", "IndLA", "ShLA", "Infl"}, []func(int) string{rising("%.2f", 4.27, 0.1), cycle("1", "0.98", "1.02"), rising("%.2f", 3.05, 0.2), rising("%.2f", 3.74, 0.3), rising("%.2f", 2.6, 0.1)}, []string{"", "", "", "", ""}},
		{[]string{"Lf FA", "Ind SVL", "Cap wt"}, []func(int) string{rising("%.1f", 37, 0.4), rising("%.1f", 61, 1), rising("%.1f", 7.4, 0.2)}, []string{"forearmLength mm", "snoutVentLength mm", "net g"}},
		{[]string{"Forearm", "5th", "Mass"}, []func(int) string{rising("%.1f", 37, 0.4), rising("%.1f", 36, 0.4), rising("%.1f", 7.4, 0.2)}, []string{"forearmLength mm", "", "net g"}},
		{[]string{"cow", "pig", "sheep"}, []func(int) string{cycle("67", "99", "212", "75", "14"), cycle("252", "231", "97", "118", "83"), cycle("531", "56", "402", "77", "310")}, []string{"", "", ""}},
		{[]string{"Ring", "Date", "Wing", "Catch"}, []func(int) string{rising("NT%.0f", 871, 1), cycle("2017-02-11"), rising("%.0f", 117, 1), cycle("1", "1", "2", "2", "2")}, []string{"organismID", "eventDate", "wingLength mm", ""}},
		{[]string{"Species", "alpha", "omega"}, []func(int) string{cycle("Rana arvalis"), times(14), times(16)}, []string{"scientificName", "", ""}},
		{[]string{"Species", "alpha", "SVL (mm)"}, []func(int) string{cycle("Rana arvalis"), times(14), rising("%.1f", 48, 2)}, []string{"scientificName", "eventTime", "snoutVentLength mm"}},
		{[]string{"Especie", "Inicio", "Fin"}, []func(int) string{cycle("Rana arvalis"), times(14), times(16)}, []string{"scientificName", "eventTime", ""}},
		{[]string{"Species", "time_cap"}, []func(int) string{cycle("Rana arvalis"), cycle("1015", "925", "0040")}, []string{"scientificName", "eventTime"}},
		{[]string{"Species", "cap"}, []func(int) string{cycle("Rana arvalis"), cycle("1015", "925", "0040")}, []string{"scientificName", ""}},
		{[]string{"Art", "Länge", "Breite"}, []func(int) string{cycle("Rana arvalis"), rising("%.4f", 8.51, 0.01), rising("%.4f", 47.11, 0.01)}, []string{"scientificName", "decimalLongitude", "decimalLatitude"}},
		{[]string{"Art", "Länge", "Breite"}, []func(int) string{cycle("Rana arvalis"), rising("%.1f", 28, 4), rising("%.1f", 20, 3)}, []string{"scientificName", "", ""}},
		{[]string{"Gosner", "BL", "TL"}, []func(int) string{rising("%.0f", 27, 1), rising("%.1f", 6, 1), rising("%.1f", 14, 2.5)}, []string{"gosnerStage 1", "bodyLength mm", ""}},
		{[]string{"SVL (mm)", "TL (mm)"}, []func(int) string{rising("%.1f", 36, 2), rising("%.1f", 70, 4)}, []string{"snoutVentLength mm", ""}},
		{[]string{"Culmen", "Mass"}, []func(int) string{rising("%.1f", 48, 2), rising("%.0f", 310, 20)}, []string{"culmenLength mm", "net g"}},
		{[]string{"Observer code", "SVL"}, []func(int) string{cycle("1", "2"), rising("%.1f", 36, 2)}, []string{"", "snoutVentLength mm"}},
		{[]string{"SVL (mm)", "SVL (in)"}, []func(int) string{rising("%.0f", 62, 2), func(r int) string { return fmt.Sprintf("%.2f", (62+2*float64(r))/25.4) }}, []string{"snoutVentLength mm", ""}},
		{[]string{"SVL (cm)", "SVL (mm)"}, []func(int) string{rising("%.1f", 6.2, 0.2), rising("%.1f", 62.8, 1.9)}, []string{"snoutVentLength cm #1", "snoutVentLength mm #2"}}, // read twice
		{[]string{"Species", "TL_MM", "WT_G"}, []func(int) string{cycle("Rana arvalis"), rising("%.0f", 180, 20), rising("%.0f", 70, 25)}, []string{"scientificName", "", "net g"}},
		{[]string{"Effort_ID", "Weather", "SVL (mm)"}, []func(int) string{cycle("A1", "A2"), cycle("rain"), rising("%.1f", 62, 2)}, []string{"", "eventRemarks", "snoutVentLength mm"}},
		{[]string{"Unique ID", "Catalog No", "SVL (mm)"}, []func(int) string{rising("MCFS:Herp:%.0f", 4411, 1), rising("%.0f", 4411, 1), rising("%.1f", 62, 2)}, []string{"occurrenceID", "catalogNumber", "snoutVentLength mm"}},
		{[]string{"Catch (time)", "ID", "SVL (mm)"}, []func(int) string{cycle("09:15"), rising("https://marrow-creek.invalid/%.0f", 4411, 1), rising("%.1f", 62, 2)}, []string{"eventTime", "occurrenceID", "snoutVentLength mm"}},
		{[]string{"time_zone", "positional accuracy", "measurement accuracy", "row", "recordNumber"}, []func(int) string{cycle("Eastern Time"), cycle("5", "12"), cycle("0.3", "0.4"), rising("%.0f", 4, 3), rising("%.0f", 1, 1)}, []string{"", "coordinateUncertaintyInMeters", "", "", "recordNumber"}},
		{[]string{"Clutch", "lay_date", "pip_date", "rightT_s"}, []func(int) string{cycle("C1", "C2"), cycle("2020-06-11"), cycle("2020-08-14", "2020-08-15"), cycle("2.1", "3.4")}, []string{"", "", "", ""}},
		{[]string{"species", "Wtemp", "water depth (cm)"}, []func(int) string{cycle("Rana arvalis"), cycle("-1.236", "0.871", "0.412", "1.104", "-0.995"), rising("%.1f", 20, 2)}, []string{"scientificName", "", "waterDepth cm"}}, // scaled
		{[]string{"individualCount", "occurrenceID", "SVL (mm)"}, []func(int) string{cycle("1"), cycle("a1", "a2"), rising("%.1f", 62, 2)}, []string{"individualCount", "occurrenceID", "snoutVentLength mm"}},
		{[]string{"Chick mass (g)", "Fem Ring"}, []func(int) string{rising("%.1f", 15.2, 0.4), rising("TX%.0f", 4410, 1)}, []string{"net g", ""}},
		{[]string{"Bat & bag wt", "Bag wt"}, []func(int) string{rising("%.1f", 23.4, 0.4), rising("%.1f", 12.1, 0.1)}, []string{"gross g", "tare g"}},
		{[]string{"FA (mm)", "TL (mm)", "Tail (mm)"}, []func(int) string{rising("%.1f", 45, 1), rising("%.0f", 80, 1), rising("%.0f", 33, 1)}, []string{"forearmLength mm", "totalLength mm", "tailLength mm"}},
		{[]string{"Newt + bag (g)", "Bag (g)", "Newt", "Newt no."}, []func(int) string{rising("%.1f", 5.4, 0.3), rising("%.1f", 3.1, 0.1), rising("%.1f", 2.3, 0.2), rising("%.0f", 1, 1)}, []string{"gross g", "tare g", "net g", "recordNumber"}},
		{[]string{"头宽 HW (mm)", "鼻间距 INS (mm)", "体重 (g)"}, []func(int) string{rising("%.1f", 24, 1), rising("%.1f", 6, 0.1), rising("%.1f", 30, 2)}, []string{"headWidth mm", "internarialDistance mm", "net g"}},
		{[]string{"Species", "SVL (mm)", "age_yr", "age_mo"}, []func(int) string{cycle("Bufo bufo"), rising("%.1f", 36, 2), cycle("1", "2", "2"), cycle("17", "29", "35")}, []string{"scientificName", "snoutVentLength mm", "age a", ""}},
		{[]string{"SVL (mm)", "Status", "Author"}, []func(int) string{rising("%.1f", 36, 2), cycle("Holotype", "Paratype", "Paratipo"), cycle("(Schreber, 1780)", "Melchior, 1834")}, []string{"snoutVentLength mm", "typeStatus", "scientificNameAuthorship"}},
		{[]string{"SVL (mm)", "Status", "Author"}, []func(int) string{rising("%.1f", 36, 2), cycle("done", "open"), cycle("K. Niles", "R. Oak")}, []string{"snoutVentLength mm", "", ""}},
		{[]string{"Species", "Net", "Net Ht", "Wt"}, []func(int) string{cycle("EPFU"), cycle("Net 1", "Net 2"), rising("%.1f", 2, 0.3), rising("%.1f", 12, 0.4)}, []string{"scientificName", "locationID", "", "net g"}},
	} {
		table := tableOf("sheet.csv", c.headings, c.values...)
		table.Rows = table.Rows[:5]
		guesses := Guess([]record.Table{table}, repeatableTerms)
		for i, g := range guesses {
			if got := said(g.Meaning); got != c.want[i] {
				t.Errorf("%q beside %q is taken for %q, want %q: %s", g.Heading, c.headings, got, c.want[i], g.Reason)
			}
		}
	}
}

// TestGuessOfSeveralAnimals has rows that count animals and weigh them together.
func TestGuessOfSeveralAnimals(t *testing.T) {
	n := func(r int) string { return fmt.Sprint([]int{12, 40, 7, 31, 22, 9}[r%6] + r/6) }
	mass := func(r int) string { return fmt.Sprintf("%.2f", 0.11*float64([]int{12, 40, 7, 31, 22, 9}[r%6]+r/6)) }
	for _, c := range []struct {
		headings []string
		want     []string
	}{
		{[]string{"Species", "N", "Total mass (g)", "Mean SVL (mm)"}, []string{"scientificName", "individualCount", "", ""}},
		{[]string{"Species", "Bucket", "Total mass (g)", "SVL (mm)"}, []string{"scientificName", "locationID", "net g", "snoutVentLength mm"}},
	} {
		guesses := Guess([]record.Table{tableOf("toads.csv", c.headings, cycle("Bufo bufo"), n, mass, rising("%.1f", 8, 0.1))}, repeatableTerms)
		for i, g := range guesses {
			if got := said(g.Meaning); got != c.want[i] {
				t.Errorf("%q beside %q is taken for %q, want %q: %s", g.Heading, c.headings, got, c.want[i], g.Reason)
			}
		}
	}
}

// TestGuessLettersOfOtherLanguages has letters that stand for a length in German.
func TestGuessLettersOfOtherLanguages(t *testing.T) {
	for _, c := range []struct{ site, name, want string }{{"Place", "Observer", ""}, {"Fundort", "Beobachter", "totalLength mm"}} {
		guesses := Guess([]record.Table{tableOf("newts.csv", []string{c.site, c.name, "GL", "SVL (mm)"}, cycle("Mill", "Weir"), cycle("I. Varga", "T. Okafor"), rising("%.1f", 83, 1.5), rising("%.1f", 43, 0.8))}, repeatableTerms)
		if got := said(guesses[2].Meaning); got != c.want {
			t.Errorf("GL beside %q and %q is taken for %q, want %q: %s", c.site, c.name, got, c.want, guesses[2].Reason)
		}
	}
}

// TestGuessByChance has many headings of a few letters that nobody here knows, among
// which one stands for a measurement elsewhere.
func TestGuessByChance(t *testing.T) {
	unknown := []string{"QA", "QB", "QD", "QE", "XAD", "XAN", "XDC", "XPA", "ZC", "ZL", "ZN"}
	for _, c := range []struct {
		known []string
		want  string
	}{
		{[]string{"HD"}, ""},
		{[]string{"HD", "SVL", "HW"}, "headHeight mm"},
	} {
		headings := append(slices.Clone(c.known), unknown...)
		var values []func(int) string
		for i := range headings {
			values = append(values, rising("%.1f", 9+float64(3*i), 0.1))
		}
		if len(c.known) > 1 {
			values[1], values[2] = rising("%.1f", 40, 0.3), rising("%.1f", 12, 0.1)
		}
		guesses := Guess([]record.Table{tableOf("lizards.csv", headings, values...)}, repeatableTerms)
		if got := said(guesses[0].Meaning); got != c.want {
			t.Errorf("HD among %q is taken for %q, want %q: %s", headings, got, c.want, guesses[0].Reason)
		}
	}
}

// TestGuessEggs has rows that are eggs.
func TestGuessEggs(t *testing.T) {
	for _, headings := range [][]string{{"Nest", "Egg", "Length mm", "Breadth mm", "Mass g"}, {"Horst", "Ei Nr", "Länge mm", "Breite mm", "Masse g"}, {"Nido", "Huevo", "Largo mm", "Ancho mm", "Peso g"}} {
		guesses := Guess([]record.Table{tableOf("sheet.csv", headings, cycle("N1", "N2", "N3", "N4"), cycle("a", "b", "c"), rising("%.1f", 19, 0.05), rising("%.1f", 14, 0.05), rising("%.2f", 2.2, 0.02))}, repeatableTerms)
		for i, want := range []string{"eggLength mm", "eggWidth mm", "eggMass g"} {
			if g := guesses[i+2]; said(g.Meaning) != want {
				t.Errorf("%q is taken for %q, want %q: %s", g.Heading, said(g.Meaning), want, g.Reason)
			}
		}
	}
}

// TestGuessNumbersThatBeginAgain has animals that are numbered anew in each lot of
// one day, and animals that are measured on four days in the order of their marks.
func TestGuessNumbersThatBeginAgain(t *testing.T) {
	for _, c := range []struct {
		date func(int) string
		want string
	}{
		{cycle("21-Jun-10"), "recordNumber"},
		{func(r int) string { return fmt.Sprintf("%d-Jun-10", 21+r/10) }, "organismID"},
	} {
		guesses := Guess([]record.Table{tableOf("tadpoles.csv", []string{"Tadpole", "Date", "BL"}, func(r int) string { return fmt.Sprint(r%10 + 1) }, c.date, rising("%.1f", 9, 0.1))}, repeatableTerms)
		if got := said(guesses[0].Meaning); got != c.want {
			t.Errorf("on %s and on: %q, want %q: %s", c.date(0), got, c.want, guesses[0].Reason)
		}
	}
}

// TestGuessMarksWithSlips has six animals caught again, one or two of which are of
// another species the second time.
func TestGuessMarksWithSlips(t *testing.T) {
	for changed, want := range map[int]string{0: "organismID", 1: "organismID", 2: ""} {
		species := func(r int) string {
			if again := r >= 34 && r < 34+changed; again != (r%34%2 == 0) {
				return "Rana arvalis"
			}
			return "Rana dalmatina"
		}
		guesses := Guess([]record.Table{tableOf("frogs.csv", []string{"Species", "Tag"}, species, func(r int) string { return fmt.Sprintf("T%d", 101+r%34) })}, repeatableTerms)
		if got := said(guesses[1].Meaning); got != want {
			t.Errorf("%d changed: %q, want %q: %s", changed, got, want, guesses[1].Reason)
		}
	}
}

// TestGuessCoordinatesWithSlips has degrees under headings of grids: a lost sign or two do
// not speak against them, but places on two continents do.
func TestGuessCoordinatesWithSlips(t *testing.T) {
	for lost, want := range map[int]string{0: "decimalLongitude", 2: "decimalLongitude", 4: ""} {
		easting := func(r int) string {
			if r < lost {
				return "98.4412"
			}
			return fmt.Sprintf("-98.%d", 3871+r)
		}
		guesses := Guess([]record.Table{tableOf("frogs.csv", []string{"Species", "northing", "easting"}, cycle("Rana arvalis", "Rana dalmatina"), rising("%.4f", 47.1213, 0.0021), easting)}, repeatableTerms)
		if got := said(guesses[2].Meaning); got != want {
			t.Errorf("%d signs lost: %q, want %q: %s", lost, got, want, guesses[2].Reason)
		}
	}
}

// What stands over several columns tells the group of animals no less than it does
// without: fish have a fork length, and their age is in years.
func TestGuessUnderGroups(t *testing.T) {
	table := tableOf("sheet.csv", []string{"Capture Spp", "Capture FL", "Capture TL", "Capture SL", "Readings Wt", "Readings Age", "Readings Sampler"},
		cycle("BT", "BH"), rising("%.0f", 70, 3), rising("%.0f", 74, 3.15), rising("%.0f", 62, 2.65), rising("%.1f", 4, 1.1), cycle("0", "1", "3"), cycle("MT", "DH"))
	for i, parts := range [][]string{{"Capture", "Spp"}, {"", "FL"}, {"", "TL"}, {"", "SL"}, {"Readings", "Wt"}, {"", "Age"}, {"", "Sampler"}} {
		table.Columns[i].Parts = parts
	}
	guesses := Guess([]record.Table{table}, repeatableTerms)
	for i, want := range []string{"scientificName", "forkLength mm", "totalLength mm", "standardLength mm", "net g", "age a", "recordedBy"} {
		if got := said(guesses[i].Meaning); got != want {
			t.Errorf("%q is taken for %q, want %q: %s", guesses[i].Heading, got, want, guesses[i].Reason)
		}
	}
}

// The lower of two heading rows says what a column is; the upper one may
// stretch over columns that its unit does not belong to.
func TestGuessTwoHeadingRows(t *testing.T) {
	table := tableOf("ranas.csv", []string{"Medidas (mm) LRC", "Medidas (mm) LC", "Masa (g) Neta", "Masa (g) Observaciones", "Localidad"},
		rising("%.1f", 40, 0.5), rising("%.1f", 14, 0.2), rising("%.1f", 6, 0.1), cycle("liberada en sitio", "recaptura"), cycle("Laguna Seca", "Quebrada Honda"))
	for i, parts := range [][]string{{"Medidas (mm)", "LRC"}, {"", "LC"}, {"Masa (g)", "Neta"}, {"", "Observaciones"}, {"", "Localidad"}} {
		table.Columns[i].Parts = parts
	}
	guesses := Guess([]record.Table{table}, repeatableTerms)
	for i, want := range []string{"snoutVentLength mm", "headLength mm", "net g", "occurrenceRemarks", "locality"} {
		if got := said(guesses[i].Meaning); got != want {
			t.Errorf("%q is taken for %q, want %q: %s", guesses[i].Heading, got, want, guesses[i].Reason)
		}
	}
}

// An animal under a mass is what was weighed, and no number of the row.
func TestGuessMassOfAnimal(t *testing.T) {
	table := tableOf("bats.csv", []string{"Mass (g) with bag", "Mass (g) bag", "Mass (g) bat"}, rising("%.1f", 16, 0.2), rising("%.1f", 8, 0.1), rising("%.1f", 8, 0.1))
	for i, below := range []string{"with bag", "bag", "bat"} {
		table.Columns[i].Parts = []string{"Mass (g)", below}
	}
	guesses := Guess([]record.Table{table}, repeatableTerms)
	for i, want := range []string{"gross g", "tare g", "net g"} {
		if got := said(guesses[i].Meaning); got != want {
			t.Errorf("%q is taken for %q, want %q: %s", guesses[i].Heading, got, want, guesses[i].Reason)
		}
	}
}

// TestGuessCapturesAndRecaptures has letters that say whether an animal was new. In an
// empty form beside the sheet nothing speaks against a number of the row.
func TestGuessCapturesAndRecaptures(t *testing.T) {
	headings := []string{"N° individu", "Capture/Recapture", "LMC (mm)"}
	table := tableOf("tritons.csv", headings, rising("A%.0f", 45, 1), cycle("C", "R", "C"), rising("%.0f", 60, 1))
	empty := tableOf("tritons.csv", headings, cycle(""), cycle(""), cycle(""))
	empty.Rows = nil
	d := Propose("tritons", []record.Table{table, empty}, repeatableTerms)
	if g := d.guessOf("Capture/Recapture"); g != nil && g.Meaning.Role != record.Unmatched {
		t.Errorf("taken for %+v", g)
	}
}

// Several lines of a group add up: what its animals lack, and what only larvae
// have.
func TestGroupsLackParts(t *testing.T) {
	k := draftKnowledge()
	if !k.lacks["anuran"]["earLength"] || k.lacks["anuran"]["tailLength"] || !k.larval["anuran"]["tailLength"] || !k.lacks["fish"]["earLength"] {
		t.Errorf("anurans lack %v, their larvae have %v", k.lacks["anuran"], k.larval["anuran"])
	}
}

// In French "Larg." is a width; only in Spanish is a length called "Largo", and only
// in Polish are rows numbered under "Lp.".
func TestGuessInAnotherLanguage(t *testing.T) {
	for _, heading := range []string{"Larg.", "LP"} {
		table := tableOf("mesures.csv", []string{"Sexe", "Remarques", heading}, cycle("M", "F"), cycle("griffe manquante", ""), rising("%.1f", 100, 0.5))
		guesses := Guess([]record.Table{table}, repeatableTerms)
		if g := guesses[2]; g.Meaning.Role != record.Unmatched {
			t.Errorf("%q is taken for %q: %s", g.Heading, said(g.Meaning), g.Reason)
		}
	}
}

// TestGuessNamesByCodes has codes of which a legend says that they are species.
func TestGuessNamesByCodes(t *testing.T) {
	table := tableOf("ranas.csv", []string{"Clave", "Color"}, cycle("CRARHO", "LITBER", "LITBER", "CRARHO", "CRA sp."), cycle("VE", "RO"))
	clues := repeatableTerms
	clues.Legend = func(heading string) string {
		return map[string]string{"Clave": "CRARHO = Craugastor rhodopis; LITBER = Lithobates berlandieri", "Color": "VE = verde; RO = rojo"}[heading]
	}
	guesses := Guess([]record.Table{table}, clues)
	for i, want := range []string{"scientificName", ""} {
		if got := guesses[i].Meaning.Term; got != want {
			t.Errorf("%q is taken for %q, want %q: %s", guesses[i].Heading, got, want, guesses[i].Reason)
		}
	}
}
