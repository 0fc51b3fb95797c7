package boundary

import "math"

// cellIndex lists the edges of all rings by cells of one degree.
type cellIndex struct {
	start []int32 // by cell: where its edges begin in edges; one more at the end
	edges []int32 // index of the edge's first vertex
	next  []int32 // by vertex: the other end of its edge
	owner []int16 // by vertex: its area
}

const (
	cellColumns = 360
	cellRows    = 180
	kmPerDegree = 111.195 // of latitude, on a sphere of radius 6371.0088 km
)

// indexCells leaves out the edges that only close the ring around the south
// pole: no land ends there.
func (w *world) indexCells() cellIndex {
	ix := cellIndex{
		start: make([]int32, cellColumns*cellRows+1),
		next:  make([]int32, len(w.vertices)), owner: make([]int16, len(w.vertices)),
	}
	for a := range w.areas {
		for _, g := range w.areas[a].rings {
			for i := g.from; i < g.to; i++ {
				ix.next[i], ix.owner[i] = i+1, int16(a)
			}
			ix.next[g.to-1] = g.from
		}
	}
	for pass := 0; pass < 2; pass++ { // count, then fill
		for i := range w.vertices {
			w.eachCell(ix, int32(i), func(cell int) {
				if pass == 0 {
					ix.start[cell+1]++
				} else {
					ix.edges[ix.start[cell]] = int32(i)
					ix.start[cell]++
				}
			})
		}
		if pass == 0 {
			for c := 1; c < len(ix.start); c++ {
				ix.start[c] += ix.start[c-1]
			}
			ix.edges = make([]int32, ix.start[len(ix.start)-1])
		}
	}
	copy(ix.start[1:], ix.start[:len(ix.start)-1]) // filling moved each start to its end
	ix.start[0] = 0
	return ix
}

func (w *world) eachCell(ix cellIndex, i int32, do func(cell int)) {
	a, z := w.vertices[i], w.vertices[ix.next[i]]
	lonA, lonZ := w.lon(a.x), w.lon(z.x)
	if a.y < 0 || z.y < 0 {
		return
	}
	west, east := int(math.Min(lonA, lonZ)+180), int(math.Max(lonA, lonZ)+180)
	for row := rowOf(w.lat(min(a.y, z.y))); row <= rowOf(w.lat(max(a.y, z.y))); row++ {
		for column := west; column <= east; column++ {
			do(row*cellColumns + column%cellColumns)
		}
	}
}

func rowOf(lat float64) int { return min(max(int(lat+90), 0), cellRows-1) }

// distances gives, by area, the distance in kilometres from a point to the
// nearest edge, for the areas with an edge within the limit.
func (w *world) distances(lat, lon, limit float64) map[int16]float64 {
	found := map[int16]float64{}
	reach := limit / kmPerDegree
	widest := math.Max(math.Cos((math.Min(math.Abs(lat)+reach, 89.9))*math.Pi/180), 0.01)
	across := int(math.Ceil(math.Min(reach/widest, 180)))
	column := int(lon + 180)
	for row := rowOf(lat - reach); row <= rowOf(lat+reach); row++ {
		for step := -across; step <= across && step < cellColumns-across; step++ {
			cell := row*cellColumns + (column+step+2*cellColumns)%cellColumns
			for _, i := range w.cells.edges[w.cells.start[cell]:w.cells.start[cell+1]] {
				from, to := w.vertices[i], w.vertices[w.cells.next[i]]
				if w.lat(min(from.y, to.y)) > lat+reach || w.lat(max(from.y, to.y)) < lat-reach {
					continue
				}
				d := w.distance(lat, lon, from, to)
				if d > limit {
					continue
				}
				a := w.cells.owner[i]
				if old, ok := found[a]; !ok || d < old {
					found[a] = d
				}
			}
		}
	}
	return found
}

// distance is that from a point to an edge in kilometres, on a plane through
// the point whose east-west scale is taken half-way to the edge. At 400 km and
// 60 degrees it is within one per cent of the distance on the sphere.
func (w *world) distance(lat, lon float64, a, z vertex) float64 {
	ya, yz := w.lat(a.y)-lat, w.lat(z.y)-lat
	scale := math.Cos((lat + (ya+yz)/4) * math.Pi / 180)
	xa, xz := wrap(w.lon(a.x)-lon)*scale, wrap(w.lon(z.x)-lon)*scale
	dx, dy := xz-xa, yz-ya
	t := 0.0
	if length := dx*dx + dy*dy; length > 0 {
		t = math.Min(math.Max(-(xa*dx+ya*dy)/length, 0), 1)
	}
	return kmPerDegree * math.Hypot(xa+t*dx, ya+t*dy)
}

// wrap brings a difference of longitudes into -180 to 180.
func wrap(d float64) float64 {
	for d > 180 {
		d -= 360
	}
	for d < -180 {
		d += 360
	}
	return d
}
