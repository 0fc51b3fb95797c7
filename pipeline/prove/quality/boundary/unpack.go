package boundary

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"sync"

	"spadefoot/schemas"
)

// vertex is a corner of a ring in units of the grid.
type vertex struct{ x, y int32 }

// ring is a closed line: the vertices from..to of the world, the last one
// joined to the first.
type ring struct {
	from, to int32
	bands    *bands // of long rings
}

type area struct {
	code                   string
	also                   []string
	contested              bool
	minX, minY, maxX, maxY int32
	rings                  []ring
}

// world is the unpacked set.
type world struct {
	scaleX, scaleY, originX, originY float64
	vertices                         []vertex
	areas                            []area
	byCode                           map[string][]int16            // areas that belong to a code
	boxes                            [boxColumns * boxRows][]int16 // areas whose box meets a box of five degrees
	cells                            cellIndex
}

// embedded returns the set that comes with the program.
var embedded = sync.OnceValue(func() *world { return schemas.Must(unpack(schemas.Boundaries)) })

// unpack reads the format that schemas/boundaries/convert.go writes.
func unpack(packed []byte) (*world, error) {
	z, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, err
	}
	r := &reader{r: bufio.NewReaderSize(z, 1<<16)}
	w := &world{scaleX: r.float(), scaleY: r.float(), originX: r.float(), originY: r.float()}
	w.vertices = make([]vertex, 0, 700_000)
	for n := r.count(1 << 16); n > 0 && r.err == nil; n-- {
		w.areas = append(w.areas, w.readArea(r))
	}
	if r.err != nil {
		return nil, fmt.Errorf("reading: %w", r.err)
	}
	w.indexAreas()
	w.cells = w.indexCells()
	return w, nil
}

const (
	boxDegrees = 5
	boxColumns = 360 / boxDegrees
	boxRows    = 180 / boxDegrees
)

// boxOf returns the number of the box of five degrees that holds a place.
func boxOf(lat, lon float64) int {
	return boxRow(lat)*boxColumns + boxColumn(lon)%boxColumns
}

func boxRow(lat float64) int    { return min(max(int((lat+90)/boxDegrees), 0), boxRows-1) }
func boxColumn(lon float64) int { return int(math.Floor((lon + 180) / boxDegrees)) }

func (w *world) indexAreas() {
	w.byCode = map[string][]int16{}
	for i, a := range w.areas {
		for _, code := range append([]string{a.code}, a.also...) {
			w.byCode[code] = append(w.byCode[code], int16(i))
		}
		west, east := boxColumn(w.lon(a.minX)), boxColumn(w.lon(a.maxX))
		for row := boxRow(w.lat(a.minY)); row <= boxRow(w.lat(a.maxY)); row++ {
			for column := west; column <= min(east, west+boxColumns-1); column++ {
				box := row*boxColumns + column%boxColumns
				w.boxes[box] = append(w.boxes[box], int16(i))
			}
		}
	}
}

func (w *world) readArea(r *reader) area {
	a := area{code: r.code(), minX: math.MaxInt32, minY: math.MaxInt32, maxX: math.MinInt32, maxY: math.MinInt32}
	for n := r.count(32); n > 0; n-- {
		a.also = append(a.also, r.code())
	}
	a.contested = r.count(1) == 1
	for n := r.count(1 << 10); n > 0 && r.err == nil; n-- {
		g := ring{from: int32(len(w.vertices))}
		var v vertex
		for k := r.count(1 << 20); k > 0 && r.err == nil; k-- {
			v.x += int32(r.step())
			v.y += int32(r.step())
			w.vertices = append(w.vertices, v)
			a.minX, a.maxX = min(a.minX, v.x), max(a.maxX, v.x)
			a.minY, a.maxY = min(a.minY, v.y), max(a.maxY, v.y)
		}
		g.to = int32(len(w.vertices))
		g.bands = w.indexBands(g)
		a.rings = append(a.rings, g)
	}
	return a
}

// lon and lat turn grid units into degrees. Beyond the antimeridian lon goes on
// beyond 180.
func (w *world) lon(x int32) float64 { return float64(x)*w.scaleX + w.originX }
func (w *world) lat(y int32) float64 { return float64(y)*w.scaleY + w.originY }

// reader keeps the first error, so that the format reads as a list.
type reader struct {
	r   *bufio.Reader
	err error
}

func (r *reader) keep(err error) {
	if r.err == nil {
		r.err = err
	}
}

func (r *reader) float() (v float64) {
	r.keep(binary.Read(r.r, binary.LittleEndian, &v))
	return v
}

func (r *reader) code() string {
	var b [2]byte
	_, err := io.ReadFull(r.r, b[:])
	r.keep(err)
	return string(b[:])
}

func (r *reader) count(most uint64) uint64 {
	n, err := binary.ReadUvarint(r.r)
	r.keep(err)
	if n > most {
		r.keep(fmt.Errorf("a count of %d is more than %d", n, most))
		return 0
	}
	return n
}

func (r *reader) step() int64 {
	n, err := binary.ReadVarint(r.r)
	r.keep(err)
	return n
}
