package screen

import (
	"fmt"
	"io"
	"strconv"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
)

// Limit is the range of values of a measurement of a taxon. An empty sex
// or life stage means any; so does an empty measure of either end. Level is
// the level of the finding, warning if empty.
type Limit struct {
	ScientificName string   `csv:"scientificName"`
	Measurement    string   `csv:"measurement"`
	Unit           string   `csv:"unit"`
	Minimum        *float64 `csv:"minimum"`
	Maximum        *float64 `csv:"maximum"`
	Sex            string   `csv:"sex"`
	LifeStage      string   `csv:"lifeStage"`
	Source         string   `csv:"source"`
	Level          string   `csv:"level"`
}

// limitLine is a line as written, so that an error can name the column.
type limitLine struct {
	ScientificName string `csv:"scientificName"`
	Measurement    string `csv:"measurement"`
	Unit           string `csv:"unit"`
	Minimum        string `csv:"minimum"`
	Maximum        string `csv:"maximum"`
	Sex            string `csv:"sex"`
	LifeStage      string `csv:"lifeStage"`
	Source         string `csv:"source"`
	Level          string `csv:"level"`
}

// limitColumns are the headings of a table of limits.
var limitColumns = lines.Columns{
	Needed:  []string{"scientificName", "measurement", "unit", "minimum", "maximum"},
	Allowed: []string{"sex", "lifeStage", "source", "level"},
}

// ReadLimits reads a table of limits. Errors are of type *lines.Error.
func ReadLimits(in io.Reader, name string) ([]Limit, error) {
	rows, err := lines.Read[limitLine](in, name, limitColumns)
	if err != nil {
		return nil, err
	}
	var limits []Limit
	for _, row := range rows {
		l, column, reason := row.Cells.limit()
		if reason != "" {
			return nil, &lines.Error{File: name, Line: row.Line, Column: column, Reason: reason}
		}
		limits = append(limits, l)
	}
	return limits, nil
}

func (l limitLine) limit() (out Limit, column, reason string) {
	out = Limit{ScientificName: l.ScientificName, Measurement: l.Measurement, Unit: l.Unit,
		Sex: l.Sex, LifeStage: l.LifeStage, Source: l.Source, Level: l.Level}
	switch {
	case l.ScientificName == "":
		return out, "scientificName", "is empty; write the taxon that the limit applies to"
	case l.Measurement == "":
		return out, "measurement", "is empty; write the measurement that the limit applies to"
	case l.Unit == "":
		return out, "unit", "is empty; write the unit of the limits, such as mm or g"
	}
	var bad string
	if out.Minimum, bad = optionalNumber(l.Minimum); bad != "" {
		return out, "minimum", bad
	}
	if out.Maximum, bad = optionalNumber(l.Maximum); bad != "" {
		return out, "maximum", bad
	}
	if out.Minimum == nil && out.Maximum == nil {
		return out, "minimum", "is empty, and so is maximum; write at least one of them"
	}
	if out.Minimum != nil && out.Maximum != nil && *out.Minimum > *out.Maximum {
		return out, "minimum", fmt.Sprintf("%s is more than the maximum %s", l.Minimum, l.Maximum)
	}
	if l.Level != "" {
		var level record.Level
		if err := level.UnmarshalText([]byte(l.Level)); err != nil {
			return out, "level", err.Error()
		}
	}
	return out, "", ""
}

func optionalNumber(s string) (*float64, string) {
	if s == "" {
		return nil, ""
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || v-v != 0 {
		return nil, fmt.Sprintf("%q is not a number", s)
	}
	return &v, ""
}
