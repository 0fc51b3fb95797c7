//go:build ignore

// Convert writes the embedded boundaries from the TopoJSON of Natural Earth's
// countries at 1:10 000 000, as npm's world-atlas 2.0.2 carries it:
//
//	npm pack world-atlas@2.0.2 && tar xzf world-atlas-2.0.2.tgz
//	go run convert.go package/countries-10m.json areas.csv countries.bin.gz
//
// Natural Earth is in the public domain (naturalearthdata.com, terms of use);
// world-atlas is under the ISC licence. Coordinates keep the grid of the source,
// about 400 m by 190 m. The source closes rings on the sphere; here a ring that
// passes the antimeridian goes on beyond 180 degrees, and the ring around the
// south pole goes on below it, so that rings close on the plane.
//
// The format, gzip of: scale x, scale y, origin x, origin y (float64, little
// endian); the number of polygons; for each polygon its code (2 bytes), the
// number of further codes, those (2 bytes each), 1 where contested else 0, the
// number of rings, and for each ring the number of points and their steps from
// point to point in grid units, x and y. Numbers are varints, steps signed ones;
// a ring is closed and its last point is left out.
package main

import (
	"bytes"
	"compress/gzip"
	"encoding/binary"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"log"
	"math"
	"os"
	"strconv"
	"strings"

	"spadefoot/schemas"
)

type topology struct {
	Transform struct {
		Scale     [2]float64 `json:"scale"`
		Translate [2]float64 `json:"translate"`
	} `json:"transform"`
	Objects map[string]struct {
		Geometries []geometry `json:"geometries"`
	} `json:"objects"`
	Arcs [][][2]int `json:"arcs"`
}

type geometry struct {
	ID         string          `json:"id"`
	Type       string          `json:"type"`
	Arcs       json.RawMessage `json:"arcs"`
	Properties struct {
		Name string `json:"name"`
	} `json:"properties"`
}

type override struct {
	name      string
	boxed     bool
	cut       bool // only the part south of the box's north is meant
	box       [4]float64
	code      string
	also      []string
	contested bool
}

func main() {
	if len(os.Args) != 4 {
		log.Fatal("usage: go run convert.go countries-10m.json areas.csv countries.bin.gz")
	}
	raw, err := os.ReadFile(os.Args[1])
	check(err)
	var t topology
	check(json.Unmarshal(raw, &t))
	overrides := readOverrides(os.Args[2])

	var body bytes.Buffer
	n := 0
	for _, g := range t.Objects["countries"].Geometries {
		for _, polygon := range polygons(g) {
			rings := make([][][2]int, len(polygon))
			for i, arcs := range polygon {
				rings[i] = unroll(join(t.Arcs, arcs), int(math.Round(360/t.Transform.Scale[0])))
			}
			if len(rings[0]) < 3 { // too small for the grid: four corners around it
				p := rings[0][0]
				rings = [][][2]int{{{p[0] - 1, p[1]}, {p[0], p[1] - 1}, {p[0] + 1, p[1]}, {p[0], p[1] + 1}}}
			}
			o := describe(g, rings[0], t, overrides)
			if cut, ok := cutOff(g, overrides); ok {
				line := int(math.Round((cut.box[3] - t.Transform.Translate[1]) / t.Transform.Scale[1]))
				for i, part := range []override{cut, o} {
					if half := clip(rings[0], line, i == 0); len(half) > 2 {
						writePolygon(&body, part, [][][2]int{half})
						n++
					}
				}
				continue
			}
			writePolygon(&body, o, rings)
			n++
		}
	}
	var out bytes.Buffer
	z, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	check(err)
	for _, v := range []float64{t.Transform.Scale[0], t.Transform.Scale[1], t.Transform.Translate[0], t.Transform.Translate[1]} {
		check(binary.Write(z, binary.LittleEndian, v))
	}
	_, err = z.Write(binary.AppendUvarint(nil, uint64(n)))
	check(err)
	_, err = z.Write(body.Bytes())
	check(err)
	check(z.Close())
	check(os.WriteFile(os.Args[3], out.Bytes(), 0o644))
	fmt.Println(n, "polygons,", out.Len(), "bytes")
}

func check(err error) {
	if err != nil {
		log.Fatal(err)
	}
}

func polygons(g geometry) [][][]int {
	if g.Type == "Polygon" {
		var one [][]int
		check(json.Unmarshal(g.Arcs, &one))
		return [][][]int{one}
	}
	var many [][][]int
	check(json.Unmarshal(g.Arcs, &many))
	return many
}

