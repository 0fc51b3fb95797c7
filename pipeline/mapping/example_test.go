package mapping_test

import (
	"fmt"

	"spadefoot/pipeline/mapping"
)

func ExampleFold() {
	fmt.Println(mapping.Fold("Field No."))
	fmt.Println(mapping.Fold("field_no"))
	// Output:
	// field no
	// field no
}
