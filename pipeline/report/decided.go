package report

// Decision is a remedy that was applied, as people read it.
type Decision struct {
	Cell, Capture, Field string
	Written              string // in the sheet; empty for a blank cell
	Done                 string // "replaced with 37,9", "cleared", "confirmed against value-far"
	By                   string // who, when and why
}
