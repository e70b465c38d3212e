package typeset

import (
	"testing"

	"nodespan/expr/notation"
	"nodespan/expr/tape"
)

// TestDerived prints derivatives that lead out of the functions a sheet may hold.
func TestDerived(t *testing.T) {
	names := namesOf("x | y | |")
	for _, c := range []struct{ formula, latex, mathml string }{
		{"J1(x)", `\frac{J_{0}(x) - J_{2}(x)}{2}`,
			"<mfrac><mrow><mrow><msub><mi>J</mi><mn>0</mn></msub><mo>&af;</mo>" +
				"<mrow><mo>(</mo><mi>x</mi><mo>)</mo></mrow></mrow><mo>−</mo>" +
				"<mrow><msub><mi>J</mi><mn>2</mn></msub><mo>&af;</mo>" +
				"<mrow><mo>(</mo><mi>x</mi><mo>)</mo></mrow></mrow></mrow><mn>2</mn></mfrac>"},
		{"airyAi(x)", `\operatorname{Ai}'(x)`,
			"<mrow><mi>Ai′</mi><mo>&af;</mo><mrow><mo>(</mo><mi>x</mi><mo>)</mo></mrow></mrow>"},
		{"gamma(x)", `\Gamma(x)\,\psi(x)`,
			`<mrow><mrow><mi mathvariant="normal">Γ</mi><mo>&af;</mo>` +
				`<mrow><mo>(</mo><mi>x</mi><mo>)</mo></mrow></mrow>` +
				`<mo>&it;</mo><mspace width="0.17em"></mspace>` +
				"<mrow><mi>ψ</mi><mo>&af;</mo><mrow><mo>(</mo><mi>x</mi><mo>)</mo></mrow></mrow></mrow>"},
	} {
		n, err := notation.ParseExpr(c.formula, names)
		if err != nil {
			t.Fatal(err)
		}
		d := tape.Total(n, "x")
		if got := LaTeX(d); got != c.latex {
			t.Errorf("%s: %s, want %s", c.formula, got, c.latex)
		}
		if got := shown(MathML(d)); got != c.mathml {
			t.Errorf("%s: %s, want %s", c.formula, got, c.mathml)
		}
	}
}
