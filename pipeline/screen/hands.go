package screen

// maxHands is the number of observers who are known apart; those who come later are
// judged by what holds of all.
const maxHands = 4096

// byHand gathers something of one measurement by observer. The zero value is ready.
type byHand[T any, P mergeable[T]] struct {
	hands map[uint64]P // by hash of the observer
	rest  T            // of the observers who are too many
}

type mergeable[T any] interface {
	*T
	merge(o *T)
}

// hand returns what is gathered of an observer.
func (b *byHand[T, P]) hand(observer uint64) P {
	h := b.hands[observer]
	if h == nil {
		if len(b.hands) == maxHands {
			return &b.rest
		}
		if b.hands == nil {
			b.hands = map[uint64]P{}
		}
		h = new(T)
		b.hands[observer] = h
	}
	return h
}

// all is what is gathered of all observers together.
func (b *byHand[T, P]) all() P {
	all := b.rest
	for _, h := range b.hands {
		P(&all).merge(h)
	}
	return &all
}

func (b *byHand[T, P]) merge(o *byHand[T, P]) {
	P(&b.rest).merge(&o.rest)
	for observer, from := range o.hands {
		b.hand(observer).merge(from)
	}
}
