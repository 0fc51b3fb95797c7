package season

import (
	"iter"
	"strconv"
	"strings"

	"spadefoot/pipeline/store"
)

// maxHeld is the number of different keys that a tally holds before it puts
// them away in order; a variable for tests.
var maxHeld = 1 << 15

// tally counts keys. What it holds is bounded; the rest is in a file.
type tally struct {
	hold   map[string]*int
	sorted *store.Sorted
}

func newTally(dir string) *tally {
	return &tally{hold: map[string]*int{}, sorted: store.NewSorted(dir)}
}

// add counts a key n times more.
func (t *tally) add(key []byte, n int) error {
	if k := t.hold[string(key)]; k != nil {
		*k += n
		return nil
	}
	t.hold[string(key)] = &n
	if len(t.hold) < maxHeld {
		return nil
	}
	return t.put()
}

// put puts away what is held.
func (t *tally) put() error {
	for key, n := range t.hold { // equal keys are added up, so that their order is nothing
		if err := t.sorted.Add(key, strconv.Itoa(*n)); err != nil {
			return err
		}
	}
	clear(t.hold)
	return nil
}

// all returns the keys in their order, each once with its count.
func (t *tally) all() iter.Seq2[counted, error] {
	return func(yield func(counted, error) bool) {
		if err := t.put(); err != nil {
			yield(counted{}, err)
			return
		}
		var last counted
		for e, err := range t.sorted.All() {
			if err != nil {
				yield(counted{}, err)
				return
			}
			n, err := strconv.Atoi(e[1])
			if err != nil {
				yield(counted{}, err)
				return
			}
			if e[0] == last.key {
				last.n += n
				continue
			}
			if last.n > 0 && !yield(last, nil) {
				return
			}
			last = counted{e[0], n}
		}
		if last.n > 0 {
			yield(last, nil)
		}
	}
}

func (t *tally) close() error { return t.sorted.Close() }

// counted is a key with its count.
type counted struct {
	key string
	n   int
}

// end is behind each word of a key: it sorts before all that a word may
// hold.
const end = "\x00"

// appendWords adds words to a key.
func appendWords(key []byte, words ...string) []byte {
	for _, w := range words {
		if strings.Contains(w, end) {
			w = strings.ReplaceAll(w, end, " ")
		}
		key = append(append(key, w...), end...)
	}
	return key
}

// cutWords returns the n words of a key.
func cutWords(key string, n int) []string {
	return strings.SplitN(key, end, n+1)[:n]
}
