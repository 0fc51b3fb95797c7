package alarms

import (
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"spadefoot/pipeline/record"
)

// bagNight is a night on which the scale was zeroed with the bag on, and the rows
// of the sheet, from 1, in which that was forgotten.
type bagNight struct {
	session   string
	rows      []int
	forgotten []int
}

// zeroNights turns some nights of a sheet into such nights, and lets some bags of
// every other of them in: a share of its animals of 0.15 to 0.6, three at least.
func zeroNights(rows [][]string, seed uint64) (nights []bagNight) {
	draw := rand.New(rand.NewPCG(seed, 17))
	for from := 0; from < len(rows); {
		to := from + 1
		for to < len(rows) && rows[to][atDate] == rows[from][atDate] && rows[to][2] == rows[from][2] {
			to++
		}
		if night := (bagNight{session: rows[from][atDate]}); draw.Float64() < 0.3 {
			for i := from; i < to; i++ {
				if net, ok := netOf(rows[i]); ok && rows[i][atGross] != "" {
					night.rows = append(night.rows, i+2)
					gross := rows[i][atGross]
					rows[i][atGross], rows[i][atBag], rows[i][atNet] = "", "", net
					rows[i] = append(rows[i], gross)
				}
			}
			if len(nights)%2 == 1 && len(night.rows) >= 8 {
				n := max(3, int((0.15+0.45*draw.Float64())*float64(len(night.rows))))
				for _, k := range draw.Perm(len(night.rows))[:n] {
					row := rows[night.rows[k]-2]
					row[atNet] = row[len(fieldHeadings)]
					night.forgotten = append(night.forgotten, night.rows[k])
				}
			}
			nights = append(nights, night)
		}
		from = to
	}
	for i := range rows {
		rows[i] = rows[i][:len(fieldHeadings)]
	}
	return nights
}

// bagTally counts what is told of nights on which bags were forgotten.
type bagTally struct {
	forgetful, told, clean, false int // nights
	within                        int // told nights whose number lies in the range that is reported
	listed, right                 int // rows that are listed, and those of them that have the bag in
	forgotten                     int // rows of told nights that have it
}

func (b *bagTally) survey(t *testing.T, n int, heaped bool, seed uint64) {
	t.Helper()
	w := newFieldwork(seed, heaped)
	w.work(n)
	nights := zeroNights(w.rows, seed)
	found := examine(t, w.sheet())
	for _, night := range nights {
		at := slices.IndexFunc(found, func(f record.Finding) bool { return f.Rule == "bags-left-in" && slices.Contains(night.rows, f.At.Row) })
		forgotten := len(night.forgotten)
		switch {
		case forgotten == 0:
			b.clean++
			if at >= 0 {
				b.false++
				show(t, "false", found[at], w.rows)
			}
			continue
		case at < 0:
			b.forgetful++
			continue
		}
		b.forgetful++
		b.told++
		b.forgotten += forgotten
		f := found[at]
		show(t, strconv.Itoa(forgotten)+" of "+strconv.Itoa(len(night.rows)), f, w.rows)
		figure := map[string]float64{}
		for _, g := range f.Figures {
			figure[g.Name] = g.Value
		}
		if figure["low"] <= float64(forgotten) && float64(forgotten) <= figure["high"] {
			b.within++
		}
		for _, a := range append([]record.Address{f.At}, f.Also...) {
			b.listed++
			if slices.Contains(night.forgotten, a.Row) {
				b.right++
			}
		}
	}
}

// Where some bags of a night were left in, so that single rows hardly tell, most
// nights are reported, with about the right number of animals; few nights without.
func TestBagsLeftIn(t *testing.T) {
	surveys, n := 2, 500
	if os.Getenv("SPADEFOOT_LONG") == "1" {
		surveys, n = 10, 2000
	}
	for _, heaped := range []bool{false, true} {
		var b bagTally
		for seed := range surveys {
			b.survey(t, n, heaped, uint64(700+seed))
		}
		t.Logf("heaped %v: told %d of %d nights, number in its range %d; %d of %d rows listed are right, of %d in told nights; %d false of %d clean nights",
			heaped, b.told, b.forgetful, b.within, b.right, b.listed, b.forgotten, b.false, b.clean)
		if 4*b.told < b.forgetful || 5*b.within < 4*b.told-5 || 10*b.right < 7*b.listed || 50*b.false > b.clean+50 {
			t.Error("too few nights, or too many false ones")
		}
	}
}
