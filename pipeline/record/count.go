package record

import "strconv"

// Plural is a number with what is counted: 1 row, 2 rows.
func Plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return strconv.Itoa(n) + " " + word + "s"
}
