// Package place turns coordinates, elevations and site names as people write
// them into what Darwin Core can hold: decimal degrees on WGS 84 with an
// uncertainty in metres, with the original text beside them.
//
// One pair of coordinates goes through these files: scan.go splits the text
// into numbers, marks and letters; angle.go and pair.go read them as degrees,
// minutes and seconds; utm.go and mgrs.go read grid coordinates; datum.go
// converts from the stated datum to WGS 84; finish.go writes decimal degrees
// with the digits that the text supports and adds up the uncertainty.
//
// Nothing is guessed silently. Text that can be read two ways gives no
// coordinates but a problem with both readings. A likely slip (swapped axes, a
// lost sign, a wrong digit) is a suggestion from [Suspects], never applied.
//
// [ReadSites] reads the survey's table of sites, [Generalise] blurs the place
// of a sensitive animal, [Distance] measures on the ellipsoid.
//
// Tables of facts: mappings/datums.csv, mappings/datum_shifts.csv (EPSG) and
// mappings/utm_codes.csv. The package opens no files and holds no state.
package place