// join puts arcs end to end; a negative number is an arc run backwards. The
// point that closes the ring is left out.
func join(all [][][2]int, arcs []int) [][2]int {
	var ring [][2]int
	for _, i := range arcs {
		backwards := i < 0
		if backwards {
			i = ^i
		}
		points := make([][2]int, len(all[i]))
		x, y := 0, 0
		for k, step := range all[i] {
			x, y = x+step[0], y+step[1]
			at := k
			if backwards {
				at = len(points) - 1 - k
			}
			points[at] = [2]int{x, y}
		}
		for _, p := range points {
			if len(ring) == 0 || ring[len(ring)-1] != p {
				ring = append(ring, p)
			}
		}
	}
	if len(ring) > 1 && ring[0] == ring[len(ring)-1] {
		ring = ring[:len(ring)-1]
	}
	return ring
}

// unroll undoes the jumps of a ring at the antimeridian. A ring that does not
// come back to where it began goes around the pole: it is closed far south.
func unroll(ring [][2]int, width int) [][2]int {
	turn := 0
	for i := 1; i < len(ring); i++ {
		switch d := ring[i][0] + turn - ring[i-1][0]; {
		case d > width/2:
			turn -= width
		case d < -width/2:
			turn += width
		}
		ring[i][0] += turn
	}
	first, last := ring[0], ring[len(ring)-1]
	if d := first[0] - last[0]; d > width/2 || d < -width/2 {
		end := first[0] + width
		if d > 0 {
			end = first[0] - width
		}
		const south = -10000
		ring = append(ring, [2]int{end, first[1]}, [2]int{end, south}, [2]int{first[0], south})
	}
	west := ring[0][0]
	for _, p := range ring {
		west = min(west, p[0])
	}
	shift := 0
	for west+shift < 0 {
		shift += width
	}
	for i := range ring {
		ring[i][0] += shift
	}
	return ring
}

func describe(g geometry, outer [][2]int, t topology, overrides []override) override {
	west, south, east, north := 1e9, 1e9, -1e9, -1e9
	for _, p := range outer {
		x := float64(p[0])*t.Transform.Scale[0] + t.Transform.Translate[0]
		y := float64(p[1])*t.Transform.Scale[1] + t.Transform.Translate[1]
		west, south, east, north = min(west, x), min(south, y), max(east, x), max(north, y)
	}
	for _, o := range overrides {
		if o.name == g.Properties.Name && !o.cut && (!o.boxed ||
			west >= o.box[0] && south >= o.box[1] && east <= o.box[2] && north <= o.box[3]) {
			return o
		}
	}
	number, err := strconv.Atoi(g.ID)
	if err != nil {
		log.Fatalf("%s has no code and is not in the table of areas", g.Properties.Name)
	}
	for _, c := range schemas.Countries() {
		if c.Number == number {
			return override{code: c.Code}
		}
	}
	log.Fatalf("%s: number %s has no code", g.Properties.Name, g.ID)
	return override{}
}

func cutOff(g geometry, overrides []override) (override, bool) {
	for _, o := range overrides {
		if o.cut && o.name == g.Properties.Name {
			return o, true
		}
	}
	return override{}, false
}

// clip keeps the part of a ring south or north of a line of latitude
// (Sutherland and Hodgman 1974, "Reentrant polygon clipping"). Where the ring
// crosses the line more than twice the parts hang together by edges on the line,
// which does not change what lies inside.
func clip(ring [][2]int, line int, south bool) [][2]int {
	inside := func(p [2]int) bool { return (p[1] < line) == south }
	var kept [][2]int
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		if inside(p) {
			kept = append(kept, p)
		}
		if inside(p) != inside(q) {
			share := float64(line-p[1]) / float64(q[1]-p[1])
			kept = append(kept, [2]int{p[0] + int(math.Round(share*float64(q[0]-p[0]))), line})
		}
	}
	return kept
}

func writePolygon(b *bytes.Buffer, o override, rings [][][2]int) {
	b.WriteString(o.code)
	uvarint(b, len(o.also))
	for _, code := range o.also {
		b.WriteString(code)
	}
	if o.contested {
		uvarint(b, 1)
	} else {
		uvarint(b, 0)
	}
	uvarint(b, len(rings))
	for _, ring := range rings {
		uvarint(b, len(ring))
		x, y := 0, 0
		for _, p := range ring {
			b.Write(binary.AppendVarint(nil, int64(p[0]-x)))
			b.Write(binary.AppendVarint(nil, int64(p[1]-y)))
			x, y = p[0], p[1]
		}
	}
}

func uvarint(b *bytes.Buffer, n int) { b.Write(binary.AppendUvarint(nil, uint64(n))) }

func readOverrides(name string) []override {
	f, err := os.Open(name)
	check(err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	check(err)
	var all []override
	for _, row := range rows[1:] {
		o := override{name: row[0], boxed: row[1] != "", cut: row[1] == "" && row[4] != "",
			code: row[5], also: strings.Fields(row[6]), contested: row[7] == "yes"}
		for i := 0; i < 4; i++ {
			if row[1+i] != "" {
				o.box[i], err = strconv.ParseFloat(row[1+i], 64)
				check(err)
			}
		}
		all = append(all, o)
	}
	return all
}
