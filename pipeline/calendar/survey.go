package calendar

import "fmt"

// look holds a date that was read against the survey.
func (d Date) look(o Options) Date {
	if d.ISO == "" {
		return d
	}
	if !o.Latest.IsZero() && d.Start.Compare(o.Latest) > 0 {
		d.Wrong = true
		d.problem(ruleLate, fmt.Sprintf("%s is after %s", d.ISO, o.Latest), d.inSurvey(o))
		return d
	}
	from, to := o.window()
	if !from.IsZero() && d.End.Compare(from) < 0 || !to.IsZero() && d.Start.Compare(to) > 0 {
		d.Wrong = true
		d.problem(ruleOutside, fmt.Sprintf("%s is outside the survey, %s", d.ISO, windowText(from, to)), d.inSurvey(o))
	}
	return d
}

func windowText(from, to Day) string {
	switch {
	case from.IsZero():
		return "which ended on " + to.String()
	case to.IsZero():
		return "which began on " + from.String()
	}
	return from.String() + " to " + to.String()
}

// window returns the days of the survey, from its years where no days are given.
func (o Options) window() (from, to Day) {
	from, to = o.From, o.To
	if from.IsZero() && to.IsZero() {
		if o.FirstYear > 0 {
			from = Day{o.FirstYear, 1, 1}
		}
		if o.LastYear > 0 {
			to = Day{o.LastYear, 12, 31}
		}
	}
	return from, to
}

// inSurvey suggests the same day of the survey's year if it had only one.
func (d Date) inSurvey(o Options) string {
	from, to := o.window()
	if from.IsZero() || from.Year != to.Year || !d.singleDay() {
		return ""
	}
	day := Day{from.Year, d.Start.Month, d.Start.Day}
	if !day.Valid() || day.Compare(from) < 0 || day.Compare(to) > 0 {
		return ""
	}
	return day.String()
}

// years returns the first and last year of the survey, 0 and 0 if unknown.
func (o Options) years() (first, last int) {
	first, last = o.FirstYear, o.LastYear
	if first == 0 && last == 0 {
		first, last = o.From.Year, o.To.Year
	}
	if first == 0 {
		first = last
	}
	return first, max(first, last)
}
