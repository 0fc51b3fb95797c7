package prove

import "slices"

// few is how many entries are sorted by comparing them.
const few = 48

// sortEntries sorts entries by key and place. Keys are spread evenly, as
// digests and UUIDs are, or share their first bytes: entries are dealt out by
// one byte of the key after the other, in place (McIlroy, Bostic & McIlroy
// 1993, Computing Systems 6: 5), and compared once there are few.
func sortEntries(list []entry) { sortFrom(list, 56) }

func sortFrom(list []entry, shift int) {
	if len(list) <= few || shift < 0 {
		slices.SortFunc(list, entry.compare)
		return
	}
	var next, end [256]int
	for i := range list {
		end[byte(list[i].key.high>>shift)]++
	}
	for b, at := 0, 0; b < 256; b++ {
		next[b] = at
		at += end[b]
		end[b] = at
	}
	for b := range 256 {
		for next[b] < end[b] {
			e := list[next[b]]
			for {
				own := byte(e.key.high >> shift)
				if int(own) == b {
					break
				}
				e, list[next[own]] = list[next[own]], e
				next[own]++
			}
			list[next[b]] = e
			next[b]++
		}
	}
	from := 0
	for _, to := range end {
		if to-from > 1 {
			sortFrom(list[from:to], shift-8)
		}
		from = to
	}
}
