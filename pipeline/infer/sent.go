//go:build !onemachine

package infer

import (
	"bytes"
	"encoding/binary"
	"encoding/gob"
	"errors"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

// sentLine is a group of condition on its way to another machine.
type sentLine struct {
	Axis            statistics.BodyAxis
	Missing, Remark string
}

// Lines writes down the lines that Settle fitted, for Receive.
func (x *Inference) Lines() ([]byte, error) {
	all := make([]sentLine, len(x.conditions.groups))
	for i, g := range x.conditions.groups {
		all[i] = sentLine{g.Axis, g.Missing, g.remark}
	}
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(all)
	return b.Bytes(), err
}

// Standing writes down which of the lines gives each capture its readings, from one
// number to another, for Receive.
func (x *Inference) Standing(from, to int) (out []byte) {
	for n := from; n < min(to, x.kept.n); n++ {
		at := x.kept.group(n)
		if at >= 0 && (x.kept.doubt(n) != noDoubt || x.conditions.groups[at].Missing != "") {
			at = -1
		}
		out = binary.AppendUvarint(out, uint64(at+1))
	}
	return out
}

// Receive takes what Lines and Standing wrote into an inference that has seen
// nothing: it then gives the readings of these captures, the first of which is
// number 0.
func (x *Inference) Receive(lines, standing []byte) error {
	var all []sentLine
	if err := gob.NewDecoder(bytes.NewReader(lines)).Decode(&all); err != nil {
		return err
	}
	for _, l := range all {
		x.conditions.groups = append(x.conditions.groups, &ConditionGroup{Axis: l.Axis, Missing: l.Missing, remark: l.Remark})
	}
	for len(standing) > 0 {
		at, n := binary.Uvarint(standing)
		if n <= 0 || at > uint64(len(all)) {
			return errors.New("what stands where among the lines of condition is damaged")
		}
		x.kept.add(noDoubt, int(at)-1)
		standing = standing[n:]
	}
	return nil
}

// Fills returns the sexes that Look fills in, by index. It gathers nothing, and many
// goroutines may call it.
func (x *Inference) Fills(captures []*record.Capture) map[int]record.Value {
	var out map[int]record.Value
	for i, c := range captures {
		var said spoken
		said.read(c)
		s := sight{lineage: x.lineages.of(&said)}
		if x.seeSex(&s, c, &said); s.fill == nil {
			continue
		}
		if out == nil {
			out = map[int]record.Value{}
		}
		out[i] = *s.fill
	}
	return out
}
