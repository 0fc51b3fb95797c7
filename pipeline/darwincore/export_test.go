package darwincore

import "spadefoot/pipeline/record"

// Encode makes the rows of captures on one processor, and writes nothing. It
// gives the number of bytes.
func Encode(a *Archive, captures []*record.Capture) (n int) {
	for len(captures) > 0 {
		next := captures[:min(256, len(captures))]
		m := a.made(next)
		for _, text := range m.text {
			n += len(*text)
			a.buffers.Put(text)
		}
		captures = captures[len(next):]
	}
	return n
}

// Settled reports whether the columns that the files of an archive have so far
// are those that hold something, in order, so that it need not be written once
// more.
func Settled(a *Archive) bool {
	a.gatherUsed()
	for _, l := range a.rowFiles() {
		if l.known != l.used || !l.inOrder() {
			return false
		}
	}
	return true
}
