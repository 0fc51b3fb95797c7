package quality

import (
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Params are the parameters of a run. The zero value means the published
// defaults and no upper limit where the default is the current day or year.
type Params struct {
	Today time.Time         // what "{current day}" and "{current year}" mean; only the date is used
	Set   map[string]string // by name without prefix; what is set here beats the defaults of every test

	Sources Sources // that the user supplies

	defaults    map[string]string // of the test that runs
	authorities []string          // other writings of that test's default authority
}

// ParamsOf adds to p the parameters that travel with a record, in terms that
// begin with "bdqval:". p itself stays as it is.
func ParamsOf(r Record, p Params) Params {
	var set map[string]string
	for _, parameter := range parameters() {
		if value := r(parameter.term); !Empty(value) {
			if set == nil {
				set = make(map[string]string, len(p.Set)+1)
				maps.Copy(set, p.Set)
			}
			set[parameter.name] = strings.TrimSpace(value)
		}
	}
	if set != nil {
		p.Set = set
	}
	return p
}

// value returns a parameter: as set, else the default of the test.
func (p Params) value(name string) string {
	if v, ok := p.Set[name]; ok && !Empty(v) {
		return v
	}
	v, today := p.defaults[name], ""
	switch v {
	case "{current day}":
		today = time.DateOnly
	case "{current year}":
		today = "2006"
	default:
		return v
	}
	if p.Today.IsZero() {
		return ""
	}
	return p.Today.Format(today)
}

// number returns a parameter as a number: as set, or the default where that is
// none.
func (p Params) number(name string) float64 {
	n, ok := number(p.value(name))
	if !ok {
		n, _ = number(p.defaults[name])
	}
	return n
}

// Arguments writes the parameters of a test that are not at their default, in
// the order of their names.
func (p Params) Arguments(t *Test) string {
	var out []string
	for name, otherwise := range t.Parameters {
		v, set := p.Set[name]
		if set && !Empty(v) && v != otherwise {
			out = append(out, "bdqval:"+name+"="+v)
		}
	}
	if name := p.Sources.named(t.needs()); name != "" && !slices.ContainsFunc(out, func(a string) bool { return strings.Contains(a, listArgument[t.needs()]) }) {
		out = append(out, "bdqval:"+listArgument[t.needs()]+"="+name)
	}
	slices.Sort(out)
	return strings.Join(out, "; ")
}

// listArgument is the parameter that names a supplied list.
var listArgument = map[listOf]string{taxaList: "sourceAuthority", marineList: "taxonIsMarine", divisionList: "sourceAuthority", centroidList: "sourceAuthority"}

// authority reports whether the source authority asked for is the embedded one:
// none named, the default by name, or another writing of it.
func (p Params) authority() bool { return p.available("sourceAuthority") }

func (p Params) available(name string) bool {
	v, ok := p.Set[name]
	if !ok || Empty(v) {
		return true
	}
	v = strings.TrimSpace(v)
	return strings.EqualFold(v, p.defaults[name]) || slices.Contains(p.authorities, v)
}

// noAuthority is the answer where another authority was asked for.
func (p Params) noAuthority() Response {
	return external("the source authority %s is not available", strconv.Quote(p.value("sourceAuthority")))
}
