package screen

// maxHands is the number of observers who are told apart; those who come later
// go by what holds of all.
const maxHands = 4096

// byHand gathers something of one measurement: of each observer, by hash, and of
// all of them. The zero value is ready.
type byHand[T any, P mergeable[T]] struct {
	hands map[uint64]P
	all   T
}

type mergeable[T any] interface {
	*T
	merge(o *T)
}

// hand returns what is gathered of an observer, nil for one too many.
func (b *byHand[T, P]) hand(observer uint64) P {
	h := b.hands[observer]
	if h == nil && len(b.hands) < maxHands {
		if b.hands == nil {
			b.hands = map[uint64]P{}
		}
		h = new(T)
		b.hands[observer] = h
	}
	return h
}

func (b *byHand[T, P]) merge(o *byHand[T, P]) {
	P(&b.all).merge(&o.all)
	for observer, from := range o.hands {
		if h := b.hand(observer); h != nil {
			h.merge(from)
		}
	}
}
