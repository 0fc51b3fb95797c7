package screen

import (
	"fmt"
	"maps"
	"testing"
)

// Of many sessions those are chosen that would be in any other order, or from
// parts.
func TestTaresOfManySessions(t *testing.T) {
	const sessions = maxSessions + maxSessions/4
	forth, back := newTareSummary(), newTareSummary()
	parts := [2]tareSummary{newTareSummary(), newTareSummary()}
	name := func(i int) string { return fmt.Sprint("night ", i) }
	for i := range sessions {
		for bag := range 3 {
			forth.add(name(i), 2+float64(bag), 0)
			back.add(name(sessions-1-i), 2+float64(bag), 0)
			parts[i%2].add(name(i), 2+float64(bag), 0)
		}
	}
	parts[0].merge(&parts[1])
	usual := forth.usual(Defaults())
	if n := len(usual.sessions); n > maxSessions || n < maxSessions/2 || usual.any != 3 {
		t.Errorf("%d sessions, usual bag %g", n, usual.any)
	}
	for what, other := range map[string]*tareSummary{"backwards": &back, "in parts": &parts[0]} {
		if got := other.usual(Defaults()); !maps.Equal(usual.sessions, got.sessions) || other.all.Len() != 3*sessions {
			t.Errorf("%s: other sessions are chosen", what)
		}
	}
}

// Small animals go into small bags: an animal's bag is that of animals as heavy,
// in its session where it has three of them.
func TestBagsByMassOfAnimal(t *testing.T) {
	tares := newTareSummary()
	for i := range 10 {
		tares.add("dry", 2.4, 5+float64(i)/10)
		tares.add("dry", 6.1, 40+float64(i))
		if i < 3 {
			tares.add("wet", 3.0, 5)
		}
	}
	usual := tares.usual(Defaults())
	for _, c := range []struct {
		session      string
		animal, want float64
	}{
		{"dry", 6, 2.4}, {"dry", 45, 6.1}, {"wet", 6, 3.0}, {"wet", 45, 6.1}, {"another", 45, 6.1}, {"wet", 0, 3.0},
	} {
		if got := usual.of(sessionMark(c.session), c.animal); got != c.want {
			t.Errorf("%s, %g g: got %g, want %g", c.session, c.animal, got, c.want)
		}
	}
}

// An animal's bag is that of animals as heavy as what is left without it, also where
// most animals of its session are of another size.
func TestBagWithinAMass(t *testing.T) {
	tares := newTareSummary()
	for i := range 20 {
		tares.add("small", 2.4, 5+float64(i)/10)
		tares.add("small", 2.4, 12)
		tares.add("large", 6.1, 40+float64(i))
		tares.add("large", 6.1, 20)
	}
	tares.add("mixed", 2.4, 12)
	tares.add("mixed", 6.1, 40)
	tares.add("mixed", 6.1, 41)
	tares.add("mixed", 2.4, 12)
	usual := tares.usual(Defaults())
	for _, c := range []struct {
		session     string
		gross, want float64
	}{
		{"large", 14.4, 2.4}, {"large", 17, 2.4}, {"large", 25, 6.1}, {"mixed", 8, 2.4}, {"mixed", 14.4, 2.4}, {"another", 50, 6.1},
	} {
		if got := usual.within(sessionMark(c.session), c.gross); got != c.want {
			t.Errorf("%s, %g g: got %g, want %g", c.session, c.gross, got, c.want)
		}
	}
}
