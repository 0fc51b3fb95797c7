package screen

import "spadefoot/pipeline/record"

// Screen returns every finding on the captures of a survey that is held as a
// whole: causes beyond the single capture, each capture judged against the
// summary of all, habits, captures entered twice, and what became of marks.
// The captures may come in any order; the findings are in the order of their
// addresses.
func Screen(captures []*record.Capture, limits []Limit, s Settings) []record.Finding {
	captures = inOrder(captures)
	sum := Summarise(captures, s)
	x := NewScreening(sum, limits, s)
	all, _ := x.Part(captures, Beside{})
	all = append(all, duplicates(captures, sum, s)...)
	all = append(all, recaptures(captures, x.Summary(), limits, s)...)
	all = append(all, x.End()...)
	record.SortFindings(all)
	return all
}

// duplicates returns the captures that were entered twice. Nothing is written to
// files, so that nothing can fail.
func duplicates(captures []*record.Capture, sum *Summary, s Settings) []record.Finding {
	d := NewDuplicates("")
	for i, c := range captures {
		_ = d.Add(i, c)
	}
	pairs, _ := d.Pairs(sum, s)
	var findings []record.Finding
	for _, p := range pairs {
		if f, ok := d.Finding(captures[p[0]], captures[p[1]]); ok {
			findings = append(findings, f)
		}
	}
	return findings
}

// recaptures returns what is doubtful in the story of each mark.
func recaptures(captures []*record.Capture, sum *Summary, limits []Limit, s Settings) []record.Finding {
	m := NewMarks("")
	for i, c := range captures {
		_ = m.Add(i, c)
	}
	pairs, _ := m.Pairs(sum, limits, s)
	var findings []record.Finding
	for _, p := range pairs {
		findings = append(findings, m.Follow(captures[p[0]], captures[p[1]])...)
	}
	return findings
}

// Summarise returns the summary of captures.
func Summarise(captures []*record.Capture, s Settings) *Summary {
	sum := NewSummary(s)
	for _, c := range captures {
		sum.AddPart([]*record.Capture{c})
	}
	return sum
}
