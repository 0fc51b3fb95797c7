package darwincore

import (
	"bytes"
	"errors"
	"hash/crc32"
	"io"
	"os"
	"runtime"
	"sync"
	"sync/atomic"

	"github.com/klauspost/compress/flate"
)

// blockSize is how much of a file is deflated at once. It is fixed, so that
// the bytes of the zip depend neither on the number of processors nor on how
// the captures came in. A block refers to nothing before it, which costs less
// than one part in a hundred.
const blockSize = 1 << 20

// deflateLevel is the level of the compressor, whose version stands in go.mod,
// so that the bytes do not change with the version of Go. Measured on both
// files of an archive of 100,000 captures in such blocks (one processor, of a
// busy machine): level 1 packs to 0.116 of the size at 870 MB/s, level 2 to 0.122
// at 690, level 3 to 0.116 at 600.
const deflateLevel = 1

// maxWorkers bounds the memory of the blocks.
const maxWorkers = 16

// deflater deflates blocks of files on all processors. There are never more
// blocks than processors and a few: who wants one waits.
type deflater struct {
	blocks chan *block
	jobs   chan *block
	wait   sync.WaitGroup
}

// block is a part of a file and what it was deflated to.
type block struct {
	text   []byte
	packed bytes.Buffer
	done   chan error
}

// files is the number of files that are written at the same time, each of
// which holds a block that is not full.
const files = 3

func newDeflater() *deflater {
	workers := min(runtime.GOMAXPROCS(0), maxWorkers)
	d := &deflater{blocks: make(chan *block, workers+files+2), jobs: make(chan *block, workers)}
	for range cap(d.blocks) {
		d.blocks <- &block{done: make(chan error, 1)}
	}
	for range workers {
		d.wait.Go(d.work)
	}
	return d
}

func (d *deflater) work() {
	var w *flate.Writer
	for b := range d.jobs {
		var err error
		b.packed.Reset()
		if w == nil {
			w, err = flate.NewWriter(&b.packed, deflateLevel)
		} else {
			w.Reset(&b.packed)
		}
		if err == nil {
			_, err = w.Write(b.text)
			err = errors.Join(err, w.Flush()) // ends at a whole byte, and the next block follows
		}
		b.done <- err
	}
}

// stop ends the work. All files have been finished or dropped.
func (d *deflater) stop() {
	close(d.jobs)
	d.wait.Wait()
}

// packing is one file on its way to the disk and, deflated, into a temporary
// file, from where it goes into the zip.
type packing struct {
	deflater *deflater
	file     *os.File
	packed   *os.File // nil where nothing is to be deflated
	block    *block
	order    chan *block
	taken    chan error
	failed   atomic.Bool // what was deflated could not be written

	crc  uint32
	size uint64
	zip  uint64 // size in the zip
}

// lastBlock is an empty block that ends a stream of DEFLATE (RFC 1951, 3.2.3:
// the last block, with fixed codes, and its end-of-block code).
var lastBlock = []byte{3, 0}

// newPacking begins a file, with a temporary one in dir for what is deflated.
func newPacking(d *deflater, path, dir string) (*packing, error) {
	packed, err := os.CreateTemp(dir, "packed-*.tmp")
	if err != nil {
		return nil, err
	}
	p := &packing{deflater: d, packed: packed, order: make(chan *block, cap(d.blocks)), taken: make(chan error, 1)}
	go p.take(p.order, packed)
	if p.file, err = os.Create(path); err != nil {
		p.drop()
		return nil, err
	}
	return p, nil
}

// take writes what was deflated, in the order of the blocks.
func (p *packing) take(order <-chan *block, packed io.Writer) {
	var failed error
	for b := range order {
		err := <-b.done
		if failed = errors.Join(failed, err); failed == nil {
			_, failed = packed.Write(b.packed.Bytes())
			p.zip += uint64(b.packed.Len())
		}
		p.failed.Store(failed != nil)
		p.deflater.blocks <- b
	}
	if failed == nil {
		_, failed = packed.Write(lastBlock)
		p.zip += uint64(len(lastBlock))
	}
	p.taken <- failed
}

// Write appends to the file.
func (p *packing) Write(text []byte) (int, error) {
	n, err := p.file.Write(text) // while it is fresh in the processor's caches
	if err != nil {
		return n, err
	}
	for len(text) > 0 {
		if p.block == nil {
			p.block = <-p.deflater.blocks
			p.block.text = p.block.text[:0]
		}
		b := p.block
		fits := min(len(text), blockSize-len(b.text))
		b.text, text = append(b.text, text[:fits]...), text[fits:]
		if len(b.text) == blockSize {
			if err := p.flush(); err != nil {
				return n - len(text), err
			}
		}
	}
	return n, nil
}

// flush writes the block and hands it on.
func (p *packing) flush() error {
	b := p.block
	if b == nil {
		return nil
	}
	p.block = nil
	p.crc = crc32.Update(p.crc, crc32.IEEETable, b.text)
	p.size += uint64(len(b.text))
	if p.order == nil {
		p.deflater.blocks <- b
		return nil
	}
	p.order <- b
	p.deflater.jobs <- b
	if p.failed.Load() {
		return p.ended()
	}
	return nil
}

// finish writes what is left. The deflated file stays open.
func (p *packing) finish() error {
	err := p.flush()
	return errors.Join(err, p.ended(), p.file.Close())
}

// ended waits until the last block was taken.
func (p *packing) ended() error {
	if p.order == nil {
		return nil
	}
	close(p.order)
	p.order = nil
	return <-p.taken
}

// unpack gives up on deflating: the file will have to be written once more.
func (p *packing) unpack() {
	_ = p.ended() // an error of a file that nobody wants
	if p.packed != nil {
		p.packed.Close()
		os.Remove(p.packed.Name())
		p.packed = nil
	}
}

// drop releases everything but the file on the disk.
func (p *packing) drop() {
	if p == nil {
		return
	}
	p.unpack()
	if p.block != nil {
		p.deflater.blocks <- p.block
		p.block = nil
	}
	if p.file != nil {
		p.file.Close()
	}
}

// copyTo copies the stream of DEFLATE.
func (p *packing) copyTo(w io.Writer) error {
	if _, err := p.packed.Seek(0, io.SeekStart); err != nil {
		return err
	}
	n, err := io.CopyBuffer(struct{ io.Writer }{w}, io.LimitReader(p.packed, int64(p.zip)), make([]byte, 1<<18))
	if err == nil && n != int64(p.zip) {
		err = io.ErrUnexpectedEOF
	}
	return err
}
