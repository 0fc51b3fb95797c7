package plot

// Ink is a role of colour; the style sheet gives each its colour in light and
// dark.
type Ink uint8

const (
	InkText Ink = iota + 1
	InkQuiet
	InkLine
	inkFlag
	InkOne // the first of the series, told apart by shape too
	InkTwo
	inkThree
	InkFour
	inkFive
	inkSix
)

// maxLinks bounds the entries that a picture links to.
const maxLinks = 4096
