package script

import (
	"fmt"
	"strconv"
	"strings"

	"nodespan/expr/notation"
	"nodespan/expr/typeset"
)

// language is what tells the two apart. Places count from 0 in this package; the functions convert.
type language struct {
	needs, start, quiet string
	end                 string // of a statement
	functions, integral string // definitions: of the powers, of the stable route
	power, dot          string // of matrices, elementwise
	ones                string // %s: a vector to be as long as
	nothing             string // the same of zeros
	nans, nanVector     string
	zeroRow             string // of length total
	oneRow              string // %s, %d, %d: a point, derivative, number of powers
	inverse, diagonal   string
	eye                 string
	cosine              string
	first, last         string // of roots
	reserved            map[string]bool

	code        func(notation.Node, func(notation.Node) string) (string, error)
	definitions func(...notation.Node) string
	arange      func(from int, to string) string
	elementwise func(string) string
	eigenvalues func(string) string
	polynomial  func(leading string) string
	concat      func(before []string, middle string, after []string) string // numbers, a vector, numbers
	product     func(a, b string) string
	rows        func(m string, from, to int) string
	part        func(v string, from, to int) string
	rowOf       func(m string, row int) string
	entry       func(v string, i int) string
	entry2      func(m string, i, j int) string
	scaled      func(a, m string) string // row i of m times entry i of a
	columnOf    func(v string) string
	zeros       func(rows, columns int) string
	zeroRowOf   func(n int) string
	beside      func([]string) string // matrices
	below       func([]string) string // matrices
	stack       func([]string) string // rows
	join        func([]string) string // vectors
	list        func([]string) string // numbers
	columns     func([]string) string // vectors
	copied      func(string) string
	solved      func(a, b string) string
	unit        func(string) string // a vector of one number
	firstRow    func(string) string
	loop        func(steps int) string
	loopEnd     string
	breakIf     func(condition string) string
	largest     func(string) string // absolute value
	failIf      func(condition, message string) string
	printer     func(columns []string) string
}

func words(s string) map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields(s) {
		m[w] = true
	}
	return m
}

// several joins a list with a function around it, or returns the one entry.
func several(around string, list []string) string {
	if len(list) == 1 {
		return list[0]
	}
	return fmt.Sprintf(around, lines(list, ",", ""))
}

// lines joins a list by a sign, on lines of their own where it is long. more is what a line that goes on ends with.
func lines(list []string, sign, more string) string {
	long := 0
	for _, s := range list {
		long += len(s)
	}
	if long < 80 || len(list) < 2 {
		return strings.Join(list, sign+" ")
	}
	if more != "" {
		more = " " + more
	}
	return more + "\n        " + strings.Join(list, sign+more+"\n        ")
}

