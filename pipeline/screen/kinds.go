package screen

import "slices"

// kinds are measurements with their dimensions, few enough to be searched.
type kinds struct {
	names []string
	of    []dimension
}

// find returns the place of a measurement, likely near one; -1 if it is none of
// them.
func (k *kinds) find(name string, near int) int {
	for i := range k.names {
		at := i + near
		if at >= len(k.names) {
			if at -= len(k.names); at >= len(k.names) {
				at = i // near was past the end
			}
		}
		if k.names[at] == name {
			return at
		}
	}
	return -1
}

func (k *kinds) add(name string, of dimension) int {
	k.names, k.of = append(k.names, name), append(k.of, of)
	return len(k.names) - 1
}

// sorted lists lengths and other measurements by name.
func (k *kinds) sorted() (lengths, masses []string) {
	for i, name := range k.names {
		if k.of[i] == length {
			lengths = append(lengths, name)
		} else {
			masses = append(masses, name)
		}
	}
	slices.Sort(lengths)
	slices.Sort(masses)
	return lengths, masses
}
