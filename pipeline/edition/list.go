package edition

import (
	"encoding/json"
	"fmt"
	"iter"
)

// listed reads the elements of a list of a JSON object one by one. It ends after
// an error, such as one about an object without that list.
func listed[T any](d *json.Decoder, name string) iter.Seq2[T, error] {
	return func(yield func(T, error) bool) {
		var none T
		if err := enter(d, name); err != nil {
			yield(none, err)
			return
		}
		for d.More() {
			var v T
			err := d.Decode(&v)
			if !yield(v, err) || err != nil {
				return
			}
		}
		if _, err := d.Token(); err != nil { // the end of the list
			yield(none, err)
		}
	}
}

// enter goes to the first element of a list of an object.
func enter(d *json.Decoder, name string) error {
	if err := begin(d, '{'); err != nil {
		return err
	}
	for d.More() {
		key, err := d.Token()
		if err != nil {
			return err
		}
		if key == name {
			return begin(d, '[')
		}
		var other json.RawMessage
		if err := d.Decode(&other); err != nil {
			return err
		}
	}
	return fmt.Errorf("it has no list %q", name)
}

func begin(d *json.Decoder, want json.Delim) error {
	switch t, err := d.Token(); {
	case err != nil:
		return err
	case t != want:
		return fmt.Errorf("%v where %v was expected, at byte %d", t, want, d.InputOffset())
	}
	return nil
}
