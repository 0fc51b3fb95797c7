package prove

import (
	"fmt"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// value says why a text is not of a type, or "".
func (m *model) value(text, typeName string) string {
	if strings.HasPrefix(typeName, "xs:") || typeName == "" || typeName == "any" {
		return builtin(text, strings.TrimPrefix(typeName, "xs:"))
	}
	v := m.Simple[typeName]
	if v == nil {
		return ""
	}
	switch {
	case len(v.OneOf) > 0:
		var whys []string
		for _, t := range v.OneOf {
			why := m.value(text, t)
			if why == "" {
				return ""
			}
			whys = append(whys, why)
		}
		return strings.Join(whys, ", or ")
	case v.ListOf != "":
		for _, item := range strings.Fields(text) {
			if why := m.value(item, v.ListOf); why != "" {
				return why
			}
		}
		return ""
	}
	if why := m.value(text, v.Base); why != "" {
		return why
	}
	return v.facets(text)
}

func (v *modelValue) facets(text string) string {
	if v.NonEmpty && strings.Trim(text, " \t\r\n") == "" {
		return "it must not be empty"
	}
	if len(v.Values) > 0 && !slices.Contains(v.Values, text) {
		some := v.Values
		if len(some) > 10 {
			some = append(some[:10:10], "...")
		}
		return "it must be one of " + strings.Join(some, ", ")
	}
	if v.Low == nil && v.High == nil {
		return ""
	}
	x, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	switch {
	case err != nil:
		return "it must be a number"
	case v.Low != nil && x < *v.Low:
		return fmt.Sprintf("it must not be less than %g", *v.Low)
	case v.High != nil && x > *v.High:
		return fmt.Sprintf("it must not be more than %g", *v.High)
	}
	return ""
}

var (
	integerForm = regexp.MustCompile(`^[+-]?\d+$`)
	pointForm   = regexp.MustCompile(`^[+-]?(?:\d+(?:\.\d*)?|\.\d+)$`)
	floatForm   = regexp.MustCompile(`^(?:[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?|-?INF|NaN)$`)
	zoneForm    = regexp.MustCompile(`(?:Z|[+-]\d{2}:\d{2})$`)
	tokenForm   = regexp.MustCompile(`^[\p{L}\p{N}._:\-]+$`)
	clockForm   = regexp.MustCompile(`^(?:([01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?|24:00:00(?:\.0+)?)$`)
	gYearForm   = regexp.MustCompile(`^-?\d{4,}$`)
)

// builtin judges the types that XML Schema itself defines, as far as the
// schemas of eml.xml and meta.xml use them.
func builtin(text, name string) string {
	t := strings.Trim(text, " \t\r\n")
	ok := true
	want := "a text of type " + name
	switch name {
	case "integer", "int", "long":
		ok, want = integerForm.MatchString(t), "a whole number"
	case "positiveInteger":
		ok, want = integerForm.MatchString(t) && !strings.HasPrefix(t, "-") && strings.Trim(t, "+0") != "", "a whole number above 0"
	case "nonNegativeInteger", "unsignedInt", "unsignedLong":
		ok, want = integerForm.MatchString(t) && (!strings.HasPrefix(t, "-") || strings.Trim(t, "-0") == ""), "a whole number, 0 or more"
	case "decimal":
		ok, want = pointForm.MatchString(t), "a number"
	case "float", "double":
		ok, want = floatForm.MatchString(t), "a number"
	case "boolean":
		ok, want = t == "true" || t == "false" || t == "1" || t == "0", "true or false"
	case "date":
		_, err := time.Parse(time.DateOnly, zoneForm.ReplaceAllString(t, ""))
		if err != nil { // the zone of 2021-06-12 is not -06:12
			_, err = time.Parse(time.DateOnly, t)
		}
		ok, want = err == nil, "a date such as 2021-06-12"
	case "gYear":
		ok, want = gYearForm.MatchString(t) || gYearForm.MatchString(zoneForm.ReplaceAllString(t, "")), "a year such as 2021"
	case "time":
		ok, want = clockForm.MatchString(zoneForm.ReplaceAllString(t, "")), "a time such as 14:07:30"
	case "dateTime":
		day, clock, timed := strings.Cut(t, "T")
		_, err := time.Parse(time.DateOnly, day)
		ok, want = timed && err == nil && clockForm.MatchString(zoneForm.ReplaceAllString(clock, "")), "a date and time such as 2021-06-12T14:07:30"
	case "anyURI":
		_, err := url.Parse(t)
		ok, want = err == nil, "an address"
	case "NMTOKEN", "NCName", "ID", "IDREF":
		ok, want = tokenForm.MatchString(t), "a word without spaces"
	}
	if ok {
		return ""
	}
	return "it must be " + want
}
