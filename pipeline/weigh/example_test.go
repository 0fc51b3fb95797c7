package weigh_test

import (
	"fmt"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/weigh"
)

func Example() {
	c := &record.Capture{Weighing: &record.Weighing{
		Way:   record.SameRow,
		Scale: "scale 60",
		Gross: &record.Reading{Series: &record.Series{Measurement: weigh.GrossMass, Unit: "g"}, Number: 33.5, Decimals: 1, Text: "33.5"},
		Tare:  &record.Reading{Series: &record.Series{Measurement: weigh.BagMass, Unit: "g"}, Number: 4, Decimals: 1, Text: "4.0"},
	}}
	s := weigh.Settings{Instruments: []weigh.Instrument{{Name: "scale 60", Unit: "g", Graduation: 0.5, Capacity: 60}}}
	findings := weigh.Weigh(c, weigh.BagTable{}, s)
	r := c.Reading(weigh.BodyMass)
	fmt.Println(r.Text, r.Unit, "±", r.Accuracy, len(findings))
	fmt.Println(r.Remark())
	// Output:
	// 29.5 g ± 0.41 0
	// graduation 0.5 g of scale 60
}
