package screen

import (
	"cmp"
	"encoding/binary"
	"slices"

	"spadefoot/pipeline/record"
)

// ranks returns the place of each sheet by file and name.
func (s *sheets) ranks() []int {
	order := make([]int, len(s.names))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(s.names[a][0], s.names[b][0]), cmp.Compare(s.names[a][1], s.names[b][1]))
	})
	ranks := make([]int, len(order))
	for place, sheet := range order {
		ranks[sheet] = place
	}
	return ranks
}

// standing identifies the capture of a record, and its place among the others.
type standing struct {
	group   uint64 // what the captures have in common that are to be compared
	ordinal int
	rank    int // of the sheet
	row     int
}

const standingSize = 8 + 4 + 4 + 4

func appendStanding(to []byte, group uint64, ordinal int, s *sheets, c *record.Capture) []byte {
	to = binary.LittleEndian.AppendUint64(to, group)
	to = binary.LittleEndian.AppendUint32(to, uint32(ordinal))
	to = binary.LittleEndian.AppendUint32(to, s.of(c.File, c.Sheet))
	return binary.LittleEndian.AppendUint32(to, uint32(c.Row))
}

func standingOf(b []byte, ranks []int) standing {
	return standing{binary.LittleEndian.Uint64(b), int(binary.LittleEndian.Uint32(b[8:])),
		ranks[binary.LittleEndian.Uint32(b[12:])], int(binary.LittleEndian.Uint32(b[16:]))}
}

// compareRows orders captures by address, and those of one row as they came.
func (a *standing) compareRows(b *standing) int {
	return cmp.Or(a.rank-b.rank, a.row-b.row, a.ordinal-b.ordinal)
}

// inTurn sorts pairs by the later capture of the survey, then the other.
func inTurn(pairs [][2]int) {
	slices.SortFunc(pairs, func(a, b [2]int) int {
		return cmp.Or(max(a[0], a[1])-max(b[0], b[1]), min(a[0], a[1])-min(b[0], b[1]))
	})
}
