//go:build !onemachine

package repeats

import (
	"bytes"
	"encoding/gob"
)

// sent is a spread on its way to another machine.
type sent struct {
	Measurement, Unit string
	Whole, Part       uint64
	Freedom           int
}

// GobEncode writes the summary down, and GobDecode reads it.
func (s *Summary) GobEncode() ([]byte, error) {
	var all []sent
	for k, v := range s.of {
		all = append(all, sent{k.measurement, k.unit, v.whole, v.part, v.freedom})
	}
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(all)
	return b.Bytes(), err
}

// GobDecode adds what GobEncode wrote.
func (s *Summary) GobDecode(b []byte) error {
	var all []sent
	err := gob.NewDecoder(bytes.NewReader(b)).Decode(&all)
	for _, o := range all {
		s.join(kind{o.Measurement, o.Unit}, spread{o.Whole, o.Part, o.Freedom})
	}
	return err
}
