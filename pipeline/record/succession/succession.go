// Package succession numbers keys that arrive in similar orders, such as the
// terms of one capture after another.
package succession

// Keys numbers keys in the order in which they first came. After a key mostly comes
// one of the two that came after it last, which are tried first. The zero value has
// none. It is used by one goroutine, but for At.
type Keys[K comparable] struct {
	All  []K
	at   map[K]int
	next [][2]int // by the key before, as last: the numbers that came after it
	last int      // the number that was found last and 1; 0 at the beginning
}

// Find returns the number of the key that comes next, -1 where it has none yet.
func (s *Keys[K]) Find(key K) int {
	if s.last < len(s.next) {
		next := &s.next[s.last]
		if i := next[0]; s.All[i] == key {
			s.last = i + 1
			return i
		}
		if i := next[1]; s.All[i] == key {
			s.last = i + 1
			return i
		}
	}
	i, there := s.at[key]
	if !there {
		return -1
	}
	s.follow(i)
	return i
}

// Add numbers a new key, which comes next.
func (s *Keys[K]) Add(key K) int {
	if s.at == nil {
		s.at = map[K]int{}
	}
	i := len(s.All)
	s.All = append(s.All, key)
	s.at[key] = i
	s.follow(i)
	return i
}

func (s *Keys[K]) follow(i int) {
	for len(s.next) <= s.last {
		s.next = append(s.next, [2]int{i, i})
	}
	s.next[s.last], s.last = [2]int{i, s.next[s.last][0]}, i+1
}

// At returns the number of a key, wherever it comes; false where it has none.
func (s *Keys[K]) At(key K) (int, bool) {
	i, there := s.at[key]
	return i, there
}

// Reader returns keys with the same numbers that another goroutine may search, while
// nobody adds any.
func (s *Keys[K]) Reader() Keys[K] { return Keys[K]{All: s.All, at: s.at} }
