package screen

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"
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
			forth.add(name(i), 2+float64(bag))
			back.add(name(sessions-1-i), 2+float64(bag))
			parts[i%2].add(name(i), 2+float64(bag))
		}
	}
	parts[0].merge(&parts[1])
	usual, all := forth.usual()
	if len(usual) > maxSessions || len(usual) < maxSessions/2 || all != 3 {
		t.Errorf("%d sessions, usual bag %g", len(usual), all)
	}
	for what, other := range map[string]*tareSummary{"backwards": &back, "in parts": &parts[0]} {
		if got, _ := other.usual(); cmp.Diff(usual, got) != "" || other.all.Len() != 3*sessions {
			t.Errorf("%s: other sessions are chosen", what)
		}
	}
}
