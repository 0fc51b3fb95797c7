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
	of := g.species + ", all stages and sexes"
	if g.Few {
		of += "; too few of " + g.Name + " for a line of their own"
	}
	g.scaledRemark = fmt.Sprintf("scaled mass index M·(L0/L)^b of Peig and Green (2009): b = %.3f ± %.3f (standardised major axis, standard error), L0 = %.2f %s, n = %d (%s)",
		g.Axis.Slope.Value, g.Axis.SlopeSE, g.Axis.Centre, lengthUnit, g.Axis.N, of)
	g.residualRemark = fmt.Sprintf("residual of ln mass on ln length (least squares): slope %.3f, intercept %.3f, residual SD %.3f, n = %d (%s)",
		g.Axis.Rise, g.Axis.Intercept, g.Axis.Scale, g.Axis.N, of)
}

// readings appends the scaled mass index (Peig and Green 2009) and the residual
// index of one capture of the group, as derived readings with their method.
func (g *ConditionGroup) readings(to []record.Reading, m *massed) []record.Reading {
	scaled := g.Axis.ScaledMass(m.length.Value, m.mass.Value)
	residual := g.Axis.Residual(m.length.Value, m.mass.Value)
	decimals := max(m.mass.Decimals, 1)
	var room [64]byte
	digits := strconv.AppendFloat(room[:0], scaled, 'f', decimals, 64)
	cut := len(digits)
	texts := string(strconv.AppendFloat(digits, residual, 'f', residualDecimals, 64)) // both in one
	u := m.mass.Standard / m.mass.Value
	// of the readings, by the slope that length goes with, and of the line
	uncertainty := func(slope, line float64) float64 {
		if m.mass.Open || m.length.Open {
			return 0 // that of a reading is not known
		}
		return math.Hypot(line, math.Hypot(u, slope*m.length.Standard/m.length.Value))
	}
	return append(to,
		derivedReading(ScaledMassIndex, scaled, decimals, texts[:cut], m.mass.Unit,
			2*scaled*uncertainty(g.Axis.Slope.Value, g.Axis.ScaledError(m.length.Value)), g.scaledRemark),
		derivedReading(ConditionResidual, residual, residualDecimals, texts[cut:], "1",
			2*uncertainty(g.Axis.Rise, g.Axis.ResidualError(m.length.Value)), g.residualRemark))
}

const residualDecimals = 3

func derivedReading(name string, v float64, decimals int, text, unit string, accuracy float64, remark string) record.Reading {
	number, err := strconv.ParseFloat(text, 64)
	if err != nil {
		number = v
	}
	return record.Reading{Measurement: name, State: record.Measured, Number: number, Decimals: decimals, Text: text,
		Unit: unit, WrittenUnit: unit, Accuracy: accuracy, Remark: remark, Derived: true}
}
