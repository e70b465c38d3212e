package sheet_test

import (
	"slices"
	"testing"

	"nodespan/expr/sheet"
	"nodespan/solver/bvp"
)

// Numbers in equations and conditions are found; exponents, indices, orders and zeros are none.
func TestLiterals(t *testing.T) {
	for _, c := range []struct {
		text string
		want []string
	}{
		{"y'' + 4 exp(y) = 0\ny(0) = 0\ny(1) = 0", []string{"4"}},
		{"d^2y/dx^2 = 1.5 y^2\ny(0) = 4\ny(1) = 1", []string{"1.5", "4", "1"}},
		{"u_1'' = u_1^{2} - 3\nu_1(0) = 0\nu_1(1) = 0", []string{"3"}},
	} {
		sh, err := sheet.Read(c.text, sheet.Options{})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, l := range sh.Literals(sheet.Options{}) {
			got = append(got, l.Text)
			if p := l.Sheet.Problem(); !slices.ContainsFunc(p.Constants, func(k bvp.Constant) bool {
				return k.Name == l.Name
			}) {
				t.Errorf("%s: %s has no name", c.text, l.Text)
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, not %v", c.text, got, c.want)
		}
	}
}
