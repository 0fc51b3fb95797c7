package main

import (
	"fmt"
	"io"
	"strings"
	"time"
)

// progress shows on a terminal which stage a run is in. A stage that goes over many
// parts has a line that is overwritten, with how many are left and how long
// they will take at the pace so far.
type progress struct {
	out   io.Writer
	now   func() time.Time
	stage string
	since time.Time // the stage began
	shown time.Time // the line was written
	wide  int       // the characters of the line that is written over; 0 for none
}

const (
	showEvery = 200 * time.Millisecond
	paceAfter = 2 * time.Second // before that a pace says little
)

// enter begins a stage.
func (p *progress) enter(stage string) {
	p.end()
	p.stage, p.since = stage, p.now()
	p.shown = p.since
	fmt.Fprintf(p.out, "spadefoot: %s ...\n", stage)
}

// part tells that of a stage's parts some are done; all is 0 where nobody knows
// yet how many there are.
func (p *progress) part(done, all int) {
	now := p.now()
	if now.Sub(p.shown) < showEvery && (done != all || p.wide == 0) {
		return
	}
	if done == 1 { // a stage may go over the parts more than once
		p.since = now
	}
	p.shown = now
	line := fmt.Sprintf("  %d parts", done)
	if all > 0 {
		line = fmt.Sprintf("  part %d of %d", done, all)
		if took := now.Sub(p.since); took >= paceAfter && done > 1 && done < all {
			left := took / time.Duration(done-1) * time.Duration(all-done)
			line += fmt.Sprintf(", about %s left", roughly(left))
		}
	}
	wide := len(line)
	fmt.Fprintf(p.out, "\r%s%s", line, strings.Repeat(" ", max(0, p.wide-wide)))
	p.wide = wide
	if done == all {
		p.end()
	}
}

// end leaves the line that is written over.
func (p *progress) end() {
	if p.wide > 0 {
		fmt.Fprintln(p.out)
		p.wide = 0
	}
}

// roughly is a time as people say it.
func roughly(d time.Duration) string {
	if d < 90*time.Second {
		return fmt.Sprintf("%d s", max(1, int(d.Round(time.Second).Seconds())))
	}
	return fmt.Sprintf("%d min", int(d.Round(time.Minute).Minutes()))
}
