package darwincore

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
)

// happening is one event. What it says is held in little memory, since a survey
// may have as many events as captures.
type happening struct {
	id, parent string
	gathered   *common // until all captures are seen
	shape      *shape
	row        []byte // its fields as CSV by slot, a NUL behind each
}

// shape is what the rows of many events have in common.
type shape struct {
	slots  []int // of their fields
	agreed marks // slots that the events say for all their captures
}

// put gives an event its fields, by slot. The shapes are those of all events.
func (h *happening) put(fields map[int][]byte, agreed *marks, shapes map[string]*shape) {
	slots := slices.Sorted(maps.Keys(fields))
	key := fmt.Sprint(slots, *agreed)
	if shapes[key] == nil {
		shapes[key] = &shape{slots, *agreed}
	}
	h.shape = shapes[key]
	var row []byte
	for _, slot := range slots {
		row = append(append(row, fields[slot]...), 0)
	}
	h.row = bytes.Clone(row)
}

// fields are the fields of an event by slot.
func (h *happening) fields() map[int][]byte {
	out, said := map[int][]byte{}, h.cursor()
	for _, slot := range h.shape.slots {
		out[slot] = said.at(slot)
	}
	return out
}

// cursor goes through the fields of an event.
type cursor struct {
	slots []int
	row   []byte
}

func (h *happening) cursor() cursor { return cursor{h.shape.slots, h.row} }

// at returns the field of a slot, or nil. It is asked for slots in their order.
func (c *cursor) at(slot int) []byte {
	for len(c.slots) > 0 && c.slots[0] <= slot {
		field, rest, _ := bytes.Cut(c.row, []byte{0})
		found := c.slots[0] == slot
		c.slots, c.row = c.slots[1:], rest
		if found {
			return field
		}
	}
	return nil
}
