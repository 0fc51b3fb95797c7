package desk

import (
	"context"
	"fmt"
	"net/http"
	"strconv"
	"sync"
	"sync/atomic"
)

// acts are requests that take longer than a page waits: they go on in the
// background, and their own page waits for them.
type acts struct {
	mu   sync.Mutex
	last int
	all  map[int]*act
}

// act is one of them.
type act struct {
	done   chan struct{}
	answer http.HandlerFunc // when it is done
	progress
}

// maxActs is how many acts can be asked for; older ones are forgotten.
const maxActs = 20

// progress counts the parts of a large survey that are done in a pass.
type progress struct{ part, all atomic.Int64 }

func (p *progress) tell(done, all int) {
	p.part.Store(int64(done))
	p.all.Store(int64(all))
}

// says tells how far a walk is.
func (p *progress) says() string {
	if all := p.all.Load(); all > 0 {
		return fmt.Sprintf("The survey is being checked: part %d of %d.", p.part.Load(), all)
	}
	return "The survey is being read."
}

// add keeps an act and returns the address that waits for it.
func (s *acts) add(a *act) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.all == nil {
		s.all = map[int]*act{}
	}
	s.last++
	s.all[s.last] = a
	delete(s.all, s.last-maxActs)
	return "/at-work/" + strconv.Itoa(s.last)
}

func (s *acts) get(no string) *act {
	s.mu.Lock()
	defer s.mu.Unlock()
	n, _ := strconv.Atoi(no)
	return s.all[n]
}

// atLength answers a request with what work makes of it. Where that takes longer
// than a page waits, it leads to a page that waits for it.
func (d *Desk) atLength(work func(r *http.Request) http.HandlerFunc) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		a := &act{done: make(chan struct{})}
		ctx, stop := context.WithCancel(context.WithoutCancel(r.Context()))
		ctx, end := d.visiting(ctx)
		visitOf(ctx).progress = &a.progress
		kept := context.AfterFunc(d.open, stop)
		d.walks.background.Go(func() {
			defer stop()
			defer kept()
			defer end()
			defer close(a.done)
			a.answer = work(r.WithContext(ctx))
		})
		visitOf(r.Context()).patience = d.Patience
		if waited(r.Context(), a.done) && r.Context().Err() == nil {
			a.answer(w, r)
			return
		}
		http.Redirect(w, r, d.acts.add(a), http.StatusSeeOther)
	}
}

// atWork waits for an act.
func (d *Desk) atWork(w http.ResponseWriter, r *http.Request) {
	a := d.acts.get(r.PathValue("no"))
	if a == nil {
		d.render(w, r, wrong(refuse(http.StatusNotFound, "This has already been done. Reload the page.")))
		return
	}
	visitOf(r.Context()).patience = d.Patience
	if !waited(r.Context(), a.done) {
		d.render(w, r, wait(w, &waitError{what: a.says()}))
		return
	}
	if r.Context().Err() == nil {
		a.answer(w, r)
	}
}
