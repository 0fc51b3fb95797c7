package desk

import "net/http"

// pages are the pages of a desk, in the order of the navigation.
func pages() []Page {
	return []Page{
		{Path: "/questions", Name: "Questions", Routes: questions},
		{Path: "/doubts", Name: "Doubts", Routes: doubts},
		{Path: "/type-in", Name: "Type in", Routes: typeIn},
		{Path: "/season", Name: "Season", Routes: season},
		{Path: "/publish", Name: "Publish", Routes: publish},
	}
}

// coming answers for a page that is not there yet.
func (d *Desk) coming(title string) http.HandlerFunc {
	return d.show(func(*http.Request) (View, error) {
		return View{Title: title, Template: "coming.html"}, nil
	})
}

func publish(d *Desk, mux *http.ServeMux) { mux.HandleFunc("GET /publish", d.coming("Publish")) }
