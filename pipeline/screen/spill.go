package screen

import (
	"io"
	"os"
	"strings"

	"spadefoot/pipeline/store"
)

const (
	drawers     = 256
	maxHeld     = 8 << 20  // bytes in memory before they go to the file
	largeDrawer = 24 << 20 // bytes of a drawer that are worked on at a time
)

// spill holds records of bytes, sorted into drawers by a hash: in memory while
// they are few, then in one file of a folder. Without a folder it stays in
// memory.
type spill struct {
	folder  string
	most    int // bytes in memory
	file    *os.File
	end     int64
	held    int
	drawers [drawers]drawer
}

type drawer struct {
	held   []byte
	pieces []piece
}

// piece is a part of a drawer that lies in the file.
type piece struct {
	at int64
	n  int
}

// add puts a record into the drawer of its hash.
func (s *spill) add(hash uint64, record []byte) error {
	d := &s.drawers[hash>>56]
	d.held = append(d.held, record...)
	if s.held += len(record); s.folder == "" || s.held <= s.most {
		return nil
	}
	return s.write()
}

// write moves everything that is held to the file.
func (s *spill) write() error {
	if s.file == nil {
		f, err := store.Temporary(s.folder, "screen-*")
		if err != nil {
			return err
		}
		s.file = f
	}
	for i := range s.drawers {
		d := &s.drawers[i]
		if len(d.held) == 0 {
			continue
		}
		if _, err := s.file.WriteAt(d.held, s.end); err != nil {
			return err
		}
		d.pieces = append(d.pieces, piece{s.end, len(d.held)})
		s.end += int64(len(d.held))
		d.held = d.held[:0]
	}
	s.held = 0
	return nil
}

// each hands over the records of drawer after drawer, those of a drawer in the
// order in which they came. Where one drawer holds far more than its share, as
// where thousands upon thousands have the same hash, it comes in several
// instalments. The bytes are good until the next.
func (s *spill) each(do func(records []byte)) error {
	var buffer []byte
	for i := range s.drawers {
		d := &s.drawers[i]
		buffer = buffer[:0]
		for _, p := range d.pieces {
			if len(buffer) > 0 && len(buffer)+p.n > largeDrawer {
				do(buffer)
				buffer = buffer[:0]
			}
			from := len(buffer)
			buffer = append(buffer, make([]byte, p.n)...)
			if _, err := io.ReadFull(io.NewSectionReader(s.file, p.at, int64(p.n)), buffer[from:]); err != nil {
				return err
			}
		}
		if len(d.pieces) == 0 {
			do(d.held)
			continue
		}
		do(append(buffer, d.held...))
	}
	return nil
}

// Close drops the records, and removes the file, if there is one.
func (s *spill) Close() error {
	s.drawers = [drawers]drawer{}
	if s.file == nil {
		return nil
	}
	f := s.file
	s.file = nil
	return store.Remove(f)
}

// sheets numbers the sheets of a survey, so that captures can be put into the
// order of their addresses by two numbers each.
type sheets struct {
	names  [][2]string
	number map[[2]string]uint32
	last   uint32
}

func (s *sheets) of(file, sheet string) uint32 {
	if len(s.names) > 0 && s.names[s.last] == [2]string{file, sheet} {
		return s.last
	}
	n, ok := s.number[[2]string{file, sheet}]
	if !ok {
		if s.number == nil {
			s.number = map[[2]string]uint32{}
		}
		name := [2]string{strings.Clone(file), strings.Clone(sheet)}
		n = uint32(len(s.names))
		s.names, s.number[name] = append(s.names, name), n
	}
	s.last = n
	return n
}
