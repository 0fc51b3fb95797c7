package desk

import (
	"context"
	"html/template"
	"net/http"
	"sync"

	"spadefoot/pipeline"
)

// seasoned is what the captures say, as the folder stood.
type seasoned struct {
	mu    sync.Mutex
	state uint64
	html  template.HTML
	err   error
}

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

// season gives what the captures say as the files of the folder stand now.
func (d *Desk) season(ctx context.Context) (template.HTML, error) {
	s := &d.seasoned
	s.mu.Lock()
	defer s.mu.Unlock()
	state, err := d.state()
	if err != nil {
		return "", err
	}
	if s.state == state && (s.html != "" || s.err != nil) {
		return s.html, s.err
	}
	s.html, s.err = pipeline.SeasonPage(context.WithoutCancel(ctx), d.folder, d.Pipeline)
	s.state = state
	return s.html, s.err
}
