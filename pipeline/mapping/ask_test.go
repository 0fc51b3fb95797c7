package mapping

import (
	"fmt"
	"strings"
	"testing"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// A column that lacks nothing but its unit is asked for that, and an answer makes it
// a mass, weighed in a way that the draft says.
func TestQuestionForAUnit(t *testing.T) {
	var rows [][]string
	for i := range 40 {
		rows = append(rows, []string{fmt.Sprintf("A-%02d", i%20), "2019", "10", fmt.Sprint(1 + i/20), "Bison bison", fmt.Sprint(500 + 17*i)})
	}
	d := Propose("herd", []record.Table{plainTable([]string{"tag", "year", "month", "day", "species", "weight"}, rows...)}, Clues{})
	asked := func(about string) *Question {
		for _, q := range d.Questions() {
			if strings.Contains(q.Text, about) {
				return &q
			}
		}
		return nil
	}
	q := asked("In which unit is \"weight\"")
	if q == nil || q.Line != "- {heading: weight, weighing: net, unit: …}" || !strings.Contains(q.Text, "Values 500 to 1163") {
		t.Fatalf("%+v", d.Questions())
	}
	var pounds *Answer
	for i, a := range q.Answers {
		if a.Text == "pounds" {
			pounds = &q.Answers[i]
		}
	}
	if pounds == nil || q.Answers[0].Text != "leave it open" {
		t.Fatalf("%+v", q.Answers)
	}
	pounds.Give()
	if asked("In which unit") != nil || asked("Nothing says the unit") != nil {
		t.Errorf("asked again: %+v", d.Questions())
	}
	for _, want := range []string{`{heading: weight, weighing: net, unit: "[lb_av]"} # 1.00: a person said so`, "weighing: {way: as-written", "key: [eventDate, organismID]"} {
		if text := string(d.YAML()); !strings.Contains(text, want) {
			t.Errorf("no %q in:\n%s", want, text)
		}
	}
}

func TestQuestionForAKey(t *testing.T) {
	for _, c := range []struct {
		key  []string
		want string
	}{
		{nil, "No column numbers them."},
		{[]string{"organismID"}, "organismID is the same for some of them."},
		{[]string{"eventDate", "organismID"}, "eventDate and organismID together are the same for some of them."},
	} {
		d := &Draft{Key: c.key, keyRepeats: c.key != nil}
		if q := d.Questions(); len(q) != 1 || !strings.HasSuffix(q[0].Text, "? "+c.want) {
			t.Errorf("%v: %+v", c.key, q)
		}
	}
}

// A mapping that a draft left without a key is asked for one by the terms that come
// nearest, and takes them if a person says so.
func TestStandingQuestionForAKey(t *testing.T) {
	var rows [][]string
	for i := range 40 {
		rows = append(rows, []string{fmt.Sprintf("A-%02d", i%20), fmt.Sprintf("2019-05-%02d", 1+i/20), fmt.Sprint(50 + i)})
	}
	rows[39][0] = "A-01"
	headings := []string{"tag", "date", "SVL (mm)"}
	stand := func() *Standing {
		t.Helper()
		propose := func() *Draft {
			d := Propose("toads", []record.Table{plainTable(headings, rows...)}, Clues{})
			return d
		}
		text := propose().YAML()
		doc, err := config.Parse("m.yaml", text)
		if err != nil {
			t.Fatal(err)
		}
		m, err := Parse(doc, Known{})
		if err != nil {
			t.Fatal(err)
		}
		table := plainTable(headings, rows...)
		if _, err := Apply(m, &table, Known{HeadingParts: quantity.HeadingUnit}); err != nil {
			t.Fatal(err)
		}
		return propose().Stand(m, []record.Table{table}, text)
	}
	s := stand()
	for i, c := range []struct{ answer, want string }{
		{"leave it as it is", "key: []"},
		{"eventDate and organismID together", "key: [eventDate, organismID]"},
		{`column "tag" alone`, "key: [organismID]"},
	} {
		open := s.Open()
		if len(open) == 0 || open[0].Text != "What identifies one capture? eventDate and organismID together are the same for some of them." || open[0].Answers[i].Text != c.answer {
			t.Fatalf("%+v", open)
		}
		text, err := s.Answer(open[0], i)
		if err != nil || !strings.Contains(string(text), c.want) || strings.Contains(string(text), "key: [") && strings.Count(string(text), "\nkey: ") != 1 {
			t.Errorf("%s: %v\n%s", c.answer, err, text)
		}
		s = stand()
	}
}
