package quantity

import (
	"encoding/xml"
	"fmt"
	"io"
	"math/big"
	"os"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline/record/need"
)

// essence is what the test reads of ucum-essence.xml.
type essence struct {
	Prefixes []struct {
		Code  string `xml:"Code,attr"`
		Value struct {
			Value string `xml:"value,attr"`
		} `xml:"value"`
	} `xml:"prefix"`
	Bases []struct {
		Code string `xml:"Code,attr"`
		Dim  string `xml:"dim,attr"`
	} `xml:"base-unit"`
	Units []struct {
		Code  string   `xml:"Code,attr"`
		Names []string `xml:"name"`
		Value struct {
			Unit     string `xml:"Unit,attr"`
			Value    string `xml:"value,attr"`
			Function *struct {
				Value string `xml:"value,attr"`
				Unit  string `xml:"Unit,attr"`
			} `xml:"function"`
		} `xml:"value"`
	} `xml:"unit"`
}

// ucum works out codes: a factor to the base units, and their powers.
type ucum struct {
	prefixes map[string]*big.Rat
	bases    map[string]bool
	units    map[string][2]string // value and unit
	names    map[string]bool
}

type measure struct {
	factor *big.Rat
	powers map[string]int
}

func readUCUM(t *testing.T) *ucum {
	b, err := os.ReadFile(need.Shared(t, "standards/ucum/ucum-essence.xml"))
	if err != nil {
		t.Fatal(err)
	}
	var e essence
	d := xml.NewDecoder(strings.NewReader(string(b)))
	d.CharsetReader = func(_ string, in io.Reader) (io.Reader, error) { return in, nil } // ASCII
	if err := d.Decode(&e); err != nil {
		t.Fatal(err)
	}
	u := &ucum{prefixes: map[string]*big.Rat{}, bases: map[string]bool{}, units: map[string][2]string{}, names: map[string]bool{}}
	for _, p := range e.Prefixes {
		u.prefixes[p.Code] = rat(t, p.Value.Value)
	}
	for _, x := range e.Bases {
		u.bases[x.Code] = true
	}
	for _, x := range e.Units {
		for _, name := range x.Names {
			u.names[fold(name)] = true
		}
		if f := x.Value.Function; f != nil {
			u.units[x.Code] = [2]string{f.Value, f.Unit}
			continue
		}
		u.units[x.Code] = [2]string{x.Value.Value, x.Value.Unit}
	}
	return u
}

func rat(t *testing.T, s string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		t.Fatalf("%q is not a number", s)
	}
	return r
}

// of works out an expression such as "kg.m/s2".
func (u *ucum) of(t *testing.T, code string) measure {
	m := measure{big.NewRat(1, 1), map[string]int{}}
	sign := 1
	for code != "" {
		term := code
		depth := 0
		for i, r := range code {
			if r == '[' {
				depth++
			} else if r == ']' {
				depth--
			} else if depth == 0 && (r == '.' || r == '/') {
				term = code[:i]
				break
			}
		}
		if term != "" {
			u.term(t, term, sign, &m)
		}
		code = code[len(term):]
		if code != "" {
			sign = 1
			if code[0] == '/' {
				sign = -1
			}
			code = code[1:]
		}
	}
	return m
}

func (u *ucum) term(t *testing.T, term string, sign int, m *measure) {
	if n, err := strconv.Atoi(term); err == nil {
		m.times(measure{big.NewRat(int64(n), 1), nil}, sign)
		return
	}
	i := len(term)
	for i > 0 && (term[i-1] >= '0' && term[i-1] <= '9' || term[i-1] == '-') {
		i--
	}
	power := 1
	if i < len(term) {
		power, _ = strconv.Atoi(term[i:])
	}
	m.times(u.symbol(t, term[:i]), sign*power)
}

func (u *ucum) symbol(t *testing.T, s string) measure {
	if s == "10*" {
		return measure{big.NewRat(10, 1), nil}
	}
	if u.bases[s] {
		return measure{big.NewRat(1, 1), map[string]int{s: 1}}
	}
	if v, ok := u.units[s]; ok {
		if s == "[pi]" {
			return measure{big.NewRat(355, 113), nil} // cancels wherever it is used here
		}
		m := u.of(t, v[1])
		m.factor.Mul(m.factor, rat(t, v[0]))
		return m
	}
	for n := 2; n > 0; n-- {
		if len(s) > n && u.prefixes[s[:n]] != nil {
			m := u.symbol(t, s[n:])
			m.factor.Mul(m.factor, u.prefixes[s[:n]])
			return m
		}
	}
	t.Fatalf("UCUM has no %q", s)
	return measure{}
}

func (m *measure) times(o measure, power int) {
	for range max(power, -power) {
		if power > 0 {
			m.factor.Mul(m.factor, o.factor)
		} else {
			m.factor.Quo(m.factor, o.factor)
		}
	}
	for b, n := range o.powers {
		if m.powers[b] += n * power; m.powers[b] == 0 {
			delete(m.powers, b)
		}
	}
}

// Every factor of mappings/units.csv is that of the published table, exactly.
func TestFactorsAgainstUCUM(t *testing.T) {
	u := readUCUM(t)
	table := units()
	base := map[string]*unit{}
	for _, x := range table.codes {
		if x.factor.Cmp(big.NewRat(1, 1)) == 0 && (x.offset.Sign() == 0) {
			base[x.dimension] = x
		}
	}
	for code, x := range table.codes {
		b := base[x.dimension]
		if b == nil {
			t.Errorf("%s: no unit of %s has the factor 1", code, x.dimension)
			continue
		}
		got, one := u.of(t, code), u.of(t, b.code)
		if fmt.Sprint(got.powers) != fmt.Sprint(one.powers) {
			t.Errorf("%s is %v, %s is %v", code, got.powers, b.code, one.powers)
		}
		if f := got.factor.Quo(got.factor, one.factor); f.Cmp(x.factor) != 0 {
			t.Errorf("%s: factor %s, UCUM has %s", code, x.factor, f)
		}
	}
	if len(table.codes) < 60 {
		t.Errorf("only %d units", len(table.codes))
	}
}

// Every name of a unit that is not read is one of the published table.
func TestUnreadUnitsAgainstUCUM(t *testing.T) {
	u := readUCUM(t)
	for name := range unread().names {
		if !u.names[name] {
			t.Errorf("UCUM has no unit of the name %q", name)
		}
		if units().names[name] != nil {
			t.Errorf("%q is read", name)
		}
	}
}
