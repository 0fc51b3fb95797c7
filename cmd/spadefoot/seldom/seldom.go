// Package seldom lets garbage be collected seldom from the beginning: what the other
// packages set up when the program starts, of which nearly all stays, would be gone over
// twice. Packages begin in the order of their paths, so this one is early.
package seldom

import (
	"os"
	"runtime/debug"
)

// growth is what may be added to what lives before garbage is collected, in per cent.
const growth = 600

// Asked reports whether the caller has a rule in GOGC or GOMEMLIMIT, which is kept.
func Asked() bool { return os.Getenv("GOGC") != "" || os.Getenv("GOMEMLIMIT") != "" }

func init() {
	if !Asked() {
		debug.SetGCPercent(growth)
	}
}
