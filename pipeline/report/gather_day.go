package report

// days counts the captures of each name by day. In a large survey names beyond
// maxNames are counted together, and where there are more than maxDays cells
// in the end, so are all but the most frequent.
type days struct {
	by map[string]map[int]*dayCount
	no map[int]bool // days that are called wrong, such as those outside the survey
}

const maxDays = 1 << 16

// dayCount counts the captures of a day, and those whose date is doubted.
type dayCount struct{ plain, doubted int }

// add counts captures of a name on a day.
func (ds *days) add(name string, d float64, plain, doubted int) {
	of := ds.by[name]
	if of == nil {
		if ds.by == nil {
			ds.by = map[string]map[int]*dayCount{}
		}
		of = map[int]*dayCount{}
		ds.by[name] = of
	}
	n := of[int(d)]
	if n == nil {
		n = &dayCount{}
		of[int(d)] = n
	}
	n.plain += plain
	n.doubted += doubted
}

// wrong notes that a day is called wrong.
func (ds *days) wrong(d float64) {
	if ds.no == nil {
		ds.no = map[int]bool{}
	}
	if len(ds.no) < maxDays {
		ds.no[int(d)] = true
	}
}

func (ds *days) cells() int {
	n := 0
	for _, of := range ds.by {
		n += len(of)
	}
	return n
}

// lump counts all but the most frequent names together, with what was counted
// together before.
func (ds *days) lump(most int) {
	number := map[string]int{}
	for name, of := range ds.by {
		for _, n := range of {
			number[name] += n.plain + n.doubted
		}
	}
	for i, name := range frequent(number) {
		if i < most || name == others {
			continue
		}
		for d, n := range ds.by[name] {
			ds.add(others, float64(d), n.plain, n.doubted)
		}
		delete(ds.by, name)
	}
}
