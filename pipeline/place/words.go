package place

// compassWords returns the direction of a compass word or letter: N, S, E, W, or
// O for the letter O, which is west in Spanish, French, Portuguese and Italian
// and east in German and Dutch. Words of these languages and of Scandinavia are
// common practice on labels.
var compassWords = map[string]byte{
	"n": 'N', "north": 'N', "northern": 'N', "nord": 'N', "norte": 'N', "noord": 'N', "norden": 'N',
	"nördlich": 'N', "norr": 'N', "noorderbreedte": 'N',
	"s": 'S', "south": 'S', "southern": 'S', "sud": 'S', "sur": 'S', "sul": 'S', "süd": 'S', "sued": 'S',
	"südlich": 'S', "zuid": 'S', "z": 'S', "syd": 'S', "sør": 'S', "sör": 'S', "söder": 'S',
	"e": 'E', "east": 'E', "eastern": 'E', "est": 'E', "este": 'E', "leste": 'E', "l": 'E', "ost": 'E',
	"östlich": 'E', "oost": 'E', "öst": 'E', "øst": 'E', "ö": 'E', "ø": 'E',
	"w": 'W', "west": 'W', "western": 'W', "westlich": 'W', "ouest": 'W', "oeste": 'W', "ovest": 'W',
	"väst": 'W', "vest": 'W', "v": 'W',
	"o": 'O',
}

// markWords returns the part of an angle that a word marks.
var markWords = map[string]kind{
	"d": degreeMark, "deg": degreeMark, "degs": degreeMark, "degree": degreeMark, "degrees": degreeMark,
	"degré": degreeMark, "degrés": degreeMark, "degre": degreeMark, "degres": degreeMark,
	"grado": degreeMark, "grados": degreeMark, "gradi": degreeMark, "grau": degreeMark, "graus": degreeMark,
	"grad": degreeMark, "graden": degreeMark, "grader": degreeMark,
	"m": minuteMark, "min": minuteMark, "mins": minuteMark, "minute": minuteMark, "minutes": minuteMark,
	"minuto": minuteMark, "minutos": minuteMark, "minuti": minuteMark, "minuten": minuteMark, "minuter": minuteMark,
	"sec": secondMark, "secs": secondMark, "second": secondMark, "seconds": secondMark, "seg": secondMark,
	"segundo": secondMark, "segundos": secondMark, "seconde": secondMark, "secondes": secondMark,
	"secondi": secondMark, "sekunde": secondMark, "sekunden": secondMark, "sekunder": secondMark, "sek": secondMark,
}

// axisWords returns the axis that a word names.
var axisWords = map[string]byte{
	"lat": 'N', "latitude": 'N', "latitud": 'N', "breite": 'N', "breedte": 'N', "latitudine": 'N',
	"lon": 'E', "long": 'E', "lng": 'E', "longitude": 'E', "longitud": 'E', "länge": 'E', "lengte": 'E', "longitudine": 'E',
}

// westWords and eastWords are words whose language settles the letter O.
var (
	westWords = set("norte", "sur", "sul", "grado", "grados", "gradi", "grau", "graus", "degré", "degrés",
		"latitud", "longitud", "latitudine", "longitudine", "minuto", "minutos", "minuti", "segundo", "segundos", "secondes", "secondi")
	eastWords = set("süd", "sued", "norden", "noord", "zuid", "z", "grad", "graden", "breite", "länge",
		"breedte", "lengte", "minuten", "sekunde", "sekunden")
)

func set(words ...string) map[string]bool {
	m := make(map[string]bool, len(words))
	for _, w := range words {
		m[w] = true
	}
	return m
}

// LetterO returns what the letter O means in a language by its two-letter code:
// "W" (oeste, ouest, ovest), "E" (Ost, oost), or "" where it is not used.
func LetterO(language string) string {
	switch foldWord(language[:min(len(language), 2)]) {
	case "es", "fr", "pt", "it", "ca", "gl":
		return "W"
	case "de", "nl", "af":
		return "E"
	}
	return ""
}
