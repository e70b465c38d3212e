package slips_test

import (
	"fmt"
	"strings"
	"testing"

	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
)

// Numbers that are wrong for another reason (a constant was copied wrongly) accuse nobody of a slip that they do not
// show.
func TestUnknownFaults(t *testing.T) {
	all := readTables(t)
	posed := poseAll(t, all)
	tried := 0
	for _, c := range []struct{ sheet, of, to string }{
		{"forced", "4 y", "3.7 y"}, {"forced", "y(2) = 1", "y(2) = 1.1"}, {"drift", "3 y'", "3.3 y'"},
		{"drift", "2 y", "2.2 y"},
		{"fin", "6 (T", "6.5 (T"}, {"fin", "T(0.8) - 20", "T(0.8) - 25"}, {"varying", "exp(-x)", "exp(-x/2)"},
		{"reaction", "4 c^2", "4 c^3"},
		{"reaction", "4 c^2", "3.9 c^2"}, {"swing", "0.3 x", "0.33 x"}, {"beam", "3 v", "3.5 v"},
		{"beam", "5 + x", "5 + 2 x"},
		{"third", "y(1.6) = 2", "y(1.6) = 2.1"}, {"coil", "1.9", "1.8"}, {"pair", "3 u", "2.9 u"},
		{"decay", "3 cos(x)", "3.1 cos(x)"},
		{"waves", "cos(3 x)", "cos(4 x)"}, {"sloped", "-2 +", "-2.1 +"}, {"cooling", "2 T^2", "2.2 T^2"},
		{"spring", "4 v", "4.4 v"},
	} {
		text := strings.Replace(all.Sheets[c.sheet], c.of, c.to, 1)
		if text == all.Sheets[c.sheet] {
			t.Fatalf("%s has no %s", c.sheet, c.of)
		}
		if !judged(0, c.sheet) {
			continue
		}
		sh := sheettest.Read(t, text)
		s := solver.MustSolve(sh.Problem(), solver.Options{Tol: 1e-10})
		jet := make([]float64, s.Problem.Jet())
		for _, digits := range []int{2, 3, 4, 6} {
			var table strings.Builder
			for k := range 6 + digits {
				x := s.Problem.A + (s.Problem.B-s.Problem.A)*float64(k)/float64(5+digits)
				s.At(x, jet)
				fmt.Fprintf(&table, "%v\t%.*f\n", x, digits, jet[0])
			}
			tried++
			if v := posed[c.sheet].judge(t, table.String()); v.Slip != "" || v.Coarse {
				t.Errorf("%s with %s, %d decimals: %s\n%s", c.sheet, c.to, digits, v.Sentence, table.String())
			}
		}
	}
	if tried == 0 {
		t.Error("nothing was tried")
	}
}
