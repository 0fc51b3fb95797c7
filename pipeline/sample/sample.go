// Package sample checks some of the captures of a survey against their schema.
package sample

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"github.com/xeipuuv/gojsonschema"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
	"spadefoot/schemas"
)

// Max is the number of captures that are held against their schema.
// One takes half a millisecond, so that all of them are out of the question.
const Max = 8

// Captures is those of a survey whose identifiers have the lowest digests:
// the same ones whatever the order they come in.
type Captures []sampled

type sampled struct {
	digest uint64
	at     record.Address
	text   []byte // JSON
}

// Add takes a capture into the sample, if it is one for it.
func (s *Captures) Add(c *record.Capture) error {
	d := digest.Spread(uint64(digest.Start.Text(c.ID)))
	n := len(*s)
	if n == Max && d >= (*s)[n-1].digest {
		return nil
	}
	text, err := json.Marshal(c)
	if err != nil {
		return fmt.Errorf("the capture at %s cannot be written down: %w", c.Address(), err)
	}
	at, _ := slices.BinarySearchFunc(*s, d, func(e sampled, d uint64) int {
		if e.digest < d {
			return -1
		}
		return 1
	})
	*s = slices.Insert(*s, at, sampled{d, c.Address().Clone(), text})
	if n == Max {
		*s = (*s)[:n]
	}
	return nil
}

// Check holds the sample against schemas/capture.schema.json. What does not fit
// is a fault of this program, and nothing is released.
func (s Captures) Check() error {
	if len(s) == 0 {
		return nil
	}
	text, err := schemas.Files.ReadFile("capture.schema.json")
	if err != nil {
		return err
	}
	schema, err := gojsonschema.NewSchema(gojsonschema.NewBytesLoader(text))
	if err != nil {
		return err
	}
	for _, e := range s {
		res, err := schema.Validate(gojsonschema.NewBytesLoader(e.text))
		if err != nil {
			return err
		}
		if res.Valid() {
			continue
		}
		var faults []string
		for _, f := range res.Errors() {
			faults = append(faults, f.String())
		}
		return fmt.Errorf("the capture at %s is not in a valid form, so nothing was released; this is a fault of the program, please report it: %s", e.at, strings.Join(faults, "; "))
	}
	return nil
}
