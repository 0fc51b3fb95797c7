package report_test

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"

	web "golang.org/x/net/html"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/report/findings"
)

// nodes returns every element of a page for which keep says yes.
func nodes(t *testing.T, page []byte, keep func(*web.Node) bool) []*web.Node {
	t.Helper()
	root, err := web.Parse(bytes.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	var out []*web.Node
	for n := range root.Descendants() {
		if n.Type == web.ElementNode && keep(n) {
			out = append(out, n)
		}
	}
	return out
}

func attr(n *web.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

func named(name string) func(*web.Node) bool { return func(n *web.Node) bool { return n.Data == name } }

func classed(class string) func(*web.Node) bool {
	return func(n *web.Node) bool { return strings.Contains(" "+attr(n, "class")+" ", " "+class+" ") }
}

func text(n *web.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == web.TextNode {
			b.WriteString(d.Data)
		}
	}
	return b.String()
}

// pages are the reports that every rule below must hold for.
func pages(t *testing.T) map[string][]byte {
	demo, _ := demoPage(t)
	return map[string][]byte{"demo": demo, "season": html(t, season(300)), "large": largeHTML(t, messySeason(900), 100), "empty": html(t, made{Page: report.Page{Title: "Nothing"}})}
}

// Every element that is opened is closed, in order, so that no reader has to
// guess.
func TestElementsAreClosed(t *testing.T) {
	open := map[string]bool{"meta": true, "path": true} // void, or closed in place
	for name, page := range pages(t) {
		z := web.NewTokenizer(bytes.NewReader(page))
		var stack []string
		for {
			kind := z.Next()
			if kind == web.ErrorToken {
				break
			}
			tag, _ := z.TagName()
			switch {
			case kind == web.StartTagToken && !open[string(tag)]:
				stack = append(stack, string(tag))
			case kind == web.EndTagToken:
				if len(stack) == 0 || stack[len(stack)-1] != string(tag) {
					t.Fatalf("%s: </%s> closes %v", name, tag, stack)
				}
				stack = stack[:len(stack)-1]
			}
		}
		if len(stack) > 0 {
			t.Errorf("%s: not closed: %v", name, stack)
		}
	}
}

func TestEveryLinkResolves(t *testing.T) {
	for name, page := range pages(t) {
		ids := map[string]bool{}
		for _, n := range nodes(t, page, func(n *web.Node) bool { return attr(n, "id") != "" }) {
			if ids[attr(n, "id")] {
				t.Errorf("%s: the id %s stands twice", name, attr(n, "id"))
			}
			ids[attr(n, "id")] = true
		}
		for _, n := range nodes(t, page, named("a")) {
			if to, ok := strings.CutPrefix(attr(n, "href"), "#"); !ok || !ids[to] {
				t.Errorf("%s: the link to %q leads nowhere", name, attr(n, "href"))
			}
		}
		for _, n := range nodes(t, page, func(n *web.Node) bool { return attr(n, "aria-labelledby") != "" }) {
			for _, id := range strings.Fields(attr(n, "aria-labelledby")) {
				if !ids[id] {
					t.Errorf("%s: labelled by %s, which is not there", name, id)
				}
			}
		}
	}
}

func TestNothingComesFromOutside(t *testing.T) {
	outside := regexp.MustCompile(`(?i)(src\s*=|srcset\s*=|@import|url\(|<script|<link|<iframe|<object|<img)`)
	for name, page := range pages(t) {
		if m := outside.Find(page); m != nil {
			t.Errorf("%s: found %s", name, m)
		}
		if !bytes.Contains(page, []byte(`http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"`)) {
			t.Errorf("%s: the browser is not told so", name)
		}
	}
}

func TestPicturesSayWhatTheyAre(t *testing.T) {
	for name, page := range pages(t) {
		all := nodes(t, page, named("figure"))
		if len(all) < 10 && name != "empty" {
			t.Errorf("%s: only %d pictures", name, len(all))
		}
		for _, f := range all {
			found := map[string]string{}
			for n := range f.Descendants() {
				if n.Type == web.ElementNode && (n.Data == "title" || n.Data == "desc" || n.Data == "pre" || n.Data == "p") && found[n.Data] == "" {
					found[n.Data] = strings.TrimSpace(text(n))
				}
			}
			for _, part := range []string{"title", "desc", "p", "pre"} {
				if len(found[part]) < 4 && !strings.Contains(found[part], " ") {
					t.Errorf("%s, picture %s: %s says %q", name, attr(f, "id"), part, found[part])
				}
			}
			if strings.Count(found["pre"], "\n") < 2 {
				t.Errorf("%s, picture %s has no data", name, attr(f, "id"))
			}
		}
	}
}

// A point in a picture leads to its entry, and the entry to that point.
func TestPointsAndEntriesLinkToEachOther(t *testing.T) {
	for name, page := range pages(t) {
		back := map[string]string{} // point to entry
		for _, n := range nodes(t, page, func(n *web.Node) bool { return n.Data == "article" }) {
			for d := range n.Descendants() {
				if to := attr(d, "href"); strings.Contains(to, "-point-") {
					back[to[1:]] = attr(n, "id")
				}
			}
		}
		points := nodes(t, page, func(n *web.Node) bool { return n.Data == "a" && strings.Contains(attr(n, "id"), "-point-") })
		for _, n := range points {
			if back[attr(n, "id")] != attr(n, "href")[1:] {
				t.Errorf("%s: the point %s leads to %s, and back from %q", name, attr(n, "id"), attr(n, "href"), back[attr(n, "id")])
			}
		}
		if len(points) != len(back) || len(points) == 0 && name != "empty" {
			t.Errorf("%s: %d points and %d links to points", name, len(points), len(back))
		}
	}
}

func TestCountsAgreeWithFindings(t *testing.T) {
	page, all := demoPage(t)
	counts := findings.Count(all)
	last := ""
	for _, n := range nodes(t, page, func(n *web.Node) bool { return n.Data == "tr" && strings.HasPrefix(text(n), "together") }) {
		last = strings.Join(strings.Fields(strings.NewReplacer("together", " ").Replace(cells(n))), " ")
	}
	if want := fmt.Sprintf("%d %d %d", counts.Error, counts.Warning, counts.Note); !strings.HasSuffix(last, want) {
		t.Errorf("the sheets' counts add up to %q, the findings are %s", last, want)
	}
	told := 0
	for _, n := range nodes(t, page, named("article")) {
		told++
		for d := range n.Descendants() {
			if d.Data == "ul" && attr(d, "class") == "others" {
				for li := range d.ChildNodes() {
					told += map[bool]int{true: 1}[li.Data == "li"]
				}
			}
		}
	}
	if want := counts.Error + counts.Warning; told != want {
		t.Errorf("the entries tell of %d findings, want %d", told, want)
	}
	for _, f := range all {
		if f.Level >= record.Warning && !bytes.Contains(page, []byte("<code>"+f.Rule+"</code>")) {
			t.Errorf("rule %s is not explained", f.Rule)
		}
	}
}

func cells(row *web.Node) string {
	var out []string
	for n := range row.ChildNodes() {
		if n.Type == web.ElementNode {
			out = append(out, strings.TrimSpace(text(n)))
		}
	}
	return strings.Join(out, " ")
}

// Every number in bold is the sum of the parts under it.
func TestSumsAddUp(t *testing.T) {
	page, _ := demoPage(t)
	whole, parts, sums := 0, 0, 0
	check := func() {
		if sums > 0 && whole != parts {
			t.Errorf("parts add up to %d under %d", parts, whole)
		}
	}
	for _, n := range nodes(t, page, func(n *web.Node) bool { return n.Data == "tr" && (classed("whole")(n) || classed("part")(n)) }) {
		fields := strings.Fields(cells(n))
		v, err := strconv.Atoi(fields[len(fields)-1])
		if err != nil || v < 0 {
			t.Fatalf("%q: %v", cells(n), err)
		}
		if classed("part")(n) {
			parts += v
			continue
		}
		if strings.HasPrefix(cells(n), "together") {
			break
		}
		check()
		whole, parts, sums = v, 0, sums+1
	}
	check()
	if sums < 3 {
		t.Errorf("%d sums", sums)
	}
}

func TestTablesHaveCaptions(t *testing.T) {
	for name, page := range pages(t) {
		for _, n := range nodes(t, page, named("table")) {
			if n.FirstChild == nil || n.FirstChild.Data != "caption" || text(n.FirstChild) == "" {
				t.Errorf("%s: a table without a caption: %.80s", name, text(n))
			}
		}
		level := 0
		for _, n := range nodes(t, page, func(n *web.Node) bool {
			return len(n.Data) == 2 && n.Data[0] == 'h' && n.Data[1] >= '1' && n.Data[1] <= '6'
		}) {
			l := int(n.Data[1] - '0')
			if l > level+1 {
				t.Errorf("%s: heading %q of level %d under level %d", name, text(n), l, level)
			}
			level = l
		}
	}
}

// A season of 5,000 captures fits into a mail.
func TestSizeOfALargeSeason(t *testing.T) {
	page := html(t, season(5000))
	t.Logf("5,000 captures: %d bytes", len(page))
	if len(page) >= 2_000_000 {
		t.Errorf("%d bytes, want less than 2 MB", len(page))
	}
	p := season(5000)
	for _, c := range p.Captures { // and one in which nearly everything is wrong
		for k := range 3 {
			p.Findings = append(p.Findings, record.Finding{Rule: "value-far", Level: record.Error, Capture: c.Key, Field: c.Readings[2+k].Measurement,
				At: c.Readings[2+k].From(), Value: c.Readings[2+k].Text, Reason: "the value is too large: far from " + c.Key + ". " + strings.Repeat("It lies far out. ", 20)})
		}
	}
	bad := html(t, p)
	t.Logf("with %d findings: %d bytes", len(p.Findings), len(bad))
	if len(bad) >= 2_000_000 {
		t.Errorf("%d bytes with %d findings, want less than 2 MB", len(bad), len(p.Findings))
	}
	if !bytes.Contains(bad, []byte("findings.csv")) || bytes.Count(bad, []byte("<article")) > 200 {
		t.Error("a page with many findings does not stop and point to findings.csv")
	}
}

func TestSamePageSameBytes(t *testing.T) {
	first := html(t, season(700))
	for range 3 {
		if !bytes.Equal(first, html(t, season(700))) {
			t.Fatal("the same page gave other bytes")
		}
	}
}

func TestTextIsEscaped(t *testing.T) {
	p := season(60)
	const evil = `<b onclick="x()">"&'</b>`
	p.Title = evil
	for _, c := range p.Captures {
		c.Key += evil
		c.Set(record.Value{Field: record.Of("locality"), Text: evil})
		c.Set(record.Value{Field: record.Of("recordedBy"), Text: evil})
	}
	for i := range p.Findings {
		f := &p.Findings[i]
		f.Value, f.Reason, f.Suggestion, f.Capture = evil, evil, evil, ""
	}
	page := html(t, p)
	if bytes.Contains(page, []byte("<b onclick")) {
		t.Error("what was written in a cell became part of the page")
	}
	if len(nodes(t, page, named("b"))) != 0 {
		t.Error("an element came in through a cell")
	}
}

func ExampleHTML() {
	var b bytes.Buffer
	g := report.NewGatherer(report.Asked{})
	g.Add([]*record.Capture{{File: "frogs.csv", Row: 7}}, []record.Finding{{Rule: "value-far", Level: record.Warning,
		At: record.Address{File: "frogs.csv", Row: 7, Column: 4}, Value: "618", Reason: "snout-vent length 618 mm is too large", Suggestion: "61.8"}})
	g.End(nil)
	if err := report.HTML(&b, report.Page{Title: "Two frogs", Gathered: g}); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(strings.Count(b.String(), "<article"), "entry:", strings.Contains(b.String(), "frogs.csv, D7"))
	// Output: 1 entry: true
}
