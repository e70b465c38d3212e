package script

import (
	"nodespan/expr/function"
	"nodespan/expr/typeset"
)

var pythonSigns = typeset.Signs{Plus: " + ", Minus: " - ", Times: "*", Over: "/", Power: "**", Compare: " %s "}

var python = Language{
	Name: "python", Ending: "py", Media: "text/x-python",
	Dialect: typeset.Dialect{
		Elementwise: pythonSigns,
		Scalar:      pythonSigns,
		Constants:   map[string]string{"pi": "np.pi", "e": "np.e", "inf": "np.inf"},
		Reserved: "False None True and as assert async await break class continue def del elif else except " +
			"finally for from global if import in is lambda nonlocal not or pass raise return try while " +
			"with yield np math print range len abs min max sum float int enumerate zip erf erfc gamma " +
			"bessel_j bessel_y bessel_i bessel_k airy_ai P series",
		Function: func(f *function.Function) function.Code { return f.Python },
	},
	needs:  "numpy alone",
	start:  "import math\n\nimport numpy as np\n",
	quiet:  "np.seterr(divide=\"ignore\", invalid=\"ignore\")\n",
	remark: "#",
	indent: "    ",
	powers: `

def powers(s, d, n):
    """The d-th derivatives of 1, s, s^2, ... (n of them), a row for each point s."""
    j = np.arange(n)
    factor = np.array([math.perm(k, d) for k in range(n)])
    return factor*np.asarray(s)[:, None]**np.maximum(j - d, 0)

`,
	integrals: `
def integrals(k, at, nodes, left, right):
    """k-fold integrals from the left end to the points at (on -1 ... 1, as the nodes are) of the
    polynomials that are 1 at one node and 0 at the others."""
    P = np.polynomial.legendre
    n = len(nodes)
    series = P.legint(np.eye(n), k, lbnd=-1) if k > 0 else np.eye(n)
    values = P.legvander(at, n - 1 + k) @ series
    return ((right - left)/2)**k*(values @ np.linalg.inv(P.legvander(nodes, n - 1)))


def stable(m, d, at, nodes, left, right):
    """Derivative d of an unknown of order m at the points at, by its state at the left end and
    its highest derivative at the nodes."""
    rows = np.zeros((len(at), m + len(nodes)))
    for j in range(m - d):
        rows[:, d + j] = ((right - left)*(1 + np.asarray(at))/2)**j/math.factorial(j)
    rows[:, m:] = integrals(m - d, at, nodes, left, right)
    return rows

`,
	power: "**", elementwise: "*", first: "roots[0]", last: "roots[-1]",
	count: [3]string{"np.arange(1, n + 1)", "np.arange(1, n)", "np.arange(n)"},
	ones:  "np.ones(len(%s))", nothing: "np.zeros(len(%s))",
	nans: "np.full((%d, %d), np.nan)", nanRow: "np.full(total, np.nan)",
	zeros: "np.zeros((%d, %d))", zeroRow: "np.zeros(%v)", identity: "np.eye(%d)", copied: "%s.copy()",
	rows: "%s[%d:%d]", part: "%s[%d:%d]", rowOf: "%s[%d]", entry: "%s[%d]", entry2: "%s[%d, %d]",
	inverse: "np.linalg.inv", diagonal: "np.diag", offDiagonal: "np.diag(%s, %d)",
	product: "%s @ %s", scaled: "%s[:, None]*%s", column: "%s[:, None]", solved: "np.linalg.solve(%s, %s)",
	eigenvalues: "np.linalg.eigvalsh(%s)",
	polynomial:  "%s*np.poly(roots)[::-1]  # coefficients of 1, s, s^2, ...",
	monic:       "np.poly(roots)[::-1]  # coefficients of 1, s, s^2, ...",
	oneRow:      "powers([%s], %d, %d)[0]", vectorOf: "[%s]", firstRow: "%s[0]", largest: "np.max(np.abs(%s))",
	beside:  series{around: "np.hstack([%s])", single: "%s", sign: ","},
	below:   series{around: "np.vstack([%s])", single: "%s", sign: ","},
	stack:   series{around: "np.array([%s])", sign: ","},
	join:    series{around: "np.concatenate([%s])", single: "%s", sign: ","},
	list:    series{around: "np.array([%s], dtype=float)", sign: ","},
	columns: series{around: "np.column_stack([%s])", sign: ","},
	ends:    series{around: "[%s]", sign: ","},
	loop:    "for step in range(%d):",
	breakIf: "if %s:\n        break",
	failIf:  "if not %s:\n    raise SystemExit(%q)",
	printer: "print(%s, sep=\"\\t\")\nfor row in table:\n    print(*(repr(float(v)) for v in row), sep=\"\\t\")\n",
	between: `", "`,
}
