package desk

import (
	"context"
	"html/template"
	"net/http"
)

// season is the page of what the captures say.
func season(d *Desk, mux *http.ServeMux) {
	mux.HandleFunc("GET /season", d.show(func(r *http.Request) (View, error) {
		if !d.described() {
			return View{Title: "Season", Template: "season.html"}, nil
		}
		html, err := d.season(r.Context())
		return View{Title: "Season", Template: "season.html", Data: html}, err
	}))
}

// seasonPage is what the page shows, once it is done.
type seasonPage struct {
	done chan struct{}
	html template.HTML
	err  error
}

// season returns what the captures say as the files of the folder stand now. It is
// worked out once for each walk, in the background.
func (d *Desk) season(ctx context.Context) (template.HTML, error) {
	w, err := d.survey(ctx)
	if err != nil {
		return "", err
	}
	w.mu.Lock()
	s := w.season
	if s == nil {
		s = &seasonPage{done: make(chan struct{})}
		w.season = s
		d.walks.mu.Lock()
		w.uses++
		d.walks.background.Go(func() {
			s.html, s.err = w.Season()
			close(s.done)
			d.walks.mu.Lock()
			defer d.walks.mu.Unlock()
			d.release(w)
		})
		d.walks.mu.Unlock()
	}
	w.mu.Unlock()
	if !waited(ctx, s.done) {
		return "", &waitError{what: "The results are being computed."}
	}
	return s.html, s.err
}
