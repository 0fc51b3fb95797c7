package desk

import (
	"crypto/subtle"
	"net"
	"net/http"
	"net/url"
	"slices"
)

// policy lets a page load nothing but what the desk itself serves, and run no
// script that is in a page.
const policy = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; connect-src 'self'; " +
	"manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// secretField is the field of a form, and secretHeader the header of a request
// by a script, that holds the secret where something is going to change.
const (
	secretField  = "secret"
	secretHeader = "X-Desk-Secret"
)

// maxBody bounds what a request may bring: a workbook, say.
const maxBody = 64 << 20

// guard lets through only what is meant for this desk and comes from somebody
// who knows the secret: by the address with the secret at first, then by a
// cookie. What changes something carries the secret itself as well, so that no
// page from elsewhere can send it.
func (d *Desk) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		switch {
		case !slices.Contains(d.Hosts, r.Host):
			http.Error(w, "This desk does not answer at that address.", http.StatusMisdirectedRequest)
		case foreign(r):
			http.Error(w, "This request comes from another page.", http.StatusForbidden)
		case r.Method == http.MethodGet && d.knows(r.URL.Query().Get(secretField)):
			d.enter(w, r)
		case !d.knows(cookie(r, d.cookieName())):
			http.Error(w, "Open the address that spadefoot desk printed: it ends with this desk's secret.", http.StatusForbidden)
		default:
			r.Body = http.MaxBytesReader(w, r.Body, maxBody)
			changes := r.Method != http.MethodGet && r.Method != http.MethodHead
			if changes && !d.knows(r.Header.Get(secretHeader)) && !d.knows(r.PostFormValue(secretField)) {
				http.Error(w, "The form lacks this desk's secret. Reload the page.", http.StatusForbidden)
				return
			}
			ctx, end := d.visiting(r.Context())
			defer end()
			next.ServeHTTP(w, r.WithContext(ctx))
		}
	})
}

// enter remembers whoever knows the secret, and takes it out of the address.
func (d *Desk) enter(w http.ResponseWriter, r *http.Request) {
	http.SetCookie(w, &http.Cookie{Name: d.cookieName(), Value: d.Secret, Path: "/", HttpOnly: true, SameSite: http.SameSiteLaxMode})
	to := url.URL{Path: r.URL.Path}
	q := r.URL.Query()
	q.Del(secretField)
	to.RawQuery = q.Encode()
	http.Redirect(w, r, to.String(), http.StatusSeeOther)
}

// cookieName has the port, since cookies are shared among all ports of a host.
func (d *Desk) cookieName() string {
	_, port, _ := net.SplitHostPort(d.Hosts[0])
	return "spadefoot-desk-" + port
}

func (d *Desk) knows(text string) bool {
	return subtle.ConstantTimeCompare([]byte(text), []byte(d.Secret)) == 1
}

func cookie(r *http.Request, name string) string {
	c, err := r.Cookie(name)
	if err != nil {
		return ""
	}
	return c.Value
}

// foreign reports whether a browser says that another page sends the request.
func foreign(r *http.Request) bool {
	origin := r.Header.Get("Origin")
	return origin != "" && origin != "http://"+r.Host
}
