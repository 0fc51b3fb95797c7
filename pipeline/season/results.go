package season

import (
	"cmp"
	"errors"
	"io"
	"maps"
	"regexp"
	"slices"
	"strings"

	"golang.org/x/sync/errgroup"

	"spadefoot/pipeline/record/sorting"
)

// Results are what the captures say. Each list has the first rows of a table;
// the files have all.
type Results struct {
	Settings Settings
	Captures int // that were handed over
	Units    map[string]string

	Sizes      []Size // of all sites together
	SiteSizes  []Size // by site
	Classes    []Class
	Changes    []Change   // of all sites together
	Sexes      []SexRatio // of all sites together
	Catches    []Catch    // of all sites together
	Nights     []Night    // of all sites together; the first maxNights
	NightsCut  bool       // there are more
	Lives      []Life
	Grown      []string // measurements of the lives
	LeftOut    []LeftOut
	Files      []string // in the order in which they were written
	Incomplete bool     // a list was cut off
}

// LeftOut says how many of something were left out, and why: a rule, or words.
type LeftOut struct {
	What, Why string
	N         int
}

// Write makes the results, and writes each of its tables to a file that create
// makes; without create nothing is written. Order puts the names of
// measurements into the order of the outputs.
func (g *Gatherer) Write(create Create, order func([]string) []string) (*Results, error) {
	r := &Results{Settings: g.settings, Captures: g.counted, Units: g.units}
	r.Grown = order(slices.Sorted(maps.Keys(g.grown)))
	if err := g.put(); err != nil {
		return r, err
	}
	sized := &Results{Settings: g.settings} // the half of the work, beside the other
	var beside errgroup.Group
	beside.Go(func() error { return g.writeAnimals(create, sized) })
	err := func() error {
		create := r.creating(create)
		if err := errors.Join(g.writeNights(create, r), g.writeLives(create, r), g.writeLeftOut(create, r)); err != nil {
			return err
		}
		return writeColumns(create, order(slices.Sorted(maps.Keys(g.units))), g.units, r.Grown)
	}()
	err = errors.Join(beside.Wait(), err)
	r.Sizes, r.SiteSizes, r.Classes, r.Changes, r.Sexes = sized.Sizes, sized.SiteSizes, sized.Classes, sized.Changes, sized.Sexes
	r.Files, r.Incomplete = append(sized.Files, r.Files...), r.Incomplete || sized.Incomplete
	return r, err
}

// creating notes the files that are created.
func (r *Results) creating(create Create) Create {
	if create == nil {
		return nil
	}
	return func(name string) (io.WriteCloser, error) {
		r.Files = append(r.Files, name)
		return create(name)
	}
}

func (g *Gatherer) writeLeftOut(create Create, r *Results) error {
	for o, n := range g.left {
		r.LeftOut = append(r.LeftOut, LeftOut{o.what, o.why, n})
	}
	sorting.Func(r.LeftOut, func(a, b LeftOut) int {
		return cmp.Or(strings.Compare(a.What, b.What), strings.Compare(a.Why, b.Why))
	})
	f, err := create.open(leftOutFile, leftOutColumns)
	for _, l := range r.LeftOut {
		if err == nil {
			err = f.row(l.What, l.Why, whole(l.N))
		}
	}
	return errors.Join(err, f.close())
}

// keep adds a row to a list of a page, as long as it is short.
func keep[T any](r *Results, list *[]T, row T) {
	if len(*list) >= r.Settings.Shown {
		r.Incomplete = true
		return
	}
	*list = append(*list, row)
}

// perMeasurement are names of tables that there is one of for each measurement.
var perMeasurement = regexp.MustCompile(`^(sizes|classes|changes)-[a-z][A-Za-z0-9]*\.csv$`)

// Ours reports whether the results may have a file of this name.
func Ours(name string) bool {
	return slices.Contains([]string{"columns.csv", "sexes.csv", "catch.csv", "nights.csv", "animals.csv", leftOutFile}, name) || perMeasurement.MatchString(name)
}
