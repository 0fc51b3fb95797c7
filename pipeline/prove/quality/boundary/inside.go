package boundary

// bands lists the edges of a long ring by strips of latitude, so that a point
// is compared with the edges of its strip only.
type bands struct {
	minY, height int32
	edges        [][]int32 // by strip: index of the edge's first vertex
}

const (
	longRing     = 128 // rings of fewer corners need no strips
	edgesInStrip = 32
)

func (w *world) indexBands(g ring) *bands {
	n := g.to - g.from
	if n < longRing {
		return nil
	}
	minY, maxY := w.vertices[g.from].y, w.vertices[g.from].y
	for _, v := range w.vertices[g.from:g.to] {
		minY, maxY = min(minY, v.y), max(maxY, v.y)
	}
	strips := n / edgesInStrip
	b := &bands{minY: minY, height: (maxY-minY)/strips + 1}
	b.edges = make([][]int32, (maxY-minY)/b.height+1)
	for i := g.from; i < g.to; i++ {
		a, z := w.edge(g, i)
		for s := (min(a.y, z.y) - minY) / b.height; s <= (max(a.y, z.y)-minY)/b.height; s++ {
			b.edges[s] = append(b.edges[s], i)
		}
	}
	return b
}

// edge returns the two ends of the edge that begins at vertex i.
func (w *world) edge(g ring, i int32) (a, z vertex) {
	if i+1 == g.to {
		return w.vertices[i], w.vertices[g.from]
	}
	return w.vertices[i], w.vertices[i+1]
}

// covers reports whether a place lies in the area.
func (w *world) covers(a *area, lat, lon float64) bool {
	y := (lat - w.originY) / w.scaleY
	for _, turn := range [...]float64{0, 360} {
		if w.holds(a, (lon+turn-w.originX)/w.scaleX, y) {
			return true
		}
	}
	return false
}

// holds reports whether a point in grid units lies in the area: inside an odd
// number of its rings.
func (w *world) holds(a *area, x, y float64) bool {
	if x < float64(a.minX) || x > float64(a.maxX) || y < float64(a.minY) || y > float64(a.maxY) {
		return false
	}
	inside := false
	for _, g := range a.rings {
		if w.crossings(g, x, y)%2 == 1 {
			inside = !inside
		}
	}
	return inside
}

// crossings counts the edges of a ring that a ray eastwards from the point
// meets.
func (w *world) crossings(g ring, x, y float64) int {
	n := 0
	count := func(i int32) {
		a, z := w.edge(g, i)
		if (float64(a.y) > y) == (float64(z.y) > y) {
			return
		}
		at := float64(a.x) + (y-float64(a.y))*float64(z.x-a.x)/float64(z.y-a.y)
		if at > x {
			n++
		}
	}
	if g.bands == nil {
		for i := g.from; i < g.to; i++ {
			count(i)
		}
		return n
	}
	if y < float64(g.bands.minY) {
		return 0
	}
	strip := (int32(y) - g.bands.minY) / g.bands.height
	if int(strip) >= len(g.bands.edges) {
		return 0
	}
	for _, i := range g.bands.edges[strip] {
		count(i)
	}
	return n
}
