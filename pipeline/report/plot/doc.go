// Package plot draws the pictures of the report as SVG: a scene with axes, a key,
// marks and layers in, a drawing with its data as CSV out. It knows nothing of
// captures. Colours are classes, which the style sheet of the page defines in light and
// dark, and forms of marks differ where colours do. Lengths are in units of the
// picture, which is 345 wide.
package plot
