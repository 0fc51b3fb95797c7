//go:build !onemachine

package pipeline

import (
	"cmp"
	"errors"
	"slices"

	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/store"
)

// Marked is what the drawers say of marks: of each drawer a block of CountMarks, of
// LearnMarks and of FollowMarks, in any order.
type Marked struct{ Counts, Signs, Followed [][]byte }

// markSigns is what one drawer tells.
type markSigns struct {
	Drawer int
	Signs  []byte
}

// markFollowed is what is to be compared, and linked, of one drawer.
type markFollowed struct {
	Pairs [][2]int
	All   int
	Links [][]int
}

// marksIn are the marked captures of a drawer.
func (s *Shared) marksIn(k Joined, blocks [][]byte) (*screen.Marks, *store.EqualTexts, error) {
	o, err := s.knowing(k).outline()
	if err != nil {
		return nil, nil, err
	}
	marks, marked := screen.NewMarks(s.walk.temp), store.NewEqualTexts(s.walk.temp)
	marks.Knows(o.sheets())
	err = eachDrawn(blocks, func(d *drawn) error { return errors.Join(marks.AddPacked(d.Marks), marked.AddPacked(d.Marked)) })
	return marks, marked, err
}

// CountMarks counts the captures of one mark in a drawer that contradict each other.
func (s *Shared) CountMarks(k Joined, blocks [][]byte) (_ []byte, err error) {
	marks, marked, err := s.marksIn(k, blocks)
	defer func() { err = errors.Join(err, marks.Close(), marked.Close()) }()
	if err != nil {
		return nil, err
	}
	return marks.Count()
}

// LearnMarks gathers what the recaptures of a drawer tell.
func (s *Shared) LearnMarks(k Joined, m Marked, drawer int, blocks [][]byte) (_ []byte, err error) {
	marks, marked, err := s.marksIn(k, blocks)
	defer func() { err = errors.Join(err, marks.Close(), marked.Close()) }()
	if err = errors.Join(err, marks.Within(m.Counts)); err != nil {
		return nil, err
	}
	signs, err := marks.Signs()
	if err != nil {
		return nil, err
	}
	return encode(markSigns{drawer, signs})
}

// FollowMarks pairs the captures of a drawer that are to be compared or linked, by
// what all of them tell.
func (s *Shared) FollowMarks(k Joined, causes []byte, m Marked, blocks [][]byte) (_ []byte, err error) {
	marks, marked, err := s.marksIn(k, blocks)
	defer func() { err = errors.Join(err, marks.Close(), marked.Close()) }()
	signs, failed := m.signs()
	if err = errors.Join(err, failed, marks.Within(m.Counts)); err != nil {
		return nil, err
	}
	know, said, err := s.caused(k, causes)
	if err != nil {
		return nil, err
	}
	var out markFollowed
	if out.Pairs, out.All, err = marks.Suspects(signs, said.screening.Summary(), know.tables.limits, know.learned.screened); err != nil {
		return nil, err
	}
	if out.Links, err = groupsOf(marked); err != nil {
		return nil, err
	}
	return encode(out)
}

// signs are those of all drawers in their order.
func (m Marked) signs() (out [][]byte, err error) {
	var all []markSigns
	for _, block := range m.Signs {
		var one markSigns
		if err := decodeBlock(block, &one); err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	slices.SortFunc(all, func(a, b markSigns) int { return cmp.Compare(a.Drawer, b.Drawer) })
	for _, one := range all {
		out = append(out, one.Signs)
	}
	return out, nil
}

// follow puts what was found of marks into what was learnt.
func (g *learned) follow(m Marked) error {
	var found markFollowed
	for _, block := range m.Followed {
		var one markFollowed
		if err := decodeBlock(block, &one); err != nil {
			return err
		}
		found.Pairs, found.All = append(found.Pairs, one.Pairs...), found.All+one.All
		found.Links = append(found.Links, one.Links...)
	}
	signs, err := m.signs()
	if err != nil {
		return err
	}
	g.marked = store.Equal(found.Links)
	g.marks, err = screen.FoundMarks(m.Counts, signs, found.Pairs, found.All)
	return err
}
