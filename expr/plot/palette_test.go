package plot

import (
	"math"
	"strconv"
	"testing"
)

// linear returns the linear-light channels of an #rrggbb colour: the sRGB transfer function as WCAG 2.2 gives it.
func linear(t *testing.T, color string) [3]float64 {
	t.Helper()
	if len(color) != 7 || color[0] != '#' {
		t.Fatalf("colour %q is not #rrggbb", color)
	}
	var c [3]float64
	for i := range c {
		v, err := strconv.ParseUint(color[1+2*i:3+2*i], 16, 8)
		if err != nil {
			t.Fatal(err)
		}
		s := float64(v) / 255
		if s <= 0.04045 {
			c[i] = s / 12.92
		} else {
			c[i] = math.Pow((s+0.055)/1.055, 2.4)
		}
	}
	return c
}

// contrast is (L1 + 0.05)/(L2 + 0.05) with L = 0.2126 R + 0.7152 G + 0.0722 B, the lighter first. Source: W3C, Web
// Content Accessibility Guidelines 2.2, definitions of contrast ratio and relative luminance (from memory).
func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	lum := func(c [3]float64) float64 { return 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2] }
	la, lb := lum(linear(t, a)), lum(linear(t, b))
	return (math.Max(la, lb) + 0.05) / (math.Min(la, lb) + 0.05)
}

func TestContrastFormula(t *testing.T) {
	// Black on white is 21:1 by definition; #767676 on white is the well-known grey just above 4.5:1.
	if c := contrast(t, "#000000", "#ffffff"); math.Abs(c-21) > 1e-9 {
		t.Errorf("black on white: %g, want 21", c)
	}
	if a, b := contrast(t, "#767676", "#ffffff"), contrast(t, "#777777", "#ffffff"); a < 4.5 || b >= 4.5 {
		t.Errorf("greys about 4.5:1: %g and %g", a, b)
	}
}

func TestPaletteContrast(t *testing.T) {
	for name, p := range palettes {
		check := func(what, color string, least float64) {
			if c := contrast(t, color, p.Paper); c < least {
				t.Errorf("%s: %s %s has contrast %.2f on paper, want %g", name, what, color, c, least)
			}
		}
		check("ink", p.Ink, 7)
		check("muted", p.Muted, 4.5)
		check("accent", p.Accent, 4.5)
		check("rule", p.Rule, 3)
		for _, c := range p.Curves {
			check("curve", c, 4.5)
		}
		// The grid must not compete with the rules.
		if c := contrast(t, p.Dim, p.Paper); c > 1.6 || c < 1.08 {
			t.Errorf("%s: grid has contrast %.2f on paper", name, c)
		}
	}
}

// deficiencies turn linear RGB into what is seen without one kind of cone (severity 1). Source: G. M. Machado, M. M.
// Oliveira, L. A. F. Fernandes, "A physiologically-based model for simulation of color vision deficiency", IEEE TVCG
// 15(6), 2009, table 1 (from memory; the rows sum to 1, which the test checks).
var deficiencies = map[string][3][3]float64{
	"none":         {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"protanopia":   {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deuteranopia": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritanopia":   {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
}

// lab returns CIE L*a*b* for linear sRGB, white point D65.
func lab(c [3]float64) [3]float64 {
	x := (0.4124*c[0] + 0.3576*c[1] + 0.1805*c[2]) / 0.9505
	y := 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2]
	z := (0.0193*c[0] + 0.1192*c[1] + 0.9505*c[2]) / 1.089
	f := func(v float64) float64 {
		if v > 216.0/24389 {
			return math.Cbrt(v)
		}
		return (24389.0/27*v + 16) / 116
	}
	return [3]float64{116*f(y) - 16, 500 * (f(x) - f(y)), 200 * (f(y) - f(z))}
}

// TestCurvesDiffer holds every two curves of a palette at least 20 apart in CIE L*a*b* for every kind of sight: more
// than eight times a just noticeable difference (2.3; common practice, no source). Dash and marker differ besides.
func TestCurvesDiffer(t *testing.T) {
	for kind, m := range deficiencies {
		for i, row := range m {
			if s := row[0] + row[1] + row[2]; math.Abs(s-1) > 2e-6 {
				t.Errorf("%s: row %d sums to %g", kind, i, s)
			}
		}
		seen := func(color string) [3]float64 {
			c := linear(t, color)
			var o [3]float64
			for i, row := range m {
				o[i] = math.Min(math.Max(row[0]*c[0]+row[1]*c[1]+row[2]*c[2], 0), 1)
			}
			return lab(o)
		}
		for name, p := range palettes {
			for i, a := range p.Curves {
				for _, b := range p.Curves[:i] {
					la, lb := seen(a), seen(b)
					d := math.Sqrt(math.Pow(la[0]-lb[0], 2) + math.Pow(la[1]-lb[1], 2) + math.Pow(la[2]-lb[2], 2))
					if d < 20 {
						t.Errorf("%s, %s: %s and %s are %.1f apart", name, kind, a, b, d)
					}
				}
			}
		}
	}
}

func TestRGB(t *testing.T) {
	if r, g, b := RGB("#12aBf0"); r != 0x12 || g != 0xab || b != 0xf0 {
		t.Errorf("%d, %d, %d", r, g, b)
	}
	for _, wrong := range []string{"", "#12abf", "12abf0", "x12abf0", "#12abg0", "#12abf01"} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%q is a colour", wrong)
				}
			}()
			RGB(wrong)
		}()
	}
}
