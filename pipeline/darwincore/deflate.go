package darwincore

import (
	"bytes"
	"errors"
	"hash/crc32"
	"io"
	"os"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"github.com/klauspost/compress/flate"
)

// blockSize is how much of a file is deflated at once. It is fixed, so that
// the bytes of the zip depend neither on the number of processors nor on how
// the captures came in. A block refers to nothing before it, which costs less
// than one part in a hundred.
const blockSize = 1 << 20

// deflateLevel is the level of the compressor, whose version go.mod gives,
// so that the bytes do not change with the version of Go. Measured on both
// files of an archive of 100,000 captures in such blocks (one processor, of a
// busy machine): level 1 packs to 0.116 of the size at 870 MB/s, level 2 to 0.122
// at 690, level 3 to 0.116 at 600.
const deflateLevel = 1

// writeSize is how much of a file is written at once. The system looks for one piece of
// memory for what it is given, and large ones may be hard to find: 512 MiB took 0.15 to
// 0.27 s of processor time in writes of 64 to 256 KiB, and up to 1 s in larger ones
// (Linux 6.18, ext4, five times each).
const writeSize = 256 << 10

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
// file, from where it goes into the zip. A goroutine of its own writes both.
type packing struct {
	deflater *deflater
	file     *os.File
	packed   *os.File // nil where nothing is to be deflated
	block    *block
	order    chan *block // nil once it ended
	taken    chan error
	failed   atomic.Bool // something could not be written

	// What the goroutine leaves:
	lost error // the file could not be written
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
	p := &packing{deflater: d, packed: packed}
	if p.file, err = os.Create(path); err != nil {
		p.drop()
		return nil, err
	}
	p.begin()
	return p, nil
}

// begin starts the goroutine that writes.
func (p *packing) begin() {
	p.order, p.taken = make(chan *block, cap(p.deflater.blocks)), make(chan error, 1)
	go p.take(p.order, p.packed)
}

// take writes the blocks in their order, and what they were deflated to.
func (p *packing) take(order <-chan *block, packed *os.File) {
	var failed error
	for b := range order {
		if p.lost == nil {
			p.crc = crc32.Update(p.crc, crc32.IEEETable, b.text)
			p.size += uint64(len(b.text))
			p.lost = p.write(b.text)
		}
		if packed != nil {
			failed = errors.Join(failed, <-b.done)
			if failed == nil {
				_, failed = packed.Write(b.packed.Bytes())
				p.zip += uint64(b.packed.Len())
			}
		}
		p.failed.Store(failed != nil || p.lost != nil)
		p.deflater.blocks <- b
	}
	if failed == nil && packed != nil {
		_, failed = packed.Write(lastBlock)
		p.zip += uint64(len(lastBlock))
	}
	p.taken <- failed
}

// write writes a part of the file.
func (p *packing) write(text []byte) (err error) {
	for len(text) > 0 && err == nil {
		n := min(len(text), writeSize)
		_, err = p.file.Write(text[:n])
		text = text[n:]
	}
	return err
}

// Write appends to the file.
func (p *packing) Write(text []byte) (int, error) {
	n := len(text)
	for len(text) > 0 {
		if p.block == nil {
			p.block = <-p.deflater.blocks
			p.block.text = slices.Grow(p.block.text[:0], blockSize)
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

// flush passes the block on.
func (p *packing) flush() error {
	if p.failed.Load() {
		return p.ended()
	}
	b := p.block
	if b == nil {
		return nil
	}
	p.block = nil
	if p.packed != nil {
		p.deflater.jobs <- b
	}
	p.order <- b
	return nil
}

// finish writes what is left. The deflated file stays open.
func (p *packing) finish() error {
	err := p.flush()
	return errors.Join(err, p.ended(), p.file.Close())
}

// ended waits until the last block was taken.
func (p *packing) ended() error {
	var failed error
	if p.order != nil {
		close(p.order)
		p.order = nil
		failed = <-p.taken
	}
	return errors.Join(p.lost, failed)
}

// unpack gives up on deflating: the file will have to be written once more.
func (p *packing) unpack() {
	if p.packed == nil {
		return
	}
	p.close()
	if p.lost == nil {
		p.failed.Store(false) // of a file that nobody wants
		p.begin()
	}
}

// close ends the writing, and drops what was deflated.
func (p *packing) close() {
	_ = p.ended()
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
	p.close()
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
