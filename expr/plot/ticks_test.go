package plot

import (
	"fmt"
	"math"
	"math/rand"
	"strconv"
	"strings"
	"testing"
)

func always(regular) bool { return true }

func TestTicks(t *testing.T) {
	// What anyone would write by hand (common practice, no source).
	for _, c := range []struct {
		lo, hi, want float64
		ticks        string
	}{
		{0, 1, 6, "[0 0.2 0.4 0.6 0.8 1]"},
		{0, 100, 5, "[0 25 50 75 100]"},
		{-1, 1, 5, "[-1 -0.5 0 0.5 1]"},
		{0, 10, 11, "[0 1 2 3 4 5 6 7 8 9 10]"},
		{0, 0.4, 5, "[0 0.1 0.2 0.3 0.4]"},
		{0.31, 0.32, 6, "[0.31 0.312 0.314 0.316 0.318 0.32]"},
	} {
		got, _ := ticks(c.lo, c.hi, c.want, always)
		if s := fmt.Sprint(got); s != c.ticks {
			t.Errorf("ticks(%g, %g, %g) = %s, want %s", c.lo, c.hi, c.want, s, c.ticks)
		}
	}
}

// bestScore looks at every candidate, without leaving a loop early: the second way to the best score.
func bestScore(lo, hi, want float64) float64 {
	best := math.Inf(-1)
	span := hi - lo
	for j := 1.0; j <= 4; j++ {
		for i, q := range niceSteps {
			for z := math.Ceil(math.Log10(span/j/q)) - 2; z <= math.Ceil(math.Log10(span)); z++ {
				step := j * q * math.Pow(10, z)
				unit := step / j
				for start := math.Ceil((lo - 1e-10*span) / unit); start*unit+step <= hi+1e-10*span; start++ {
					for k := 2.0; k <= 40; k++ {
						t0, t1 := start*unit, start*unit+step*(k-1)
						if t1 > hi+1e-10*span {
							break
						}
						s := 1 - float64(i)/5 - j
						if math.Mod(start, j) == 0 && t0 <= 0 && t1 >= -1e-10*span {
							s++
						}
						w := 0.1 * span
						c := 1 - 0.5*(math.Pow(hi-t1, 2)+math.Pow(lo-t0, 2))/(w*w)
						r, rt := (k-1)/(t1-t0), (want-1)/span
						best = math.Max(best, 0.25*s+0.2*c+0.5*(2-math.Max(r/rt, rt/r))+0.05)
					}
				}
			}
		}
	}
	return best
}

// scoreOf computes a result's score from the ticks alone, with the most favourable reading of its step.
func scoreOf(lo, hi, want float64, at []float64) float64 {
	best := math.Inf(-1)
	step := (at[len(at)-1] - at[0]) / float64(len(at)-1)
	span := hi - lo
	for i, q := range niceSteps {
		for j := 1.0; j <= 4; j++ {
			z := math.Round(math.Log10(step / q / j))
			if math.Abs(j*q*math.Pow(10, z)-step) > 1e-6*step {
				continue
			}
			s := 1 - float64(i)/5 - j
			start := math.Round(at[0] / (step / j))
			if math.Mod(start, j) == 0 && at[0] <= 0 && at[len(at)-1] >= -1e-10*span {
				s++
			}
			w := 0.1 * span
			c := 1 - 0.5*(math.Pow(hi-at[len(at)-1], 2)+math.Pow(lo-at[0], 2))/(w*w)
			r, rt := 1/step, (want-1)/span
			best = math.Max(best, 0.25*s+0.2*c+0.5*(2-math.Max(r/rt, rt/r))+0.05)
		}
	}
	return best
}

func TestTicksAreTheBest(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for range 25 {
		lo := rng.NormFloat64() * math.Pow(10, float64(rng.Intn(5)-2))
		hi := lo + math.Pow(10, 3*rng.Float64()-1.5)
		want := 3 + float64(rng.Intn(8))
		at, _ := ticks(lo, hi, want, always)
		if len(at) < 2 {
			t.Fatalf("%g … %g: no ticks", lo, hi)
		}
		got, best := scoreOf(lo, hi, want, at), bestScore(lo, hi, want)
		if got < best-1e-6 {
			t.Errorf("%g … %g, %g wanted: %v scores %g, the best is %g", lo, hi, want, at, got, best)
		}
	}
}

