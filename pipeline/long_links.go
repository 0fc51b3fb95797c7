package pipeline

import "spadefoot/pipeline/record"

// linkMarks finds for each capture of a marked animal the one before it, as
// linkRecaptures does, by their ordinals.
func (l *long) linkMarks() error {
	l.before = map[int]int{}
	for group, err := range l.learned.marked.Groups() {
		if err != nil {
			return err
		}
		byMark := map[string][]*record.Capture{} // more than one where digests are equal by chance
		at := map[*record.Capture]int{}
		for _, n := range group {
			c, err := l.shelf.Find(n)
			if err != nil {
				return err
			}
			at[c] = n
			byMark[c.Get("organismID")] = append(byMark[c.Get("organismID")], c)
		}
		for _, captures := range byMark {
			for _, f := range following(captures) {
				l.before[at[f[1]]] = at[f[0]]
			}
		}
	}
	return nil
}

// linkPart links the captures of the part in hand to those before them.
func (l *long) linkPart(i int) error {
	from := l.shelf.First(i)
	for k, c := range l.captures {
		n, there := l.before[from+k]
		if !there {
			continue
		}
		before, err := l.shelf.Find(n)
		if err != nil {
			return err
		}
		link(c, before)
	}
	return nil
}
