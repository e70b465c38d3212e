package slips_test

import (
	"fmt"
	"strings"
	"testing"

	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
)

// A slip is named, or is not, whatever unit the values are in: of a linear problem whose right sides are a factor
// larger, the table is, too.
func TestUnitsOfValues(t *testing.T) {
	const text = "y'' + 3 y' + 2 y = %[1]s x\ny(0) = %[1]s\ny(2) = 0\n0 <= x <= 2"
	const wrong = "y'' + 3 y' - 2 y = %[1]s x\ny(0) = %[1]s\ny(2) = 0\n0 <= x <= 2"
	const unknown = "y'' + 3.3 y' + 2 y = %[1]s x\ny(0) = %[1]s\ny(2) = 0\n0 <= x <= 2"
	for _, of := range []string{wrong, unknown} {
		var said []string
		for _, factor := range []string{"1", "1e-10", "1e10"} {
			sh := sheettest.Read(t, fmt.Sprintf(of, factor))
			s := solver.MustSolve(sh.Problem(), solver.Options{Tol: 1e-10})
			jet := make([]float64, s.Problem.Jet())
			var b strings.Builder
			for k := range 9 {
				x := float64(k) / 4
				s.At(x, jet)
				fmt.Fprintf(&b, "%v\t%.8e\n", x, jet[0])
			}
			v := pose(t, fmt.Sprintf(text, factor)).judge(t, b.String())
			said = append(said, v.Slip)
		}
		if said[0] != said[1] || said[0] != said[2] || (said[0] != "") != (of == wrong) {
			t.Errorf("%s: %q", of, said)
		}
	}
}
