package infer

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"spadefoot/pipeline/record/lines"
)

// Specimen is one animal of known species from a reference table.
type Specimen struct {
	ID        string
	Taxon     string // "Genus epithet"
	LifeStage string
	// Measurements by name, in the unit of the measurement vocabulary:
	// lengths in mm, bodyMass in g.
	Measurements map[string]float64
}

// ReadSpecimens reads a reference table: CSV in UTF-8 with the columns
// specimen, scientificName, lifeStage (may be left out), and one column a
// measurement, headed by its name in the measurement vocabulary (mm, bodyMass
// in g). An empty cell was not measured. Lines that start with # are comments.
// Errors name line and column.
func ReadSpecimens(r io.Reader) ([]Specimen, error) {
	header, in, err := lines.Headings(r)
	if errors.Is(err, io.EOF) {
		return nil, errors.New("reference table is empty")
	}
	if err != nil {
		return nil, err
	}
	if err := checkHeader(header); err != nil {
		return nil, err
	}
	seen := map[string]bool{}
	var out []Specimen
	for {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
		line, _ := in.FieldPos(0)
		s, err := specimenOf(header, row, line)
		if err != nil {
			return nil, err
		}
		if seen[s.ID] {
			return nil, fmt.Errorf("line %d: specimen %q appears twice", line, s.ID)
		}
		seen[s.ID] = true
		out = append(out, s)
	}
}

func checkHeader(header []string) error {
	count := map[string]int{}
	for i, h := range header {
		if h == "" {
			return fmt.Errorf("line 1: column %d has no heading", i+1)
		}
		if count[h]++; count[h] > 1 {
			return fmt.Errorf("line 1: heading %q appears twice", h)
		}
	}
	for _, must := range []string{"specimen", "scientificName"} {
		if count[must] == 0 {
			return fmt.Errorf("line 1: no column %s", must)
		}
	}
	return nil
}

func specimenOf(header, row []string, line int) (Specimen, error) {
	s := Specimen{Measurements: map[string]float64{}}
	for i, h := range header {
		text := strings.TrimSpace(row[i])
		switch h {
		case "specimen":
			s.ID = text
		case "scientificName":
			s.Taxon = text
		case "lifeStage":
			s.LifeStage = text
		default:
			if text == "" {
				continue
			}
			v, err := strconv.ParseFloat(text, 64)
			if err != nil || !(v > 0) || math.IsInf(v, 0) {
				return s, fmt.Errorf("line %d, column %s: %q is not a measurement above 0", line, h, text)
			}
			s.Measurements[h] = v
		}
	}
	if s.ID == "" || s.Taxon == "" {
		return s, fmt.Errorf("line %d: specimen and scientificName must be given", line)
	}
	return s, nil
}
