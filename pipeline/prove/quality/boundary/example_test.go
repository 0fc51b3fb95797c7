package boundary_test

import (
	"fmt"

	"spadefoot/pipeline/prove/quality/boundary"
)

func ExampleAt() {
	at := boundary.At(42.44, -76.50)
	fmt.Println(at.Code, at.Kind == boundary.Land)
	fmt.Println(boundary.Within("CA", 42.44, -76.50, 3))
	// Output:
	// US true
	// false
}
