package desk

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"sync"
)

// maxNotices is how many notices are kept; older ones are forgotten.
const maxNotices = 100

// notices are what acts have to say on the next page. The address of the page
// has the number and not the text, so that nobody can make a desk say anything
// by a link.
type notices struct {
	mu     sync.Mutex
	last   int
	text   map[int]string
	urgent string // to be said on whatever page comes next
}

// add keeps a notice and returns the address of the page that shows it.
func (n *notices) add(to, text string) string {
	if text == "" {
		return to
	}
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.text == nil {
		n.text = map[int]string{}
	}
	n.last++
	n.text[n.last] = text
	delete(n.text, n.last-maxNotices)
	to, fragment, _ := strings.Cut(to, "#")
	sign := "?"
	if strings.Contains(to, "?") {
		sign = "&"
	}
	to += sign + "said=" + strconv.Itoa(n.last)
	if fragment != "" {
		to += "#" + url.PathEscape(fragment)
	}
	return to
}

// urge keeps a notice for whatever page comes next.
func (n *notices) urge(text string) {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.urgent = text
}

// of returns the notice that an address asks for, or an urgent one, or "".
func (n *notices) of(r *http.Request) string {
	n.mu.Lock()
	defer n.mu.Unlock()
	if text := n.urgent; text != "" {
		n.urgent = ""
		return text
	}
	no, _ := strconv.Atoi(r.URL.Query().Get("said")) // the first notice has number 1
	return n.text[no]
}
