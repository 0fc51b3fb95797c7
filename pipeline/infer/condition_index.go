package infer

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

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

// describe puts the line into words: in full for the methods, and for readings
// what they alone need.
func (g *ConditionGroup) describe(lengthUnit string) {
	a := &g.Axis
	g.line = fmt.Sprintf("%s: b = %.3f ± %.3f, L0 = %.2f %s; slope %.3f, intercept %.3f, residual SD %.3f; n = %d",
		g.species, a.Slope.Value, a.SlopeSE, a.Centre, lengthUnit, a.Rise, a.Intercept, a.Scale, a.N)
	if g.rare = nil; g.Few {
		g.rare = &record.Rare{Remark: fmt.Sprintf("only %d of the %d animals behind the species' line are %s", g.clean, a.N, g.Name)}
	}
}

// Methods describes, once Settle has fitted the lines, how the derived readings
// come about; it is empty where there are none.
func (x *Inference) Methods() string {
	var lines []string
	for _, g := range x.groups() {
		if g.Missing == "" && !slices.Contains(lines, g.line) {
			lines = append(lines, g.line)
		}
	}
	if lines == nil {
		return ""
	}
	return "Condition was computed from length L and mass M, with one line for each species, of all stages and sexes: " +
		"the scaled mass index M·(L0/L)^b of Peig and Green (2009), b ± standard error by the standardised major axis, " +
		"and the residual of ln M on ln L (least squares). " + strings.Join(lines, ". ") + "."
}

// readings appends the scaled mass index (Peig and Green 2009) and the residual
// index of one capture of the group, as derived readings with their method.
func (g *ConditionGroup) readings(to []record.Reading, m *massed) []record.Reading {
	scaled := g.Axis.ScaledMass(m.length.Value, m.mass.Value)
	residual := g.Axis.Residual(m.length.Value, m.mass.Value)
	decimals := max(m.mass.Decimals, 1)
	var buf [64]byte
	digits := strconv.AppendFloat(buf[:0], scaled, 'f', decimals, 64)
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
		derivedReading(scaledSeries(m.mass.Unit), scaled, decimals, texts[:cut], 2*scaled*uncertainty(g.Axis.Slope.Value, g.Axis.ScaledError(m.length.Value)), g.rare),
		derivedReading(residualSeries, residual, residualDecimals, texts[cut:], 2*uncertainty(g.Axis.Rise, g.Axis.ResidualError(m.length.Value)), g.rare))
}

const residualDecimals = 3

var (
	residualSeries = &record.Series{Measurement: ConditionResidual, Unit: "1", WrittenUnit: "1", Derived: true}
	scaledInGrams  = &record.Series{Measurement: ScaledMassIndex, Unit: "g", WrittenUnit: "g", Derived: true}
)

func scaledSeries(unit string) *record.Series {
	if unit == scaledInGrams.Unit {
		return scaledInGrams
	}
	return &record.Series{Measurement: ScaledMassIndex, Unit: unit, WrittenUnit: unit, Derived: true}
}

func derivedReading(of *record.Series, v float64, decimals int, text string, accuracy float64, rare *record.Rare) record.Reading {
	number, err := strconv.ParseFloat(text, 64)
	if err != nil {
		number = v
	}
	return record.Reading{Series: of, State: record.Measured, Number: number, Decimals: decimals, Text: text, Accuracy: accuracy, Rare: rare}
}
