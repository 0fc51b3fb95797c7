package report

import (
	"math"
	"regexp"
	"strconv"
	"testing"
)

// schemes reads the colours of light, dark and print from the style sheet.
func schemes(t *testing.T) map[string]map[string][3]float64 {
	t.Helper()
	blocks := regexp.MustCompile(`:root \{([^}]*)\}`).FindAllStringSubmatch(StyleText, -1)
	if len(blocks) != 3 {
		t.Fatalf("%d blocks of colours, want light, dark and print", len(blocks))
	}
	out := map[string]map[string][3]float64{}
	for i, name := range []string{"light", "dark", "print"} {
		out[name] = map[string][3]float64{}
		for _, m := range regexp.MustCompile(`--(\w+): #([0-9a-f]{6});`).FindAllStringSubmatch(blocks[i][1], -1) {
			v, err := strconv.ParseUint(m[2], 16, 32)
			if err != nil {
				t.Fatal(err)
			}
			out[name][m[1]] = [3]float64{linear(v >> 16), linear(v >> 8 & 255), linear(v & 255)}
		}
		if len(out[name]) != 14 {
			t.Fatalf("%s has %d colours", name, len(out[name]))
		}
	}
	return out
}

// linear undoes the encoding of sRGB (IEC 61966-2-1).
func linear(v uint64) float64 {
	x := float64(v) / 255
	if x <= 0.04045 {
		return x / 12.92
	}
	return math.Pow((x+0.055)/1.055, 2.4)
}

func luminance(c [3]float64) float64 { return 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2] }

// contrast is that of WCAG 2.2.
func contrast(a, b [3]float64) float64 {
	x, y := luminance(a), luminance(b)
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

func TestContrast(t *testing.T) {
	for name, c := range schemes(t) {
		for _, letters := range []string{"ink", "quiet", "link", "flag"} {
			for _, ground := range []string{"paper", "lift"} {
				if got := contrast(c[letters], c[ground]); got < 4.5 {
					t.Errorf("%s: %s on %s has contrast %.2f, want 4.5", name, letters, ground, got)
				}
			}
		}
		for _, marks := range []string{"s1", "s2", "s3", "s4", "s5", "s6", "flag"} {
			if got := contrast(c[marks], c["paper"]); got < 3 {
				t.Errorf("%s: %s on paper has contrast %.2f, want 3 for graphics", name, marks, got)
			}
		}
	}
}

// The colours of the sexes and of flagged marks stay apart for eyes without
// one kind of cone: simulation for full severity after Machado, Oliveira and
// Fernandes (2009, IEEE Trans. Vis. Comput. Graph. 15: 1291–1298), table 1,
// as the R package colorspace 2.1.0 of Debian 12 has it. Forms tell them apart in any case.
func TestColoursForOtherEyes(t *testing.T) {
	eyes := map[string][3][3]float64{
		"no red cones":   {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
		"no green cones": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
		"no blue cones":  {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
	}
	for scheme, c := range schemes(t) {
		for eye, m := range eyes {
			see := func(v [3]float64) (out [3]float64) {
				for i := range 3 {
					out[i] = math.Min(1, math.Max(0, m[i][0]*v[0]+m[i][1]*v[1]+m[i][2]*v[2]))
				}
				return out
			}
			for _, pair := range [][2]string{{"s1", "s2"}, {"s1", "flag"}, {"s2", "s3"}, {"s1", "ink"}} {
				if d := difference(see(c[pair[0]]), see(c[pair[1]])); d < 15 {
					t.Errorf("%s, %s: %s and %s differ by %.1f, want 15", scheme, eye, pair[0], pair[1], d)
				}
			}
		}
	}
}

// difference is the distance in CIE 1976 L*a*b* under D65.
func difference(a, b [3]float64) float64 {
	p, q := lab(a), lab(b)
	return math.Sqrt((p[0]-q[0])*(p[0]-q[0]) + (p[1]-q[1])*(p[1]-q[1]) + (p[2]-q[2])*(p[2]-q[2]))
}

func lab(c [3]float64) [3]float64 {
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := f((0.4124*c[0] + 0.3576*c[1] + 0.1805*c[2]) / 0.9505)
	y := f(luminance(c))
	z := f((0.0193*c[0] + 0.1192*c[1] + 0.9505*c[2]) / 1.089)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}
