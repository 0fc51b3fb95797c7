// Package quantity reads numbers with units as people write them: "33g",
// "57.5mm?", "3 5/16 in", "1'11\"", "12,5", "40–42 mm", "<0.5", "n/a".
//
// Parse takes one cell and says what kind of statement it is (record.State),
// the number, the place of its last digit and its unit. Whatever stood beside
// the number comes back as Remark. What cannot be read, or can be read in two
// ways, is Unread with a problem; what it probably was stands in the problem's
// suggestion and is never taken as the value.
//
// A Column reads the plain cells of one column, digits with at most one point,
// without all that; what it reads, Parse reads the same.
//
// Evidence looks at a whole column to tell whether its decimal mark is a point
// or a comma. FindUnit and HeadingUnit know the units of mappings/units.csv by
// UCUM code. Factor and Quantity.Convert change units in exact arithmetic. What
// is computed on is never rounded; what is written has one digit more than the
// measurement had:
//
//	the step of the last place written, in the new unit, is rounded to the
//	nearest power of ten on a logarithmic scale, or the one below where that
//	is more than twice the step, and the text shows one place more.
//	2.8 in: 71.12 mm; step 0.1 in = 2.54 mm, nearest power 1 mm, so 71.1 mm.
//
// The words that mean "nothing taken" are in mappings/missing.csv. Nothing
// here reads files, keeps state between cells, or panics on odd input.
package quantity
