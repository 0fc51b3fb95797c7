//go:build !onemachine

package keys

import (
	"bytes"
	"encoding/gob"

	"spadefoot/pipeline/record"
)

type sentSheet struct {
	In                Source
	Captures, Without int
	Runs              []record.Run
	Of                record.Capture // file, sheet, row and table of the first without a key
}

// GobEncode writes down what is known of captures by themselves, for another
// machine.
func (d *Doubts) GobEncode() ([]byte, error) {
	var all []sentSheet
	for _, in := range d.order {
		s := d.sheets[in]
		one := sentSheet{In: in, Captures: s.captures, Without: s.without, Runs: s.runs}
		if s.of != nil {
			one.Of = *s.of
		}
		all = append(all, one)
	}
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(all)
	return b.Bytes(), err
}

// GobDecode reads what GobEncode wrote.
func (d *Doubts) GobDecode(b []byte) error {
	var all []sentSheet
	err := gob.NewDecoder(bytes.NewReader(b)).Decode(&all)
	for _, from := range all {
		s := d.sheet(from.In.File, from.In.Sheet)
		s.captures, s.without, s.runs = from.Captures, from.Without, from.Runs
		if from.Without > 0 {
			s.of = &from.Of
		}
	}
	return err
}

// Follow adds what is known of the captures that come next.
func (d *Doubts) Follow(o *Doubts) {
	for _, in := range o.order {
		s, more := d.sheet(in.File, in.Sheet), o.sheets[in]
		if s.without == 0 {
			s.of = more.of
		}
		s.captures, s.without = s.captures+more.captures, s.without+more.without
		for _, r := range more.runs {
			if runs := record.Extend(s.runs, r.Address); len(runs) <= maxRuns {
				s.runs = runs
				s.runs[len(runs)-1].Last += r.Last - r.Row
			}
		}
	}
}
