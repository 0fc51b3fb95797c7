package infer

import (
	"fmt"
	"math"
	"strconv"

	"spadefoot/pipeline/record"
)

// Names of the derived readings.
const (
	ScaledMassIndex   = "scaledMassIndex"
	ConditionResidual = "conditionResidual"
)

// Derived is a reading that was computed for one capture.
type Derived struct {
	Capture string // ID
	Reading record.Reading
}

// describe puts the line into words, for the readings that come from it.
func (g *ConditionGroup) describe(lengthUnit string) {
	g.scaledRemark = fmt.Sprintf("scaled mass index M·(L0/L)^b of Peig and Green (2009): b = %.3f (standardised major axis), L0 = %.2f %s, n = %d (%s)",
		g.Axis.Slope.Value, g.Axis.Centre, lengthUnit, g.Axis.N, g.Name)
	g.residualRemark = fmt.Sprintf("residual of ln mass on ln length (least squares): slope %.3f, intercept %.3f, residual SD %.3f, n = %d (%s)",
		g.Axis.Rise, g.Axis.Intercept, g.Axis.Scale, g.Axis.N, g.Name)
}

// readings gives the scaled mass index (Peig and Green 2009) and the residual
// index of one capture of the group, as derived readings with their method.
func (g *ConditionGroup) readings(m *massed) []record.Reading {
	return []record.Reading{g.scaled(m), g.residual(m)}
}

func (g *ConditionGroup) scaled(m *massed) record.Reading {
	v := g.Axis.ScaledMass(m.length.Value, m.mass.Value)
	relative := math.Hypot(m.mass.Standard/m.mass.Value, g.Axis.Slope.Value*m.length.Standard/m.length.Value)
	return derivedReading(ScaledMassIndex, v, max(m.mass.Decimals, 1), m.mass.Unit, 2*v*relative, g.scaledRemark)
}

func (g *ConditionGroup) residual(m *massed) record.Reading {
	v := g.Axis.Residual(m.length.Value, m.mass.Value)
	u := math.Hypot(m.mass.Standard/m.mass.Value, g.Axis.Rise*m.length.Standard/m.length.Value)
	return derivedReading(ConditionResidual, v, 3, "1", 2*u, g.residualRemark)
}

func derivedReading(name string, v float64, decimals int, unit string, accuracy float64, remark string) record.Reading {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	number, err := strconv.ParseFloat(text, 64)
	if err != nil {
		number = v
	}
	return record.Reading{Measurement: name, State: record.Measured, Number: number, Decimals: decimals, Text: text,
		Unit: unit, WrittenUnit: unit, Accuracy: accuracy, Remark: remark, Derived: true}
}
