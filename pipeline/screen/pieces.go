package screen

import (
	"cmp"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// causePiece is what one part has of a cause of many cells. The pieces of all parts make
// one finding of each cause, wherever the ends of parts cut it.
type causePiece struct {
	Kind        pieceKind
	Claim       int    // of a column: which
	Title       string // of the block
	Rows, N     int    // captures that are corrected, and that could be
	Cells       int
	Places      []record.Address // the first maxPlaces of the cells
	Rewrites    []record.Rewrite // what each of them would be
	Further     []record.Run     // cells behind those
	Uncorrected bool             // what one of them would be is not known
	First       first

	Names       []string // measurements
	By          int      // of rows that shifted
	Table       int
	Top, Bottom int   // rows of the sheet
	Gain        int64 // in gainUnit
	Opens       bool  // it goes on in the part before
	Closes      bool  // and in the next
	Finding     record.Finding
	Same        map[string]int // cells in which another measurement has the same number
}

// first is the first cell of a finding.
type first struct {
	Capture, Field, Value, Suggestion string
	Number                            float64
}

type pieceKind int8

const (
	ofColumn pieceKind = iota
	ofShift
	ofRun
)

// maxPlaces is the number of cells that a finding names one by one, with what each of
// them would be.
const maxPlaces = 100_000

// addCell adds a cell, and what it would be.
func (p *causePiece) addCell(at record.Address, text string) {
	p.Cells++
	if len(p.Places) == maxPlaces {
		p.Further = record.Extend(p.Further, at.Clone())
		return
	}
	p.Places = append(p.Places, at)
	p.Rewrites = append(p.Rewrites, record.Rewrite{At: at, Text: text})
}

// keep gives a piece strings of its own.
func (p *causePiece) keep() {
	w := words{}
	for i := range p.Places {
		p.Places[i] = w.address(p.Places[i])
	}
	for i := range p.Rewrites {
		p.Rewrites[i] = record.Rewrite{At: w.address(p.Rewrites[i].At), Text: strings.Clone(p.Rewrites[i].Text)}
	}
	p.First.Capture, p.First.Field, p.First.Value, p.First.Suggestion = strings.Clone(p.First.Capture), strings.Clone(p.First.Field), strings.Clone(p.First.Value), strings.Clone(p.First.Suggestion)
}

// finding begins the finding on the cells of a piece.
func (p *causePiece) finding(rule string, level record.Level) record.Finding {
	out := record.Finding{Rule: rule, Level: level, At: p.Places[0], Also: p.Places[1:], Spread: record.Together, Runs: p.Further,
		Capture: p.First.Capture, Field: p.First.Field, Value: p.First.Value, Suggestion: p.First.Suggestion}
	if !p.Uncorrected && p.Further == nil {
		out.Rewrites = p.Rewrites
	}
	return out
}

// goesOn reports whether a piece is one of the same cause, further down.
func (p *causePiece) goesOn(o *causePiece) bool {
	switch {
	case p.Kind != o.Kind:
		return false
	case p.Kind == ofColumn:
		return p.Claim == o.Claim
	}
	a, b := p.Places[0], o.Places[0]
	return p.Closes && o.Opens && p.By == o.By && p.Table == o.Table && a.File == b.File && a.Sheet == b.Sheet && slices.Equal(p.Names, o.Names)
}

// join adds a piece that is further down.
func (p *causePiece) join(o *causePiece) {
	if p.Rows == 0 {
		p.Top = o.Top
	}
	if o.Rows > 0 {
		p.Bottom = o.Bottom
	}
	p.Rows, p.N, p.Cells, p.Gain, p.Closes = p.Rows+o.Rows, p.N+o.N, p.Cells+o.Cells, p.Gain+o.Gain, o.Closes
	p.Uncorrected = p.Uncorrected || o.Uncorrected
	room := max(0, maxPlaces-len(p.Places))
	for _, at := range o.Places[min(room, len(o.Places)):] {
		p.Further = record.Extend(p.Further, at)
	}
	p.Further = append(p.Further, o.Further...)
	p.Places = append(p.Places, o.Places[:min(room, len(o.Places))]...)
	p.Rewrites = append(p.Rewrites, o.Rewrites...)
	for name, n := range o.Same {
		p.Same[name] += n
	}
}

// shared are the findings on causes of many, each of all its pieces.
func (x *Screening) shared() (out []record.Finding) {
	pieces := slices.DeleteFunc(x.pieces, func(p causePiece) bool { return p.Cells == 0 })
	sorting.StableFunc(pieces, func(a, b causePiece) int {
		of := func(p *causePiece) int {
			if p.Kind == ofColumn {
				return p.Claim
			}
			return 0
		}
		return cmp.Or(cmp.Compare(a.Kind, b.Kind), of(&a)-of(&b), slices.Compare(a.Names, b.Names), a.By-b.By, a.Places[0].Compare(b.Places[0]))
	})
	for i := 0; i < len(pieces); {
		p := pieces[i]
		for i++; i < len(pieces) && p.goesOn(&pieces[i]); i++ {
			p.join(&pieces[i])
		}
		sorting.Func(p.Rewrites, func(a, b record.Rewrite) int { return a.At.Compare(b.At) })
		sorting.Func(p.Places, record.Address.Compare)
		switch p.Kind {
		case ofColumn:
			out = append(out, x.reportClaim(&p))
		case ofShift:
			if p.Rows > 0 { // else its rows are none of the next part's
				out = append(out, x.reportShift(&p))
			}
		default:
			out = append(out, p.reportRun())
		}
	}
	return out
}
