// Package quantity reads numbers with units as people write them: "33g",
// "57.5mm?", "3 5/16 in", "1'11\"", "12,5", "40–42 mm", "<0.5", "n/a".
//
// Parse takes one cell and returns what kind of statement it is (record.State),
// the number, the place of its last digit and its unit. Text beside the number
// is returned as Remark; so are words in its place, unless they say where it is
// ("see book"). What cannot be read, or can be read in two ways, is
// Unread with a problem. What it probably was is the problem's suggestion and
// is never used as the value.
//
// A Column reads the plain cells of one column, digits with at most one point,
// by a fast path; it gives the same result as Parse.
//
// Evidence looks at a whole column to decide whether its decimal mark is a
// point or a comma. FindUnit and HeadingUnit know the units of
// mappings/units.csv by UCUM code. Factor and Quantity.Convert convert units in
// exact arithmetic. Numbers are never rounded before computing; written text
// has one digit more than the measurement had:
//
//	the step of the last place written, in the new unit, is rounded to the
//	nearest power of ten on a logarithmic scale, or the one below if that
//	is more than twice the step, and the text shows one place more.
//	2.8 in: 71.12 mm; step 0.1 in = 2.54 mm, nearest power 1 mm, so 71.1 mm.
//
// The words that mean "not measured" are in mappings/missing.csv. The package
// reads no files, keeps no state between cells and does not panic on odd input.
package quantity
