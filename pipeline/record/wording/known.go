// Package wording remembers what texts stand for by their numbers, so that no text is
// looked up again.
package wording

import "spadefoot/pipeline/record"

// Known is what texts stand for, by their numbers. It keeps no text but words of a
// store. The zero value knows nothing. It is used by one goroutine.
type Known[T any] struct{ by []meaning[T] }

// meaning is what a text stands for; the text is empty where there is none yet.
type meaning[T any] struct {
	text string
	of   T
}

// Of returns what find says of the text of a value. Of a text that has a number it is
// asked once.
func (k *Known[T]) Of(v *record.Value, find func(text string) T) T {
	n := int(v.Word)
	if n == 0 {
		return find(v.Text)
	}
	if more := n + 1 - len(k.by); more > 0 {
		k.by = append(k.by, make([]meaning[T], more)...)
	}
	at := &k.by[n]
	if at.text != v.Text {
		at.text, at.of = v.Text, find(v.Text)
	}
	return at.of
}
