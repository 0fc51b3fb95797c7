package quantity

import "regexp"

var subtraction = regexp.MustCompile(`^\s*([0-9]+(?:[.,][0-9]+)?(?:\s*\pL+)?)\s*[-–−]\s*([0-9]+(?:[.,][0-9]+)?(?:\s*\pL+)?)\s*$`)

// Subtraction takes apart what is written as one number less another: 12.5-2.1.
// So is a range; what the column means tells.
func Subtraction(text string) (from, less string, ok bool) {
	m := subtraction.FindStringSubmatch(text)
	if m == nil {
		return "", "", false
	}
	return m[1], m[2], true
}
