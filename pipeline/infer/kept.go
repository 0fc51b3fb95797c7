package infer

// doubt says why a capture gets no condition index.
type doubt uint8

const (
	noDoubt doubt = iota
	flaggedDoubt
	sexDoubt
	speciesDoubt
	nameDoubt
	readingDoubt
	sizeDoubt
	gravidDoubt
	deadDoubt
	doubts // how many there are
)

var doubtTexts = [doubts]string{
	flaggedDoubt: "flagged by screening",
	sexDoubt:     "the sex is in doubt",
	speciesDoubt: "the species is in doubt",
	nameDoubt:    "the name has a qualifier",
	readingDoubt: "the writer doubted a reading",
	sizeDoubt:    "length or mass is not above 0",
	gravidDoubt:  "gravid: eggs add to the mass",
	deadDoubt:    "dead",
}

// kept holds what is kept of every capture by its number from one pass to the
// next: its doubt and its condition group, two bytes as long as there are few
// groups.
type kept struct {
	pages []*page
	n     int
}

const pageSize = 1 << 13

// page is a run of captures. A group is its index plus one, 0 for none.
type page struct {
	doubts [pageSize]doubt
	narrow []uint8  // groups, while all fit
	wide   []uint32 // groups from then on
}

func (l *kept) add(d doubt, group int) {
	if l.n%pageSize == 0 {
		l.pages = append(l.pages, &page{narrow: make([]uint8, pageSize)})
	}
	p, i := l.pages[l.n/pageSize], l.n%pageSize
	p.doubts[i] = d
	p.setGroup(i, group+1)
	l.n++
}

func (p *page) setGroup(i, group int) {
	if p.wide == nil && group > 0xff {
		p.wide = make([]uint32, pageSize)
		for j, g := range p.narrow {
			p.wide[j] = uint32(g)
		}
		p.narrow = nil
	}
	if p.wide != nil {
		p.wide[i] = uint32(group)
	} else {
		p.narrow[i] = uint8(group)
	}
}

func (l *kept) doubt(n int) doubt { return l.pages[n/pageSize].doubts[n%pageSize] }

func (l *kept) setDoubt(n int, d doubt) { l.pages[n/pageSize].doubts[n%pageSize] = d }

// group returns the index of the condition group, or -1.
func (l *kept) group(n int) int {
	p, i := l.pages[n/pageSize], n%pageSize
	if p.wide != nil {
		return int(p.wide[i]) - 1
	}
	return int(p.narrow[i]) - 1
}
