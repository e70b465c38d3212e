package sheet

import (
	"strings"
	"testing"
)

// Orders above the highest are refused by their number, in every way that they are written, and not taken for lower
// ones.
func TestOrders(t *testing.T) {
	for _, c := range []struct{ sheet, says string }{
		{"y^{(9)} + y = 0", "order 9"}, {"y^{(10)} + y = 0", "order 10"}, {"y^{(11)} + y = 0", "order 11"},
		{"y^{(12)} + y = 0", "order 12"},
		{"\\frac{d^{12} y}{dx^{12}} = 0", "order 12"}, {"d^11 y/dx^11 = 1", "order 11"},
	} {
		_, err := Read(c.sheet+"\ny(0) = 0\ny(1) = 1\n", Options{})
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want its %s", c.sheet, err, c.says)
		}
	}
}

// What stands in brackets behind an unknown is read, whatever it is: none of these brings the reader down.
func TestArguments(t *testing.T) {
	for _, s := range []string{"y(t) + y'' = 0", "y'' + y(s)", "y'' + y(s) = 0", "y(", "y'' = y(", "y'' + y(x) = 0",
		"(y)'' + y(t)' = 0", "y'' = y'(s)", "y(t) = y''(s)"} {
		for _, rest := range []string{"", "\ny(0) = 0\ny(1) = 1", "; y(0) = 0; y(s) = 1"} {
			if sh, err := Read(s+rest, Options{}); (sh == nil || sh.Problem() == nil) && err == nil {
				t.Errorf("%q: neither a sheet nor a fault", s+rest)
			}
		}
	}
}