// randomRange returns ranges of every kind: about zero, far from it, wide, narrow.
func randomRange(rng *rand.Rand) (lo, hi float64) {
	centre := 0.0
	if rng.Intn(3) > 0 {
		centre = rng.NormFloat64() * math.Pow(10, float64(rng.Intn(24)-12))
	}
	span := math.Pow(10, float64(rng.Intn(24)-12)) * (0.5 + 9*rng.Float64())
	if rng.Intn(2) == 0 && centre != 0 {
		span = math.Abs(centre) * math.Pow(10, -11*rng.Float64())
	}
	lo = centre - span*rng.Float64()
	if !(lo+span-lo > 1e-13*math.Abs(lo)) { // nothing between them
		return randomRange(rng)
	}
	return lo, lo + span
}

// digitWidths measures with an even width, so that overlaps can be checked exactly.
type digitWidths struct{}

func (digitWidths) TextWidth(s string, t TextStyle) float64 {
	return 0.6 * t.Size * float64(len([]rune(s)))
}

func TestAxisProperties(t *testing.T) {
	rng := rand.New(rand.NewSource(2))
	for range 1500 {
		lo, hi := randomRange(rng)
		length := 60 + 1400*rng.Float64()
		along := rng.Intn(2) == 0
		a := axis{lo: lo, hi: hi, p0: 0, p1: length}
		a.setTicks(digitWidths{}, 64, 12, along)
		what := fmt.Sprintf("%g … %g over %.0f px", lo, hi, length)
		if len(a.major) == 0 {
			t.Fatalf("%s: no ticks", what)
		}
		if length > 400 && len(a.major) < 3 && hi-lo > 1e-9*math.Abs(lo) {
			t.Errorf("%s: only %d ticks", what, len(a.major))
		}
		digits := -1
		seen := map[string]bool{}
		for i, k := range a.major {
			// Inside the axis.
			if slack := 1e-9*(hi-lo) + 5e-16*math.Max(math.Abs(lo), math.Abs(hi)); k.at < lo-slack || k.at > hi+slack {
				t.Errorf("%s: tick at %g", what, k.at)
			}
			// Labels differ and have the same digits after the point.
			s := k.label[0].text
			if seen[s] {
				t.Errorf("%s: label %q twice", what, s)
			}
			seen[s] = true
			_, after, _ := strings.Cut(s, ".")
			if digits >= 0 && len(after) != digits {
				t.Errorf("%s: %d digits after the point in %q, %d before", what, len(after), s, digits)
			}
			digits = len(after)
			if len(s) > 16 {
				t.Errorf("%s: label %q is long", what, s)
			}
			// Labels never overlap.
			if i == 0 {
				continue
			}
			gap := a.px(k.at) - a.px(a.major[i-1].at)
			need := 12.0
			if along {
				need = (k.width + a.major[i-1].width) / 2
			}
			if gap <= need {
				t.Errorf("%s: labels %g px apart need %g", what, gap, need)
			}
			// Even steps.
			if i > 1 {
				before := a.px(a.major[i-1].at) - a.px(a.major[i-2].at)
				// A tick is known to half a unit in the last place, each of the three of them.
				if ulp := 4 * 2.2e-16 * math.Max(math.Abs(lo), math.Abs(hi)) / (hi - lo) * length; math.Abs(gap-
					before) > 1e-2+ulp {
					t.Errorf("%s: uneven steps of %g and %g px", what, before, gap)
				}
			}
		}
	}
}

