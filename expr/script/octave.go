package script

import (
	"nodespan/expr/function"
	"nodespan/expr/typeset"
)

var octave = Language{
	Name: "octave", Ending: "m", Media: "text/x-octave",
	Dialect: typeset.Dialect{
		Elementwise: typeset.Signs{Plus: " + ", Minus: " - ", Times: " .* ", Over: "./", Power: ".^", Compare: " %s "},
		Scalar:      typeset.Signs{Plus: " + ", Minus: " - ", Times: "*", Over: "/", Power: "^", Compare: " %s "},
		Constants:   map[string]string{"pi": "pi", "e": "e", "inf": "Inf"},
		Reserved: "break case catch continue do else elseif end end_try_catch end_unwind_protect endfor " +
			"endfunction endif endswitch endwhile for function global if otherwise persistent return " +
			"switch try until unwind_protect unwind_protect_cleanup while i j ans eps e pi NaN Inf prod " +
			"ones zeros eye inv diag numel abs max min printf powers factorial legendre_table series fold " +
			"next p order poly eig sort airy besselj bessely besseli besselk erf erfc gamma exp log sin " +
			"cos tan sqrt sign merge",
		Function: func(f *function.Function) function.Code { return f.Octave },
	},
	needs:  "GNU Octave without packages",
	start:  "1;  # a script, though it begins with functions\n",
	quiet:  "warning(\"off\", \"Octave:division-by-zero\");\n",
	remark: "#",
	indent: "  ",
	end:    ";",
	powers: `
function p = powers(s, d, n)
  # The d-th derivatives of 1, s, s^2, ... (n of them), a row for each point s.
  p = zeros(numel(s), n);
  for j = d:n - 1
    p(:, j + 1) = prod(j - d + 1:j)*s(:).^(j - d);
  end
end
`,
	integrals: `
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
	base:  1,
	power: "^", elementwise: ".*", first: "roots(1)", last: "roots(end)",
	count: [3]string{"(1:n)'", "(1:n - 1)'", "(0:n - 1)'"},
	ones:  "ones(size(%s))", nothing: "zeros(size(%s))",
	nans: "NaN(%d, %d)", nanRow: "NaN(total, 1)",
	zeros: "zeros(%d, %d)", zeroRow: "zeros(1, %v)", identity: "eye(%d)", copied: "%s",
	rows: "%s(%d:%d, :)", part: "%s(%d:%d)", rowOf: "%s(%d, :)", entry: "%s(%d)", entry2: "%s(%d, %d)",
	inverse: "inv", diagonal: "diag", offDiagonal: "diag(%s, %d)",
	product: "%s*%s", scaled: "%s.*%s", column: "%s", solved: `%s\%s`,
	eigenvalues: "eig(%s)",
	polynomial:  "%s*flip(poly(roots))",
	monic:       "1*flip(poly(roots))",
	oneRow:      "powers(%s, %d, %d)", vectorOf: "%s", firstRow: "%s", largest: "max(abs(%s))",
	beside:  series{around: "[%s]", sign: ",", more: "..."},
	below:   series{around: "[%s]", sign: ";", more: "..."},
	stack:   series{around: "[%s]", sign: ";", more: "..."},
	join:    series{around: "[%s]", sign: ";", more: "..."},
	list:    series{around: "[%s]", sign: ";", more: "..."},
	columns: series{around: "[%s]", sign: ",", more: "..."},
	ends:    series{sign: ";"},
	loop:    "for step = 1:%d", loopEnd: "end\n",
	breakIf: "if %s\n    break;\n  end",
	failIf:  "if !(%s)\n  error(%q);\nend",
	printer: "printf(\"%%s\\n\", %s);\n" +
		"printf([repmat(\"%%.17g\\t\", 1, columns(table) - 1), \"%%.17g\\n\"], table');\n",
	between: `\t`,
}
