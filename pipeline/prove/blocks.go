package prove

import (
	"bytes"
	"errors"
	"io"
	"iter"
	"strings"
	"sync"

	"spadefoot/pipeline/parallel"
)

// errInTurn says that rows have to be read in turn from here on.
var errInTurn = errors.New("the rows must be read in order")

// blocks cuts a text into blocks of whole rows, which can then be proved apart
// from each other. It finds where rows end by counting quotation marks: in a
// text of sound shape their number before the end of a row is even. A block
// whose shape turns out not to be sound ends the cutting, and the text is read
// in turn from that block on.
type blocks struct {
	source io.Reader
	failed error
	quote  byte
	rest   []byte // what was read and not given yet

	mu      sync.Mutex
	pending [][]byte // blocks that were given and not done with yet
	free    [][]byte
}

// separable says whether quotation marks and line ends can be told apart from
// separators without reading fields.
func (t *table) separable() bool {
	return !strings.ContainsAny(t.entity.separator, "\r\n"+t.entity.quote) && t.entity.quote != "\n"
}

// inBlocks proves the rows behind those that in has read, block by block on
// all processors, and returns a reader of what is left: at least what is
// behind the last line end.
func (t *table) inBlocks(in *textReader) (*textReader, error) {
	if in.failed != nil {
		return in, nil // all of it is at hand
	}
	cut := &blocks{source: in.source, quote: in.quote, rest: bytes.Clone(in.data[in.at:])}
	t.lines = in.line - 1
	ends := in.ends
	judges := sync.Pool{New: func() any { return t.judge(textReaderOf(nil, t.entity)) }}
	batches := sync.Pool{New: func() any { return &batch{} }}
	err := parallel.OneByOne(cut.each(), func(block []byte) *batch {
		j, b := judges.Get().(*judge), batches.Get().(*batch)
		b.clear()
		j.block(b, block)
		judges.Put(j)
		return b
	}, func(b *batch) error {
		if b.odd {
			return errInTurn
		}
		if err := t.take(b); err != nil {
			return err
		}
		for k, n := range b.ends {
			ends[k] += n
		}
		t.lines += b.end - 1
		cut.drop()
		batches.Put(b)
		return nil
	})
	if err != nil && !errors.Is(err, errInTurn) {
		return nil, err
	}
	left := newTextReader(cut.left(), t.entity)
	left.line, left.ends, left.stray = t.lines+1, ends, in.stray
	return left, nil
}

// each returns the blocks.
func (c *blocks) each() iter.Seq[[]byte] {
	return func(yield func([]byte) bool) {
		for c.failed == nil {
			b := append(c.buffer(len(c.rest)), c.rest...)
			for full := cap(b) - slack; len(b) < full && c.failed == nil; {
				var n int
				n, c.failed = readSome(c.source, b[len(b):full])
				b = b[:len(b)+n]
			}
			cut := c.cut(b)
			c.rest = append(c.rest[:0], b[cut:]...)
			if cut == 0 {
				return // a row is longer than a block
			}
			c.mu.Lock()
			c.pending = append(c.pending, b[:cut])
			c.mu.Unlock()
			if !yield(b[:cut]) {
				return
			}
		}
	}
}

// cut returns the place behind the last end of a row, 0 for none.
func (c *blocks) cut(b []byte) int {
	quotes := func(b []byte) int {
		if c.quote == 0 {
			return 0
		}
		return bytes.Count(b, []byte{c.quote})
	}
	within := quotes(b)
	for end := len(b); ; {
		at := bytes.LastIndexByte(b[:end], '\n')
		if at < 0 {
			return 0
		}
		if within -= quotes(b[at:end]); within%2 == 0 {
			return at + 1
		}
		end = at
	}
}

// buffer returns an empty buffer that holds more than so many bytes.
func (c *blocks) buffer(least int) []byte {
	c.mu.Lock()
	defer c.mu.Unlock()
	if n := len(c.free); n > 0 {
		b := c.free[n-1]
		c.free = c.free[:n-1]
		return b[:0]
	}
	return make([]byte, 0, max(blockSize, 2*least)+slack)
}

// drop lets the first block that is pending be used again.
func (c *blocks) drop() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.free = append(c.free, c.pending[0])
	c.pending = append(c.pending[:0], c.pending[1:]...)
}

// left returns the text from the first pending block on.
func (c *blocks) left() io.Reader {
	var parts []io.Reader
	for _, b := range c.pending {
		parts = append(parts, bytes.NewReader(b))
	}
	parts = append(parts, bytes.NewReader(c.rest))
	if c.failed != nil {
		return io.MultiReader(append(parts, failing{c.failed})...)
	}
	return io.MultiReader(append(parts, c.source)...)
}

// failing is a source that ended with an error.
type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }
