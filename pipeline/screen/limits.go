package screen

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/gocarina/gocsv"

	"spadefoot/pipeline/record"
	recordlines "spadefoot/pipeline/record/lines"
)

// Limit says between which values a measurement of a taxon lies. An empty sex
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

// LimitsError says where a table of limits cannot be used.
type LimitsError struct {
	Name   string // of the file
	Line   int    // from 1
	Column string // heading; empty if the whole line is meant
	Reason string
}

func (e *LimitsError) Error() string {
	where := fmt.Sprintf("%s, line %d", e.Name, e.Line)
	if e.Column != "" {
		where += ", column " + e.Column
	}
	return where + ": " + e.Reason
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

// ReadLimits reads a table of limits from CSV with the headings
// scientificName, measurement, unit, minimum, maximum and, if wanted, sex,
// lifeStage, source and level. Lines before the headings that start with #
// are comments. Errors are of type *LimitsError.
func ReadLimits(in io.Reader, name string) ([]Limit, error) {
	records, lines, err := limitRecords(in, name)
	if err != nil || len(records) == 0 {
		return nil, err
	}
	for _, want := range []string{"scientificName", "measurement", "unit", "minimum", "maximum"} {
		if !slices.Contains(records[0], want) {
			return nil, &LimitsError{name, lines[0], want, "there is no such heading"}
		}
	}
	var rows []limitLine
	if err := gocsv.UnmarshalCSV(&fixedRecords{records: records}, &rows); err != nil {
		if errors.Is(err, gocsv.ErrEmptyCSVFile) {
			return nil, nil
		}
		return nil, &LimitsError{name, lines[0], "", err.Error()}
	}
	var limits []Limit
	for i, row := range rows {
		l, column, reason := row.limit()
		if reason != "" {
			return nil, &LimitsError{name, lines[i+1], column, reason}
		}
		limits = append(limits, l)
	}
	return limits, nil
}

// limitRecords splits the CSV and notes the line of each record; ragged lines
// are errors.
func limitRecords(in io.Reader, name string) (records [][]string, lines []int, err error) {
	r := csv.NewReader(in)
	r.Comment = '#'
	r.TrimLeadingSpace = true
	for {
		rec, err := r.Read()
		if err == io.EOF {
			return records, lines, nil
		}
		if err != nil {
			var p *csv.ParseError
			if errors.As(err, &p) {
				line, said := recordlines.Fault(p)
				return nil, nil, &LimitsError{name, line, "", said}
			}
			return nil, nil, fmt.Errorf("%s: %w", name, err)
		}
		line, _ := r.FieldPos(0)
		if len(records) == 0 {
			rec[0] = strings.TrimPrefix(rec[0], "\ufeff")
		}
		for i := range rec {
			rec[i] = strings.TrimSpace(rec[i])
		}
		records, lines = append(records, rec), append(lines, line)
	}
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

// fixedRecords hands gocsv records that are already split.
type fixedRecords struct {
	records [][]string
	at      int
}

func (f *fixedRecords) Read() ([]string, error) {
	if f.at == len(f.records) {
		return nil, io.EOF
	}
	f.at++
	return f.records[f.at-1], nil
}

func (f *fixedRecords) ReadAll() ([][]string, error) { return f.records[f.at:], nil }
