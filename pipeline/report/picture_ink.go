package report

// ink is a role of colour; the style sheet gives each its colour in light and
// dark.
type ink uint8

const (
	inkText ink = iota + 1
	inkQuiet
	inkLine
	inkFlag
	inkOne // the first of the series, told apart by shape too
	inkTwo
	inkThree
	inkFour
	inkFive
	inkSix
)

// maxLinks bounds the entries that a picture links to.
const maxLinks = 4096
