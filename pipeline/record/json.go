package record

import (
	"encoding/json"
	"io"
)

// WriteJSON writes a value as a line of JSON with <, > and & as they are, or with an
// indent in several lines, of which those after the first begin with a prefix.
func WriteJSON(w io.Writer, v any, prefix, indent string) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent(prefix, indent)
	return e.Encode(v)
}