// TestLabelsSayTheirTicks reads every label back, with the axis's factor and offset.
func TestLabelsSayTheirTicks(t *testing.T) {
	rng := rand.New(rand.NewSource(3))
	for range 1500 {
		lo, hi := randomRange(rng)
		at, r := ticks(lo, hi, 6, always)
		if at == nil {
			continue
		}
		l := labelling(r)
		for _, v := range at {
			s := l.text(v)
			n, err := strconv.ParseFloat(strings.ReplaceAll(s, "−", "-"), 64)
			if err != nil {
				t.Fatalf("label %q: %v", s, err)
			}
			got := n*math.Pow(10, float64(l.exponent)) + l.offset
			// Putting the number together rounds a few times.
			if math.Abs(got-v) > 1e-6*r.step+1e-15*math.Max(math.Abs(lo), math.Abs(hi)) {
				t.Errorf("%g … %g: label %q with 10^%d and %g says %g, the tick is at %g", lo, hi, s, l.exponent,
					l.offset, got, v)
			}
		}
	}
}

func TestLabels(t *testing.T) {
	for _, c := range []struct {
		lo, hi float64
		labels string
		factor string
	}{
		{0, 1, "0.0 0.2 0.4 0.6 0.8 1.0", ""},
		{-1, 1, "−1.0 −0.5 0.0 0.5 1.0", ""},
		{0, 4e-6, "0 1 2 3 4", "×10−6"},
		{0, 3e5, "0.0 0.5 1.0 1.5 2.0 2.5 3.0", "×105"},
		{20, 30, "20 22 24 26 28 30", ""},
		{1, 1.000000004, "0 1 2 3 4", "×10−9 + 1"},
		{-1.000000004, -1, "0 1 2 3 4", "×10−9 − 1.000000004"},
	} {
		a := axis{lo: c.lo, hi: c.hi, p0: 0, p1: 384}
		a.setTicks(digitWidths{}, 64, 12, true)
		var s []string
		for _, k := range a.major {
			s = append(s, k.label[0].text)
		}
		f := ""
		for _, r := range a.factor {
			f += r.text
		}
		if got := strings.Join(s, " "); got != c.labels || f != c.factor {
			t.Errorf("%g … %g: %s, %q; want %s, %q", c.lo, c.hi, got, f, c.labels, c.factor)
		}
	}
}

func TestDecades(t *testing.T) {
	for _, c := range []struct {
		lo, hi       float64
		want         int
		room         bool
		major, minor string
	}{
		{-3, -1, 5, true, "[-3 -2 -1]", ""},
		{-3, -1, 5, false, "[-3 -2 -1]", "[]"},
		{-12, 0, 5, true, "[-12 -9 -6 -3 0]", "[-11 -10 -8 -7 -5 -4 -2 -1]"},
		{-300, 300, 4, true, "[-200 0 200]", ""},
	} {
		major, minor := decades(c.lo, c.hi, c.want, c.room)
		if got := fmt.Sprint(major); got != c.major {
			t.Errorf("decades %g … %g: %s, want %s", c.lo, c.hi, got, c.major)
		}
		if got := fmt.Sprint(minor); c.minor != "" && got != c.minor {
			t.Errorf("decades %g … %g: minor %s, want %s", c.lo, c.hi, got, c.minor)
		}
		if len(major) > c.want+1 {
			t.Errorf("decades %g … %g: %d labels, want %d", c.lo, c.hi, len(major), c.want)
		}
	}
	_, minor := decades(-3, -1, 5, true)
	if len(minor) != 16 || math.Abs(math.Pow(10, minor[0])-2e-3) > 1e-15 {
		t.Errorf("minor ticks of two decades: %v", minor)
	}
}

func TestSymbol(t *testing.T) {
	for _, c := range []struct{ name, want string }{
		{"x", "x"}, {"theta", "θ"}, {"T_s", "T_s"}, {"T_{in}", "T_in"}, {"y''", "y″"}, {"y'", "y′"},
		{"lambda_1", "λ_1"}, {"y''''", "y(4)"}, {"", ""},
	} {
		got := plain(symbol(c.name))
		got = strings.ReplaceAll(got, "′′", "″")
		if got != c.want {
			t.Errorf("symbol(%q) = %q, want %q", c.name, got, c.want)
		}
	}
}
