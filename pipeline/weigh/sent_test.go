package weigh

import (
	"bytes"
	"encoding/gob"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
)

// A tare is judged in its part as it is where all captures are together: the sessions
// that reach over parts come by drawers, the others are those of the part.
func TestPartsJudgeTaresAsTheWhole(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, tooMany := range []bool{false, true} {
		all, told := Tares{}, 0
		var parts [3][]*record.Capture
		for i := range 600 {
			session := rng.IntN(40)
			tare := fmt.Sprintf("%.1f", 4+float64(session%5)+rng.Float64())
			switch rng.IntN(30) {
			case 0:
				tare = "0"
			case 1:
				tare = fmt.Sprintf("%.1f", 12+30*rng.Float64())
			}
			c := capture(t, record.SameRow, "50", tare, "nil")
			c.File, c.Session = fmt.Sprintf("sheet-%d.csv", i%2), fmt.Sprint(session)
			all.Add(c)
			at := session % 3 // a third of the sessions reach over parts
			if session%9 < 3 {
				at = i % 3
			}
			parts[at] = append(parts[at], c)
		}
		joined, across, drawers := Tares{}, Across{}, map[int]Sessions{0: {}, 1: {}}
		for _, part := range slices.Backward(parts[:]) {
			own := Tares{}
			for _, c := range part {
				own.Add(c)
			}
			for at, some := range own.Sessions(func(_ string, mark uint64) int { return int(mark % 2) }) {
				drawers[at].Add(some)
			}
			for group, tares := range sent(t, own) {
				if joined[group] == nil {
					joined[group] = &TareSummary{}
				}
				joined[group].Merge(*tares)
			}
		}
		for _, drawer := range drawers {
			across.Join(drawer.Across())
		}
		if n := len(across.Sessions["sheet-0.csv\x1f"]); n == 0 || n > 20 {
			t.Errorf("%d sessions are known to all parts", n)
		}
		if tooMany {
			for group := range all {
				across.Count[group], all[group].judge.sessions = maxSessions+1, nil
			}
		}
		known := Knowing(joined, across)
		for _, part := range parts {
			own := known.Of(part)
			for _, c := range part {
				want := all.Judge(c, Settings{})
				told += len(want)
				if d := cmp.Diff(want, own.Judge(c, Settings{})); d != "" {
					t.Errorf("too many sessions %v: %s", tooMany, d)
				}
			}
		}
		if told == 0 {
			t.Error("no tare is doubted")
		}
	}
}

func sent(t *testing.T, tares Tares) (out Tares) {
	var b bytes.Buffer
	if err := gob.NewEncoder(&b).Encode(tares); err != nil {
		t.Fatal(err)
	}
	if err := gob.NewDecoder(&b).Decode(&out); err != nil {
		t.Fatal(err)
	}
	return out
}
