package desk

import (
	"context"
	"html/template"
	"net/http"

	"spadefoot/pipeline"
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

// season returns what the captures say as the files of the folder stand now.
func (d *Desk) season(ctx context.Context) (template.HTML, error) {
	return d.seasoned.now(d, func() (template.HTML, error) {
		return pipeline.SeasonPage(context.WithoutCancel(ctx), d.folder, d.Pipeline)
	})
}
