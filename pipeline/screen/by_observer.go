package screen

// maxHands is the number of observers who are known apart; those who come later are
// judged by what holds of all.
const maxObservers = 4096

// byObserver gathers something of one measurement by observer. The zero value is ready.
type byObserver[T any, P mergeable[T]] struct {
	observers map[uint64]P // by hash of the observer
	rest      T            // of the observers who are too many
}

type mergeable[T any] interface {
	*T
	merge(o *T)
}

// of returns what is gathered of an observer.
func (b *byObserver[T, P]) of(observer uint64) P {
	h := b.observers[observer]
	if h == nil {
		if len(b.observers) == maxObservers {
			return &b.rest
		}
		if b.observers == nil {
			b.observers = map[uint64]P{}
		}
		h = new(T)
		b.observers[observer] = h
	}
	return h
}

// all is what is gathered of all observers together.
func (b *byObserver[T, P]) all() P {
	all := b.rest
	for _, h := range b.observers {
		P(&all).merge(h)
	}
	return &all
}

func (b *byObserver[T, P]) merge(o *byObserver[T, P]) {
	P(&b.rest).merge(&o.rest)
	for observer, from := range o.observers {
		b.of(observer).merge(from)
	}
}
