package layout

import (
	"slices"
	"strings"
)

// repeats reports whether h says the same as the head before it, in the same
// columns, and has nothing of its own above: at most the group headings and the
// title of the page once more. Rows below that the head before has not are
// taken off h.
func (f *finder) repeats(before head, h *head) bool {
	g := f.grid
	if !f.saysSame(before.main, h.main) {
		return false
	}
	titles := map[string]bool{}
	for i := f.heads[0].preamble; i < f.heads[0].first; i++ {
		titles[pageTitle(g.written(i, g.all))] = true
	}
	for i := h.preamble; i < h.main; i++ {
		group := i >= h.first && before.main-(h.main-i) >= before.first && f.saysSame(before.main-(h.main-i), i)
		if g.looks[i].filled > 0 && !group && (!titles[pageTitle(g.written(i, g.all))] || f.allNamed(i)) {
			return false
		}
	}
	for i := h.main + 1; i <= h.last; i++ {
		if before.main+(i-h.main) > before.last || !f.saysSame(before.main+(i-h.main), i) {
			h.last = i - 1
		}
	}
	return true
}

// saysSame reports whether two rows say the same in the same columns.
func (f *finder) saysSame(i, j int) bool {
	g := f.grid
	a, b := g.filled(i, g.all), g.filled(j, g.all)
	return slices.Equal(a, b) && !slices.ContainsFunc(a, func(c int) bool {
		x, y := g.text(i, c), g.text(j, c)
		return x != y && (fold(x) == "" || fold(x) != fold(y))
	})
}

// markAgain marks the rows that repeat headings.
func (f *finder) markAgain(h head) {
	for i := h.preamble; i <= h.last; i++ {
		f.grid.looks[i].again = true
	}
}

// pageTitle is a folded title without the number of its page: "page 2 of 3"
// stands for "page 1 of 3". Other numbers stay, since the next day and the next
// plot have no next page.
func pageTitle(text string) string {
	var out []string
	of := 0 // how many of the next words may be the number of a page
	for _, word := range strings.Fields(fold(text)) {
		if of--; of >= 0 && strings.Trim(word, "0123456789") == "" {
			continue
		}
		if words().page[word] {
			of = 3 // "2 of 3"
		}
		out = append(out, word)
	}
	return strings.Join(out, " ")
}
