package vocabulary_test

import (
	"fmt"

	"spadefoot/pipeline/vocabulary"
)

func ExampleList_Find() {
	sex, err := vocabulary.Load("sex")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, text := range []string{"♂", "Weibchen", "femal", "juv"} {
		value, ok, problem := sex.Find(text, nil)
		fmt.Printf("%s: %q %v", text, value, ok)
		if problem != nil {
			fmt.Printf(" (%s; perhaps %q)", problem.Reason, problem.Suggestion)
		}
		fmt.Println()
	}
	// Output:
	// ♂: "male" true
	// Weibchen: "female" true
	// femal: "" false ("femal" is not a known word for sex; "female" is spelled similarly; perhaps "female")
	// juv: "" false ("juv" describes life stage, not sex; perhaps "")
}

func ExampleFindMeasurement() {
	m, ok := vocabulary.FindMeasurement("SVL")
	fmt.Println(m.Name, m.Unit, ok)
	_, ok = vocabulary.FindMeasurement("TL") // tibia, tail or total length
	fmt.Println(ok)
	// Output:
	// snoutVentLength mm true
	// false
}
