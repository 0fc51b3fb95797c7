package mapping

import (
	"spadefoot/pipeline/record"
)

// What only tests call.

// Same reports whether two meanings are the same thing, units and instruments
// apart.
func Same(a, b record.Meaning) bool { return meaningKey(a) == meaningKey(b) }
