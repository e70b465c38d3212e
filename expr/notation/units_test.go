package notation

import (
	"math"
	"testing"
)

// TestUnitFactor: prefixes multiply, also where the unit beside them is no base unit.
func TestUnitFactor(t *testing.T) {
	for name, want := range map[string]float64{
		"m": 1, "km": 1e3, "mm": 1e-3, "g": 1e-3, "mg": 1e-6, "kg": 1, "µg": 1e-9, "ug": 1e-9, "GPa": 1e9, "kNm": 1e3,
		"min": 60, "h": 3600, "L": 1e-3, "bar": 1e5, "dm": 0.1, "nm": 1e-9,
		"mmin": 0, "kh": 0, "kbar": 0, "kkm": 0, "foo": 0, "k": 0, "": 0,
	} {
		got, ok := unitFactor(name)
		if ok != (want != 0) || !(math.Abs(got-want) <= 1e-15*want) {
			t.Errorf("%q is %g, %v, want %g", name, got, ok, want)
		}
	}
}
