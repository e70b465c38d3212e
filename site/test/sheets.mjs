// Sheets as they come out of notes, LaTeX sources, PDFs and word processors, each with its closed form:
// `exact` gives the column `y` of the node table at x.

export const pasted = [
  {
    name: "a fin from a LaTeX source: cases, upright differentials, subscripts",
    sheet: String.raw`\begin{cases}
\frac{\mathrm{d}^2 T}{\mathrm{d} x^2} = m^2 \left(T - T_s\right) \\
T(0) = 180, \qquad T'(L) = 0
\end{cases}
m = 3, T_{s} = 20, L = 0.5`,
    exact: (x) => 20 + (160 * Math.cosh(3 * (0.5 - x))) / Math.cosh(1.5),
  },
  {
    name: "a spherical pellet from a LaTeX source: the balance as it is written, singular at 0",
    sheet: String.raw`$$\frac{1}{r^2}\frac{d}{dr}\left(r^2 \frac{dc}{dr}\right) = \phi^2 c$$
$c'(0) = 0$, $c(1) = 1$
\phi = 2`,
    exact: (r) => (r === 0 ? 2 / Math.sinh(2) : Math.sinh(2 * r) / (r * Math.sinh(2))),
  },
  {
    name: "a joist, clamped and propped, in one aligned LaTeX block",
    sheet: String.raw`\begin{align}
v^{(4)} &= w \quad\text{with}\quad w = 1 \\
v(0) &= v'(0) = 0, \; v(1) = v^{\prime\prime}(1) = 0
\end{align}`,
    exact: (x) => (2 * x ** 4 - 5 * x ** 3 + 3 * x ** 2) / 48,
  },
  {
    name: "Unicode from a PDF: minus signs, double primes, raised dots, superscripts",
    sheet: "y″ − 4·y = −8 x²\ny(0) = 1 ; y(1) = 3",
    exact: (x) => 2 * x ** 2 + 1,
  },
  {
    name: "Unicode from a word processor: Greek, ≤, typographic primes, non-breaking spaces",
    sheet: "θ’’ + λ²\u00a0θ = 0 on 0 ≤ x ≤ 1 with θ(0) = 1 and θ’(1) = 0\nλ\u00a0= 1.2",
    exact: (x) => Math.cos(1.2 * (1 - x)) / Math.cos(1.2),
  },
  {
    name: "one line of prose",
    sheet: "Solve y'' + y = 0 with y(0) = 1 and y(pi/2) = 2.",
    exact: (x) => Math.cos(x) + 2 * Math.sin(x),
  },
];

// A fin in plain text, for the tests that are about something else.
export const fin = { sheet: "T'' = m^2 (T - 20)\nT(0) = 180\nT'(L) = 0\nm = 3\nL = 0.5", exact: pasted[0].exact };

// Faulty sheets, with what the fault sentence must speak of, and the piece to be underlined.
export const faulty = [
  { sheet: "y'' + 4 y = 1/2x\ny(0) = 1\ny(1) = 0", says: /two ways.*\(1\/2\)\*x or 1\/\(2\*x\)/, piece: "1/2x" },
  { sheet: "y'' + (4 y = sin(x)\ny(0) = 1\ny(1) = 0", says: /not closed/, piece: "(" },
  { sheet: "y'' = −y\ny(0) = 1\ny(1) = 0\ny′(1) = 2", says: /too many conditions/, piece: "y′(1) = 2" },
];

// A sheet that takes many seconds to solve with the method given.
export const long = {
  sheet: "eps y'' = y - y^3 + sin(x)\ny(0) = 0\ny(20) = 0\neps = 0.01",
  method: { "method-name": "one", nodes: "1000" },
};
