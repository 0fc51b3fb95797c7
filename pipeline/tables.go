package pipeline

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"

	"github.com/gocarina/gocsv"

	"spadefoot/pipeline/place"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/taxon"
	"spadefoot/pipeline/weigh"
)

// tables are the files beside the sheets.
type tables struct {
	checklist *taxon.Checklist
	sites     *place.Sites
	bags      weigh.BagTable
	limits    []screen.Limit
}

// loadTables reads the files that survey.yaml names under tables.
func (w *way) loadTables() error {
	w.tables = &tables{}
	t := w.survey.Tables
	for _, one := range []struct {
		name string
		read func(io.Reader) error
	}{
		{t.Checklist, func(r io.Reader) (err error) { w.tables.checklist, err = taxon.ReadChecklist(r, t.Checklist); return }},
		{t.Sites, func(r io.Reader) error {
			sites, err := place.ReadSites(r)
			w.tables.sites = &sites
			return err
		}},
		{t.Bags, func(r io.Reader) (err error) { w.tables.bags, err = readBags(r, t.Bags); return }},
		{t.Limits, func(r io.Reader) (err error) { w.tables.limits, err = screen.ReadLimits(r, t.Limits); return }},
	} {
		if one.name == "" {
			continue
		}
		if err := w.loadTable(one.name, one.read); err != nil {
			return err
		}
	}
	return nil
}

func (w *way) loadTable(name string, read func(io.Reader) error) error {
	text, err := fs.ReadFile(w.files, name)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			err = fmt.Errorf("%s: the file is not in the survey folder; survey.yaml names it under tables", name)
		}
		return &InputError{name, err}
	}
	if err := read(bytes.NewReader(bytes.TrimPrefix(text, []byte("\ufeff")))); err != nil {
		err = w.hush(name, err)
		if !strings.HasPrefix(err.Error(), name) {
			err = fmt.Errorf("%s: %w", name, err)
		}
		return &InputError{name, err}
	}
	w.addInput(name, text)
	return nil
}

// bagLine is one line of the table of bags.
type bagLine struct {
	Bag     string `csv:"bag"`
	Mass    string `csv:"mass"`
	Unit    string `csv:"unit"`
	Weighed string `csv:"weighed"` // ISO 8601 day
}

// readBags reads the masses of the empty bags.
func readBags(r io.Reader, name string) (weigh.BagTable, error) {
	var lines []bagLine
	if err := gocsv.Unmarshal(r, &lines); err != nil {
		return weigh.BagTable{}, fmt.Errorf("%s: %w; the columns are bag, mass, unit, weighed", name, err)
	}
	var bags []weigh.Bag
	for i, l := range lines {
		at := record.Address{File: name, Row: i + 2, Column: 2}
		unit := "g"
		if l.Unit != "" {
			var ok bool
			if unit, ok = quantity.FindUnit(l.Unit); !ok {
				return weigh.BagTable{}, fmt.Errorf("%s, line %d, column unit: found %q, which is not a unit known here", name, i+2, l.Unit)
			}
		}
		q := quantity.Parse(l.Mass, quantity.Options{Unit: unit, Want: "mass"})
		number, decimals, text, err := q.In("g")
		if q.State != record.Measured || err != nil || number <= 0 {
			return weigh.BagTable{}, fmt.Errorf("%s, line %d, column mass: found %q; give the mass of the empty bag as a number", name, i+2, l.Mass)
		}
		bags = append(bags, weigh.Bag{Label: l.Bag, From: strings.TrimSpace(l.Weighed), Mass: record.Reading{
			Measurement: weigh.BagMass, Number: number, Decimals: decimals, Text: text, Unit: "g",
			WrittenUnit: unit, Verbatim: l.Mass, From: at}})
	}
	return weigh.NewBagTable(bags), nil
}
