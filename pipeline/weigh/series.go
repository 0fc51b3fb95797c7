package weigh

import (
	"sync/atomic"

	"spadefoot/pipeline/record"
)

// Sharing returns settings with which the net masses that come from the same columns
// share their series.
func (s Settings) Sharing() Settings {
	s.net = &netSeries{}
	return s
}

// netSeries remembers the series of the net masses of two columns. The nil value
// remembers none.
type netSeries struct{ last atomic.Pointer[netOf] }

type netOf struct{ gross, tare, net *record.Series }

// of is the series of gross less tare.
func (n *netSeries) of(gross, tare *record.Series) *record.Series {
	if n == nil {
		return differenceOf(gross, tare)
	}
	last := n.last.Load()
	if last == nil || last.gross != gross || last.tare != tare {
		last = &netOf{gross, tare, differenceOf(gross, tare)}
		n.last.Store(last)
	}
	return last.net
}

func differenceOf(gross, tare *record.Series) *record.Series {
	net := &record.Series{Measurement: BodyMass, Unit: "g", WrittenUnit: gross.WrittenUnit, Instrument: gross.Instrument,
		Replicate: gross.Replicate, Column: gross.Column, Guessed: gross.Guessed || tare.Guessed, Derived: true}
	if gross.Resolution > 0 && tare.Resolution > 0 {
		net.Resolution = max(gross.Resolution, tare.Resolution)
	}
	return net
}
