package season

import (
	"regexp"
	"slices"
)

// perMeasurement are names of tables that there is one of for each measurement.
var perMeasurement = regexp.MustCompile(`^(sizes|classes|changes)-[a-z][A-Za-z0-9]*\.csv$`)

// Ours reports whether the results may have a file of this name.
func Ours(name string) bool {
	return slices.Contains([]string{"columns.csv", "sexes.csv", "catch.csv", "nights.csv", "animals.csv", leftOutFile}, name) || perMeasurement.MatchString(name)
}
