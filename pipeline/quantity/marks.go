package quantity

import "strings"

// readMarks splits a run of digits and marks into the digits before and after
// the decimal mark. decimal is the mark of the column, or 0 if it is not known.
//
// A numeral with both marks is read by itself: the last one is the decimal
// mark. One comma with three digits after it and one to three before it is a
// group under a decimal point, a fraction under a decimal comma, and unclear
// when neither is known. One point is then a decimal point, since scales print
// thousandths and animals that can be held seldom need thousands.
func readMarks(run string, decimal byte) (whole, frac string, m marks) {
	run, grouped := dropGroups(run)
	if grouped == bad {
		return "", "", marks{bad: true}
	}
	m.group = grouped
	dots, commas := strings.Count(run, "."), strings.Count(run, ",")
	switch {
	case dots == 0 && commas == 0:
		return run, "", m
	case dots > 0 && commas > 0:
		return bothMarks(run, decimal, m)
	case dots+commas > 1:
		return onlyGroups(run, decimal, m)
	}
	mark := byte('.')
	if commas == 1 {
		mark = ','
	}
	whole, frac, _ = strings.Cut(run, string(mark))
	three := len(frac) == 3 && len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0' && m.group == 0
	m.decimal = mark
	switch {
	case !three:
		m.certain, m.clash = true, decimal != 0 && decimal != mark
	case decimal == mark:
	case decimal != 0:
		m.decimal, m.group = 0, mark
		return whole + frac, "", m
	case mark == ',':
		m.unclear = true
	}
	return orZero(whole), frac, m
}

// bad is the outcome of dropGroups for blanks that group nothing.
const bad byte = 1

// dropGroups takes blanks and apostrophes between groups of three out of run.
func dropGroups(run string) (string, byte) {
	for _, g := range []string{string(nbsp), "'", " "} {
		if !strings.Contains(run, g) {
			continue
		}
		head, tail := run, ""
		if i := strings.IndexAny(run, ".,"); i >= 0 {
			head, tail = run[:i], run[i:]
		}
		if strings.Contains(tail, g) || !groups(head, g) {
			return "", bad
		}
		if g == string(nbsp) {
			return strings.ReplaceAll(head, g, "") + tail, ' '
		}
		return strings.ReplaceAll(head, g, "") + tail, g[0]
	}
	return run, 0
}

func bothMarks(run string, decimal byte, m marks) (string, string, marks) {
	i := strings.LastIndexAny(run, ".,")
	mark, group := run[i], "."
	if mark == '.' {
		group = ","
	}
	head, frac := run[:i], run[i+1:]
	if strings.Contains(head, string(mark)) || !groups(head, group) || m.group != 0 {
		return "", "", marks{bad: true}
	}
	m.decimal, m.certain, m.group = mark, true, group[0]
	m.clash = decimal != 0 && decimal != mark
	return strings.ReplaceAll(head, group, ""), frac, m
}

func onlyGroups(run string, decimal byte, m marks) (string, string, marks) {
	mark := run[strings.IndexAny(run, ".,")]
	if !groups(run, string(mark)) || m.group != 0 {
		return "", "", marks{bad: true}
	}
	m.group, m.certain, m.clash = mark, true, decimal == mark
	return strings.ReplaceAll(run, string(mark), ""), "", m
}

// groups reports whether s is one to three digits and then groups of three.
func groups(s, mark string) bool {
	for i, p := range strings.Split(s, mark) {
		if i == 0 && (len(p) < 1 || len(p) > 3) || i > 0 && len(p) != 3 {
			return false
		}
	}
	return true
}

func orZero(s string) string {
	if s == "" {
		return "0"
	}
	return s
}
