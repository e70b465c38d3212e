package function

import "math"

// Interval is the set Lo ≤ v ≤ Hi. The arithmetic bounds results but for rounding (R. E. Moore, R. B. Kearfott and M.
// J. Cloud, Introduction to Interval Analysis, SIAM, 2009, chapter 2).
type Interval struct{ Lo, Hi float64 }

// Everything is the real line.
var Everything = Interval{math.Inf(-1), math.Inf(1)}

// Has reports whether a holds v.
func (a Interval) Has(v float64) bool { return a.Lo <= v && v <= a.Hi }

// Bounded reports whether both ends are finite.
func (a Interval) Bounded() bool { return a.Hi-a.Lo < math.Inf(1) } // false for NaN too

// Sane replaces what arithmetic with infinities left undefined.
func (a Interval) Sane() Interval {
	if !(a.Lo <= a.Hi) {
		return Everything
	}
	return a
}

// Plus is a + b.
//
//go:noinline
func (a Interval) Plus(b Interval) Interval { return Interval{a.Lo + b.Lo, a.Hi + b.Hi}.Sane() }

// Negative is -a.
func (a Interval) Negative() Interval { return Interval{-a.Hi, -a.Lo} }

// Times is a b; 0 times an infinity is 0, as a bound of 0 stands for numbers that are 0.
func (a Interval) Times(b Interval) Interval {
	return hull(product(a.Lo, b.Lo), product(a.Lo, b.Hi), product(a.Hi, b.Lo), product(a.Hi, b.Hi))
}

func product(a, b float64) float64 {
	if a == 0 || b == 0 {
		return 0
	}
	return a * b
}

// hull is the smallest interval that holds four numbers.
func hull(p, q, r, s float64) Interval {
	return Interval{min(p, q, r, s), max(p, q, r, s)}.Sane()
}

// Inverse is 1/a; a bound of 0 is taken as approached from inside.
func (a Interval) Inverse() Interval {
	switch {
	case a.Lo > 0 || a.Hi < 0:
		return Interval{1 / a.Hi, 1 / a.Lo}
	case a.Lo == 0 && a.Hi > 0:
		return Interval{1 / a.Hi, math.Inf(1)}
	case a.Hi == 0 && a.Lo < 0:
		return Interval{math.Inf(-1), 1 / a.Lo}
	}
	return Everything
}

// Join is the smallest interval that holds a and b.
func (a Interval) Join(b Interval) Interval { return Interval{min(a.Lo, b.Lo), max(a.Hi, b.Hi)} }

// Power is a^n for a whole n.
func (a Interval) Power(n int) Interval {
	if n == 0 {
		return Interval{1, 1}
	}
	if n < 0 {
		return a.Power(-n).Inverse()
	}
	p, q := Power(a.Lo, n), Power(a.Hi, n)
	v := Interval{min(p, q), max(p, q)}
	if n%2 == 0 && a.Has(0) {
		v.Lo = 0
	}
	return v.Sane()
}

// Pow bounds a^b and its derivatives by a and by b.
func (a Interval) Pow(b Interval) (v, da, db Interval) {
	if b.Lo == b.Hi && b.Lo == math.Trunc(b.Lo) && math.Abs(b.Lo) < 1<<20 {
		n := int(b.Lo)
		return a.Power(n), b.Times(a.Power(n - 1)), Interval{}
	}
	if a.Hi < 0 {
		return Everything, Everything, Everything
	}
	a.Lo = max(a.Lo, 0) // a negative number has no such power
	v = a.realPower(b)
	da = b.Times(a.realPower(Interval{b.Lo - 1, b.Hi - 1}))
	if b.Lo != b.Hi {
		db = v.Times(Interval{math.Log(a.Lo), math.Log(a.Hi)})
	}
	return v, da, db
}

// realPower bounds a^b for a ≥ 0: it is monotone in either.
func (a Interval) realPower(b Interval) Interval {
	return hull(math.Pow(a.Lo, b.Lo), math.Pow(a.Lo, b.Hi), math.Pow(a.Hi, b.Lo), math.Pow(a.Hi, b.Hi))
}

// Power returns x^n by multiplication.
func Power(x float64, n int) float64 {
	if n < 0 {
		return 1 / Power(x, -n)
	}
	p := 1.0
	for ; n > 0; n >>= 1 {
		if n&1 == 1 {
			p *= x
		}
		x *= x
	}
	return p
}
