package quality

// eventConsistent compares eventDate with the parts of it that other terms
// hold. A part can only be right where eventDate is as precise as the part and
// lies within one year, month or day.
func eventConsistent(r Record, _ Params) Response {
	given := false
	for _, term := range []string{"year", "month", "day", "startDayOfYear", "endDayOfYear"} {
		given = given || r.has(term)
	}
	if !r.has("eventDate") || !given {
		return internal("eventDate or every other part of the date is empty")
	}
	iv, ok := parseInterval(r("eventDate"))
	if !ok {
		return notCompliant("eventDate is not a valid ISO 8601 date, so nothing can match it")
	}
	for _, part := range []struct {
		term  string
		can   bool
		value int
	}{
		{"year", iv.sameYear(), iv.first.Year()},
		{"month", iv.sameMonth(), int(iv.first.Month())},
		{"day", iv.sameDay(), iv.first.Day()},
		{"startDayOfYear", iv.precision >= toDay, iv.first.YearDay()},
		{"endDayOfYear", iv.precision >= toDay, iv.last.YearDay()},
	} {
		if !r.has(part.term) {
			continue
		}
		if !part.can {
			return notCompliant("eventDate is too coarse or spans too long to have a single %s", part.term)
		}
		if n, ok := integer(r(part.term)); !ok || n != part.value {
			return notCompliant("%s %q does not match eventDate", part.term, r(part.term))
		}
	}
	return compliant("eventDate agrees with every part that is given")
}