var python = language{
	needs: "numpy alone",
	start: "import math\n\nimport numpy as np\n",
	quiet: "np.seterr(divide=\"ignore\", invalid=\"ignore\")\n",
	functions: `

def powers(s, d, n):
    """The d-th derivatives of 1, s, s^2, ... (n of them), a row for each point s."""
    j = np.arange(n)
    factor = np.array([math.perm(k, d) for k in range(n)])
    return factor*np.asarray(s)[:, None]**np.maximum(j - d, 0)

`,
	integral: `
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
	power: "**", dot: "*",
	ones: "np.ones(len(%s))", nothing: "np.zeros(len(%s))", nans: "np.full((%d, %d), np.nan)",
	nanVector: "np.full(total, np.nan)", zeroRow: "np.zeros(total)",
	oneRow: "powers([%s], %d, %d)[0]", inverse: "np.linalg.inv", diagonal: "np.diag", eye: "np.eye",
	cosine: "-np.cos((2*j - 1)*np.pi/(2*n))", first: "roots[0]", last: "roots[-1]",
	reserved: words("False None True and as assert async await break class continue def del elif else except finally " +
		"for from global if import in is lambda nonlocal not or pass raise return try while with yield print range " +
		"len abs max min float enumerate zip erf erfc gamma bessel_j bessel_y bessel_i bessel_k airy_ai P series"),

	code: typeset.Python, definitions: typeset.PythonDefinitions,
	arange: func(from int, to string) string {
		if n, ok := strings.CutSuffix(to, " - 1"); ok {
			if from == 0 {
				return fmt.Sprintf("np.arange(%s)", n)
			}
			return fmt.Sprintf("np.arange(%d, %s)", from, n)
		}
		return fmt.Sprintf("np.arange(%d, %s + 1)", from, to)
	},
	elementwise: func(s string) string { return strings.ReplaceAll(s, "sqrt", "np.sqrt") },
	eigenvalues: func(s string) string {
		return "np.linalg.eigvalsh(" + strings.ReplaceAll(s, "diag", "np.diag") + ")"
	},
	polynomial: func(leading string) string {
		if leading == "1" {
			return "np.poly(roots)[::-1]  # coefficients of 1, s, s^2, ..."
		}
		return leading + "*np.poly(roots)[::-1]  # coefficients of 1, s, s^2, ..."
	},
	concat: func(before []string, middle string, after []string) string {
		var parts []string
		if len(before) > 0 {
			parts = append(parts, "["+strings.Join(before, ", ")+"]")
		}
		parts = append(parts, middle)
		if len(after) > 0 {
			parts = append(parts, "["+strings.Join(after, ", ")+"]")
		}
		return "np.concatenate([" + strings.Join(parts, ", ") + "])"
	},
	product: func(a, b string) string { return a + " @ " + b },
	rows:    func(m string, from, to int) string { return fmt.Sprintf("%s[%d:%d]", m, from, to) },
	part:    func(v string, from, to int) string { return fmt.Sprintf("%s[%d:%d]", v, from, to) },
	rowOf:   func(m string, row int) string { return fmt.Sprintf("%s[%d]", m, row) },
	entry:   func(v string, i int) string { return fmt.Sprintf("%s[%d]", v, i) },
	entry2:  func(m string, i, j int) string { return fmt.Sprintf("%s[%d, %d]", m, i, j) },
	scaled:  func(a, m string) string { return a + "[:, None]*" + m },
	columnOf: func(v string) string {
		return v + "[:, None]"
	},
	zeros:     func(r, c int) string { return fmt.Sprintf("np.zeros((%d, %d))", r, c) },
	zeroRowOf: func(n int) string { return fmt.Sprintf("np.zeros(%d)", n) },
	beside:    func(l []string) string { return several("np.hstack([%s])", l) },
	below:     func(l []string) string { return several("np.vstack([%s])", l) },
	stack:     func(l []string) string { return "np.array([" + lines(l, ",", "") + "])" },
	join:      func(l []string) string { return several("np.concatenate([%s])", l) },
	list:      func(l []string) string { return "np.array([" + lines(l, ",", "") + "], dtype=float)" },
	columns:   func(l []string) string { return "np.column_stack([" + lines(l, ",", "") + "])" },
	copied:    func(s string) string { return s + ".copy()" },
	solved:    func(a, b string) string { return fmt.Sprintf("np.linalg.solve(%s, %s)", a, b) },
	unit:      func(s string) string { return "[" + s + "]" },
	firstRow:  func(s string) string { return s + "[0]" },
	loop:      func(n int) string { return fmt.Sprintf("for step in range(%d):", n) },
	breakIf:   func(c string) string { return "if " + c + ":\n        break" },
	largest:   func(s string) string { return "np.max(np.abs(" + s + "))" },
	failIf: func(c, m string) string {
		return fmt.Sprintf("if not %s:\n    raise SystemExit(%q)", c, m)
	},
	printer: func(columns []string) string {
		quoted := make([]string, len(columns))
		for i, c := range columns {
			quoted[i] = strconv.Quote(c)
		}
		return "print(" + strings.Join(quoted, ", ") + ", sep=\"\\t\")\nfor row in table:\n    " +
			"print(*(repr(float(v)) for v in row), sep=\"\\t\")\n"
	},
}

var octave = language{
	needs: "GNU Octave without packages",
	start: "1;  # a script, though it begins with functions\n",
	quiet: "warning(\"off\", \"Octave:division-by-zero\");\n",
	end:   ";",
	functions: `
function p = powers(s, d, n)
  # The d-th derivatives of 1, s, s^2, ... (n of them), a row for each point s.
  p = zeros(numel(s), n);
  for j = d:n - 1
    p(:, j + 1) = prod(j - d + 1:j)*s(:).^(j - d);
  end
end
`,
	integral: `
function p = legendre_table(at, n)
  # The Legendre polynomials P_0 to P_n, a row for each point.
  p = ones(numel(at), n + 1);
  if n > 0
    p(:, 2) = at(:);
  end
  for k = 1:n - 1
    p(:, k + 2) = ((2*k + 1)*at(:).*p(:, k + 1) - k*p(:, k))/(k + 1);
  end
end

function m = integrals(k, at, nodes, left, right)
  # k-fold integrals from the left end to the points at (on -1 ... 1, as the nodes are) of the
  # polynomials that are 1 at one node and 0 at the others.
  n = numel(nodes);
  series = eye(n);
  for fold = 1:k
    # The integral of P_j from -1 is (P_(j+1) - P_(j-1))/(2*j + 1), that of P_0 is P_1 + P_0.
    m = size(series, 1);
    next = zeros(m + 1, n);
    next(1:2, :) = [1; 1]*series(1, :);
    for j = 1:m - 1
      next(j + 2, :) += series(j + 1, :)/(2*j + 1);
      next(j, :) -= series(j + 1, :)/(2*j + 1);
    end
    series = next;
  end
  m = ((right - left)/2)^k*(legendre_table(at, n - 1 + k)*series/legendre_table(nodes, n - 1));
end

function m = stable(order, d, at, nodes, left, right)
  # Derivative d of an unknown at the points at, by its state at the left end and its highest
  # derivative at the nodes.
  m = zeros(numel(at), order + numel(nodes));
  for j = 0:order - d - 1
    m(:, d + j + 1) = ((right - left)*(1 + at(:))/2).^j/factorial(j);
  end
  m(:, order + 1:end) = integrals(order - d, at, nodes, left, right);
end
`,
	power: "^", dot: ".*",
	ones: "ones(size(%s))", nothing: "zeros(size(%s))", nans: "NaN(%d, %d)", nanVector: "NaN(total, 1)",
	zeroRow: "zeros(1, total)",
	oneRow:  "powers(%s, %d, %d)", inverse: "inv", diagonal: "diag", eye: "eye",
	cosine: "-cos((2*j - 1)*pi/(2*n))", first: "roots(1)", last: "roots(end)",
	reserved: words("break case catch continue do else elseif end endfor endfunction endif endswitch endwhile for " +
		"function global if otherwise persistent return switch try until while e i j pi eps ans NaN Inf prod ones " +
		"zeros eye inv diag numel abs max min printf powers factorial legendre_table series fold next p order poly " +
		"eig sort airy besselj bessely besseli besselk erf erfc gamma exp log sin cos tan sqrt sign merge"),

	code: typeset.Octave, definitions: func(...notation.Node) string { return "" },
	arange:      func(from int, to string) string { return fmt.Sprintf("(%d:%s)'", from, to) },
	elementwise: octaveElementwise,
	eigenvalues: func(s string) string { return "eig(" + s + ")" },
	polynomial: func(leading string) string {
		return leading + "*flip(poly(roots))"
	},
	concat: func(before []string, middle string, after []string) string {
		return "[" + strings.Join(append(append(append([]string{}, before...), middle), after...), "; ") + "]"
	},
	product:   func(a, b string) string { return a + "*" + octaveFactor(b) },
	rows:      func(m string, from, to int) string { return octaveIndex(m, fmt.Sprintf("%d:%d, :", from+1, to)) },
	part:      func(v string, from, to int) string { return fmt.Sprintf("%s(%d:%d)", v, from+1, to) },
	rowOf:     func(m string, row int) string { return fmt.Sprintf("%s(%d, :)", m, row+1) },
	entry:     func(v string, i int) string { return fmt.Sprintf("%s(%d)", v, i+1) },
	entry2:    func(m string, i, j int) string { return fmt.Sprintf("%s(%d, %d)", m, i+1, j+1) },
	scaled:    func(a, m string) string { return a + ".*" + m },
	columnOf:  func(v string) string { return v },
	zeros:     func(r, c int) string { return fmt.Sprintf("zeros(%d, %d)", r, c) },
	zeroRowOf: func(n int) string { return fmt.Sprintf("zeros(1, %d)", n) },
	beside:    func(l []string) string { return "[" + lines(l, ",", "...") + "]" },
	below:     func(l []string) string { return "[" + lines(l, ";", "...") + "]" },
	stack:     func(l []string) string { return "[" + lines(l, ";", "...") + "]" },
	join:      func(l []string) string { return "[" + lines(l, ";", "...") + "]" },
	list:      func(l []string) string { return "[" + lines(l, ";", "...") + "]" },
	columns:   func(l []string) string { return "[" + lines(l, ",", "...") + "]" },
	copied:    func(s string) string { return s },
	solved:    func(a, b string) string { return a + "\\" + b },
	unit:      func(s string) string { return s },
	firstRow:  func(s string) string { return s },
	loop:      func(n int) string { return fmt.Sprintf("for step = 1:%d", n) },
	loopEnd:   "end\n",
	breakIf:   func(c string) string { return "if " + c + "\n    break;\n  end" },
	largest:   func(s string) string { return "max(abs(" + s + "))" },
	failIf: func(c, m string) string {
		return fmt.Sprintf("if !(%s)\n  error(%q);\nend", c, m)
	},
	printer: func(columns []string) string {
		quoted := strings.Join(columns, "\t")
		return "printf(\"%s\\n\", " + strconv.Quote(quoted) + ");\nprintf([repmat(\"%.17g\\t\", 1, columns(table) - " +
			"1), \"%.17g\\n\"], table');\n"
	},
}

// octaveElementwise turns a formula of scalars into one of vectors.
func octaveElementwise(s string) string {
	s = strings.NewReplacer("**", ".^", "*(", ".*(", "/(", "./(", "/sqrt", "./sqrt").Replace(s)
	return s
}

// octaveFactor brackets a sum that is a factor.
func octaveFactor(s string) string {
	if strings.ContainsAny(s, "+-") && !strings.HasSuffix(s, ")") {
		return "(" + s + ")"
	}
	return s
}

// octaveIndex takes a part of a matrix, or of a call's value.
func octaveIndex(m, index string) string { return m + "(" + index + ")" }
