package quantity_test

import (
	"fmt"

	"spadefoot/pipeline/quantity"
)

func ExampleParse() {
	for _, s := range []string{"33g", "57.5mm?", "3 5/16 in", "40–42 mm", "escaped", "5-May"} {
		q := quantity.Parse(s, quantity.Options{})
		fmt.Printf("%s: %v %q\n", s, q.State, q)
		for _, p := range q.Problems {
			fmt.Printf("  %v %s, probably %q\n", p.Level, p.Rule, p.Suggestion)
		}
	}
	// Output:
	// 33g: measured "33 g"
	// 57.5mm?: doubtful "57.5? mm"
	//   note doubted-by-writer, probably ""
	// 3 5/16 in: measured "3.31 in"
	// 40–42 mm: interval "40-42 mm"
	// escaped: missing ""
	// 5-May: unread ""
	//   error number-became-date, probably "5.5"
}

// Units change exactly, and the result has one digit more than was measured.
func ExampleQuantity_In() {
	for _, s := range []string{"2.8 in", "7.1 cm"} {
		_, _, text, _ := quantity.Parse(s, quantity.Options{}).In("mm")
		fmt.Println(s, "is", text, "mm")
	}
	// Output:
	// 2.8 in is 71.12 mm
	// 7.1 cm is 71 mm
}

func ExampleHeadingUnit() {
	for _, h := range []string{"SVL (mm)", "Wt./g", "Tag g"} {
		code, rest, ok := quantity.HeadingUnit(h)
		fmt.Printf("%q %q %v\n", rest, code, ok)
	}
	// Output:
	// "SVL" "mm" true
	// "Wt." "g" true
	// "" "" false
}
