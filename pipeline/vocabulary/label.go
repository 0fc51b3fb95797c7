package vocabulary

import (
	"strings"
	"sync"
	"unicode"
)

// Label returns a measurement as the vocabulary has it: snoutVentLength is
// snout-vent length. Of a measurement of the survey's own the words of its name
// are taken apart, and capitals in a row stay as they are.
func Label(measurement string) string {
	if name := labels()[measurement]; name != "" {
		return name
	}
	runes := []rune(measurement)
	var b strings.Builder
	for i, r := range runes {
		alone := unicode.IsUpper(r) && i > 0 && unicode.IsLower(runes[i-1]) && (i+1 == len(runes) || !unicode.IsUpper(runes[i+1]))
		if alone {
			b.WriteByte(' ')
			r = unicode.ToLower(r)
		}
		b.WriteRune(r)
	}
	return b.String()
}

// labels are those of the vocabulary by name.
var labels = sync.OnceValue(func() map[string]string {
	out := map[string]string{}
	for _, m := range measurements().all {
		out[m.Name] = m.Label
	}
	return out
})
