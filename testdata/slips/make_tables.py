"""Tables of numbers as people work them out by collocation with one polynomial: right ones, and ones with a slip.

Writes tables.json beside itself. Needs Python 3 with numpy (Debian: python3-numpy). It shares nothing with the solver: nodes, the
matrix of powers, its inverse and the derivative matrices are built here the way they are taught (J. Villadsen and M. L. Michelsen,
Solution of Differential Equation Models by Polynomial Approximation, 1978, from memory), the terms of each equation are written out by
hand beside its sheet, and nonlinear equations are solved by Newton's method with complex-step derivatives.
"""
import json
import pathlib
import numpy as np

# ---------------------------------------------------------------------------------------------- nodes


def nodes(family, n):
    """n interior nodes and both ends on -1 ... 1."""
    if family == "legendre":
        inner = np.polynomial.legendre.leggauss(n)[0]
    elif family == "chebyshev":
        inner = -np.cos(np.pi * (2 * np.arange(n) + 1) / (2 * n))
    elif family == "extrema":
        inner = -np.cos(np.pi * np.arange(1, n + 1) / (n + 1))
    elif family == "lobatto":
        inner = np.sort(np.polynomial.legendre.Legendre.basis(n + 1).deriv().roots().real)
    else:
        inner = -1 + 2 * np.arange(1, n + 1) / (n + 1)
    return np.concatenate([[-1.0], inner, [1.0]])


# --------------------------------------------------------------------------------------------- problems
# Each equation is a list of terms that add up to 0; a term is f(x, J, m) with J[unknown][derivative] and m the module of functions, whose
# sine may be that of a calculator in degrees. Conditions are (end, {(unknown, derivative): factor}, constant): the sum is 0.

class Radians:
    sin, cos, exp = staticmethod(np.sin), staticmethod(np.cos), staticmethod(np.exp)


class Degrees(Radians):
    sin, cos = staticmethod(lambda v: np.sin(v * np.pi / 180)), staticmethod(lambda v: np.cos(v * np.pi / 180))


def problem(sheet, interval, orders, equations, conditions, guess=None):
    return dict(sheet=sheet, a=interval[0], b=interval[1], orders=orders, equations=equations, conditions=conditions, guess=guess)


P = {
    "forced": problem("y'' + 4 y = sin(x)\ny(0) = 0, y(2) = 1", (0, 2), [2],
        [[lambda x, J, m: J[0][2], lambda x, J, m: 4 * J[0][0], lambda x, J, m: -m.sin(x)]],
        [(0, {(0, 0): 1}, 0), (1, {(0, 0): 1}, -1)]),
    "drift": problem("y'' + 3 y' - 2 y = x\ny(0) = 1\ny'(1.5) = -0.4", (0, 1.5), [2],
        [[lambda x, J, m: J[0][2], lambda x, J, m: 3 * J[0][1], lambda x, J, m: -2 * J[0][0], lambda x, J, m: -x]],
        [(0, {(0, 0): 1}, -1), (1, {(0, 1): 1}, 0.4)]),
    "fin": problem("T'' = 6 (T - 20)\nT(0) = 180\nT'(0.8) = -3 (T(0.8) - 20)", (0, 0.8), [2],
        [[lambda x, J, m: J[0][2], lambda x, J, m: -6 * J[0][0], lambda x, J, m: 120 + 0 * x]],
        [(0, {(0, 0): 1}, -180), (1, {(0, 1): 1, (0, 0): 3}, -60)]),
    "varying": problem("(1 + x) y'' + x y' - cos(x) y = exp(-x)\ny(1) = 0, y(3) = 2", (1, 3), [2],
        [[lambda x, J, m: (1 + x) * J[0][2], lambda x, J, m: x * J[0][1], lambda x, J, m: -m.cos(x) * J[0][0], lambda x, J, m: -m.exp(-x)]],
        [(0, {(0, 0): 1}, 0), (1, {(0, 0): 1}, -2)]),
    "reaction": problem("c'' + 0.5 c' = 4 c^2\nc'(0) = 0, c(1.3) = 1", (0, 1.3), [2],
        [[lambda x, J, m: J[0][2], lambda x, J, m: 0.5 * J[0][1], lambda x, J, m: -4 * J[0][0] ** 2]],
        [(0, {(0, 1): 1}, 0), (1, {(0, 0): 1}, -1)], guess=[0.5]),
    "swing": problem("theta'' + 0.4 theta' + sin(theta) = 0.3 x\ntheta(0) = 0.2, theta(2) = 1.1", (0, 2), [2],
        [[lambda x, J, m: J[0][2], lambda x, J, m: 0.4 * J[0][1], lambda x, J, m: m.sin(J[0][0]), lambda x, J, m: -0.3 * x]],
        [(0, {(0, 0): 1}, -0.2), (1, {(0, 0): 1}, -1.1)], guess=[0.6]),
    "beam": problem("v'''' + 2 v'' + 3 v = 5 + x\nv(0) = v'(0) = 0\nv(2) = v''(2) = 0", (0, 2), [4],
        [[lambda x, J, m: J[0][4], lambda x, J, m: 2 * J[0][2], lambda x, J, m: 3 * J[0][0], lambda x, J, m: -5 + 0 * x, lambda x, J, m: -x]],
        [(0, {(0, 0): 1}, 0), (0, {(0, 1): 1}, 0), (1, {(0, 0): 1}, 0), (1, {(0, 2): 1}, 0)]),
    "third": problem("y''' + x y' - y = 1\ny(0) = 1, y'(0) = 0.3, y(1.6) = 2", (0, 1.6), [3],
        [[lambda x, J, m: J[0][3], lambda x, J, m: x * J[0][1], lambda x, J, m: -J[0][0], lambda x, J, m: -1 + 0 * x]],
        [(0, {(0, 0): 1}, -1), (0, {(0, 1): 1}, -0.3), (1, {(0, 0): 1}, -2)]),
    "coil": problem("u' = -1.9 (u - w)\nw' = -0.7 (u - w) + x\nu(0) = 3.1, w(2) = 0.6", (0, 2), [1, 1],
        [[lambda x, J, m: J[0][1], lambda x, J, m: 1.9 * J[0][0], lambda x, J, m: -1.9 * J[1][0]],
         [lambda x, J, m: J[1][1], lambda x, J, m: 0.7 * J[0][0], lambda x, J, m: -0.7 * J[1][0], lambda x, J, m: -x]],
        [(0, {(0, 0): 1}, -3.1), (1, {(1, 0): 1}, -0.6)]),
    "pair": problem("u' = w + sin(x)\nw' = 3 u - 0.5 w\nu(0) = 1, w(1.5) = 0.5", (0, 1.5), [1, 1],
        [[lambda x, J, m: J[0][1], lambda x, J, m: -J[1][0], lambda x, J, m: -m.sin(x)],
         [lambda x, J, m: J[1][1], lambda x, J, m: -3 * J[0][0], lambda x, J, m: 0.5 * J[1][0]]],
        [(0, {(0, 0): 1}, -1), (1, {(1, 0): 1}, -0.5)]),
    "decay": problem("y' + 3 y = 3 cos(x)\ny(0) = 0.2\n0 <= x <= 2.5", (0, 2.5), [1],
        [[lambda x, J, m: J[0][1], lambda x, J, m: 3 * J[0][0], lambda x, J, m: -3 * m.cos(x)]],
        [(0, {(0, 0): 1}, -0.2)]),
    "waves": problem("y'' + y'/2 - (2 + cos(3 x)) y = sin(2 x)\ny(0) = 1, y(2.5) = -0.5", (0, 2.5), [2],
        [[lambda x, J, m: J[0][2], lambda x, J, m: J[0][1] / 2, lambda x, J, m: -2 * J[0][0], lambda x, J, m: -m.cos(3 * x) * J[0][0],
          lambda x, J, m: -m.sin(2 * x)]],
        [(0, {(0, 0): 1}, -1), (1, {(0, 0): 1}, 0.5)]),
    "sloped": problem("y'' + 0.7 y' = -2 + x/4\ny'(0) = 1, y(3) = 0.5", (0, 3), [2],
        [[lambda x, J, m: J[0][2], lambda x, J, m: 0.7 * J[0][1], lambda x, J, m: 2 + 0 * x, lambda x, J, m: -x / 4]],
        [(0, {(0, 1): 1}, -1), (1, {(0, 0): 1}, -0.5)]),
    "cooling": problem("T'' = 2 T^2 - 0.6 T'\nT(0) = 1.5\nT'(1.4) = -0.3 T(1.4)", (0, 1.4), [2],
        [[lambda x, J, m: J[0][2], lambda x, J, m: -2 * J[0][0] ** 2, lambda x, J, m: 0.6 * J[0][1]]],
        [(0, {(0, 0): 1}, -1.5), (1, {(0, 1): 1, (0, 0): 0.3}, 0)], guess=[0.8]),
    "spring": problem("v'''' - 0.5 v''' + 4 v = sin(x)\nv(0) = 0.1, v''(0) = 0.6\nv(3) = 0, v'(3) = -0.2", (0, 3), [4],
        [[lambda x, J, m: J[0][4], lambda x, J, m: -0.5 * J[0][3], lambda x, J, m: 4 * J[0][0], lambda x, J, m: -m.sin(x)]],
        [(0, {(0, 0): 1}, -0.1), (0, {(0, 2): 1}, -0.6), (1, {(0, 0): 1}, 0), (1, {(0, 1): 1}, 0.2)]),
}

# ---------------------------------------------------------------------------------------------- method


def solve(p, family, n, reference="0..1", slip=None):
    """The values at n interior nodes and both ends; a dict with nodes x, reference nodes s and values, one row per unknown."""
    slip = slip or {}
    t = nodes(family, n)
    s, width = ((1 + t) / 2, 1.0) if reference == "0..1" else (t, 2.0)
    a, b = p["a"], p["b"]
    length = (b - a) / width
    N = len(s)
    top = max(p["orders"])
    j = np.arange(N)
    V = s[:, None] ** j
    D = [np.eye(N)]
    for k in range(1, top + 1):
        factor = np.ones(N)
        for i in range(k):
            factor = factor * (j + slip.get("coefficient", 0) - i)
        exponent = j - k + slip.get("exponent", 0)
        dV = np.where(exponent >= 0, factor * s[:, None] ** np.maximum(exponent, 0), 0)
        # d V^-1 by a solve with the transpose
        M = np.linalg.solve(V.T, dV.T).T
        M = M / length ** slip.get("powers", {}).get(k, k)
        D.append(M)
    if slip.get("reverse") == "matrices":
        D = [M[::-1, ::-1] for M in D]  # those of the same nodes in descending order
    if "exchange" in slip:
        k1, k2 = slip["exchange"]
        D[k1], D[k2] = D[k2], D[k1]
    x = a + (b - a) * (1 + t) / 2
    xc = {"s": s, "reverse": x[::-1]}.get(slip.get("coefficients"), x)
    m = Degrees if slip.get("degrees") else Radians
    conditions = [list(c) for c in p["conditions"]]
    for i in slip.get("wrong_end", []):
        conditions[i][0] = 1 - conditions[i][0]
    for i, how in slip.get("as_value", {}).items():
        lowered = {}
        for (u, d), f in conditions[i][1].items():
            key = (u, 0 if how == "value" else max(d - 1, 0))
            lowered[key] = lowered.get(key, 0) + f
        conditions[i][1] = lowered
    kept = slip.get("kept")

    # Which rows the conditions take.
    rows = []
    taken = {u: [0, 0] for u in range(len(p["orders"]))}
    free = list(p["orders"])
    for i, (end, parts, constant) in enumerate(conditions):
        u = next((u for (u, d) in parts if free[u] > 0), None)
        if u is None:
            u = next(u for u in range(len(free)) if free[u] > 0)
        free[u] -= 1
        if i == kept:
            continue
        r = taken[u][end]
        taken[u][end] += 1
        rows.append((u, r if end == 0 else N - 1 - r, end, parts, constant))

    def residual(y):
        Y = y.reshape(len(p["orders"]), N)
        J = [[D[k] @ Y[u] for k in range(top + 1)] for u in range(len(Y))]
        out = []
        for e, terms in enumerate(p["equations"]):
            total = 0
            for i, term in enumerate(terms):
                if slip.get("drop") == (e, i):
                    continue
                total = total + (-1 if slip.get("flip") == (e, i) else 1) * term(xc, J, m)
            out.append(total + 0 * Y[e])
        for u, r, end, parts, constant in rows:
            at = 0 if end == 0 else N - 1
            out[u][r] = sum(f * J[v][d][at] for (v, d), f in parts.items()) + constant
        return np.concatenate(out)

    size = N * len(p["orders"])
    y = np.zeros(size)
    if p["guess"]:
        y = np.repeat(p["guess"], N).astype(float)
    for step in range(60):
        r = residual(y)
        jacobian = np.empty((size, size))
        for i in range(size):
            z = y.astype(complex)
            z[i] += 1e-30j
            jacobian[:, i] = residual(z).imag / 1e-30
        change = np.linalg.solve(jacobian, r)
        y = y - change
        if not np.all(np.isfinite(y)) or np.max(np.abs(y)) > 1e6:
            raise ArithmeticError("no solution")
        if np.max(np.abs(change)) <= 1e-10 * max(1e-3, np.max(np.abs(y))):
            break
    else:
        raise ArithmeticError("Newton's method does not converge")
    if slip and np.linalg.cond(jacobian) > 1e13:
        raise ArithmeticError("singular")
    return dict(x=x, s=s, y=y.reshape(len(p["orders"]), N), a=a, b=b)


def at(r, x):
    """The polynomials at other points, by the barycentric formula."""
    t = (2 * np.asarray(x) - r["a"] - r["b"]) / (r["b"] - r["a"])
    z = (2 * r["x"] - r["a"] - r["b"]) / (r["b"] - r["a"])
    w = np.array([1 / np.prod(4 / 2 * (z[i] - np.delete(z, i))) for i in range(len(z))])
    out = []
    for y in r["y"]:
        d = t[:, None] - z
        exact = np.abs(d) < 1e-14
        d = np.where(exact, 1, d)
        q = (w / d)
        v = (q @ y) / q.sum(axis=1)
        hit = exact.any(axis=1)
        v[hit] = y[exact[hit].argmax(axis=1)]
        out.append(v)
    return np.array(out)


# ---------------------------------------------------------------------------------------------- tables


def write(x, y, digits, style):
    """A table as text: decimals or significant digits, in one of the ways people paste them."""
    scale = np.max(np.abs(y))
    decimals = max(0, digits - 1 - int(np.floor(np.log10(scale))))
    def number(v):
        if style["kind"] == "significant":
            return f"{v:.{digits}g}"
        return f"{v:.{decimals}f}"
    lines = []
    if style.get("header"):
        lines.append(style["sep"].join(style["header"]))
    for i in range(len(x)):
        lines.append(style["sep"].join([f"{x[i]:.10g}" if style["x"] == "full" else f"{x[i]:.{style['x']}f}"] + [number(v) for v in y[:, i]]))
    text = "\n".join(lines) + "\n"
    if style.get("comma"):
        text = text.replace(".", ",")
    return text


NAMES = {"swing": ["x", "theta"], "fin": ["x", "T"], "cooling": ["x", "T"], "reaction": ["x", "c"], "beam": ["x", "v"], "spring": ["x", "v"],
         "coil": ["x", "u", "w"], "pair": ["x", "u", "w"]}
FAMILIES = ["legendre", "extrema", "legendre", "chebyshev", "lobatto"]


def style(i, name):
    s = [dict(sep="\t", kind="decimals", x="full"), dict(sep="; ", kind="decimals", x="full", comma=True), dict(sep=", ", kind="significant", x="full"),
         dict(sep="   ", kind="decimals", x=6), dict(sep="\t", kind="significant", x="full", comma=True), dict(sep=" ", kind="decimals", x=4)][i % 6]
    if i % 3 == 0:
        s["header"] = NAMES.get(name, ["x", "y"])
    return s


def slips_of(name, p):
    """The slips that can be made in a problem: kind, what the tool calls it, and what solve is told."""
    top = max(p["orders"])
    out = []
    def has(k):  # does the k-th derivative occur in the equations?
        J = lambda v: [[v if d == k else 0.0 for d in range(top + 1)] for _ in p["orders"]]
        x = np.array([0.7])
        return any(abs(sum(t(x, J(1.0 + 0 * x), Radians) for t in e) - sum(t(x, J(2.0 + 0 * x), Radians) for t in e)) > 1e-9 for e in p["equations"])
    zero = {k: 0 for k in range(top + 1)}
    for ref in ("0..1", "-1..1"):
        out.append(("not rescaled", "interval not rescaled", dict(powers=zero), ref))
    if top >= 2:
        out.append(("a factor of the length missing", "interval not rescaled", dict(powers={top: top - 1}), "0..1"))
        if has(1):
            out.append(("the length squared missing", "interval not rescaled", dict(powers={top: 0}), "0..1"))
    out.append(("rescaled twice", "rescaled twice", dict(powers={k: 2 * k for k in range(top + 1)}), "0..1"))
    out.append(("rescaled the wrong way", "rescaled the wrong way", dict(powers={k: -k for k in range(top + 1)}), "0..1"))
    for i, (end, parts, constant) in enumerate(p["conditions"]):
        out.append(("row kept", "condition row not replaced", dict(kept=i), "0..1"))
        out.append(("wrong end", "condition at the wrong end", dict(wrong_end=[i]), "0..1"))
        if any(d == 1 for (u, d) in parts):
            out.append(("slope as value", "slope condition treated as a value", dict(as_value={i: "value"}), "0..1"))
        if any(d == 2 for (u, d) in parts):
            out.append(("slope as value", "slope condition treated as a value", dict(as_value={i: "lower"}), "0..1"))
    if len(p["conditions"]) > 1:
        out.append(("wrong end", "condition at the wrong end", dict(wrong_end=list(range(len(p["conditions"])))), "0..1"))
    for e, terms in enumerate(p["equations"]):
        for i in range(1, len(terms)):
            out.append(("sign flipped", "sign of a term flipped", dict(flip=(e, i)), "0..1"))
            out.append(("term dropped", "term dropped", dict(drop=(e, i)), "0..1"))
    if top >= 2:
        pairs = [(1, 2)] if top == 2 else [(k, top) for k in range(1, top) if has(k)]
        for pair in pairs:
            if has(pair[0]):
                out.append(("matrices exchanged", "derivative matrices exchanged", dict(exchange=pair), "0..1"))
    for ref in ("0..1", "-1..1"):
        out.append(("off by one", "derivative coefficients off by one", dict(coefficient=1), ref))
        out.append(("off by one", "derivative coefficients off by one", dict(coefficient=-1), ref))
    out.append(("off by one", "derivative coefficients off by one", dict(exponent=1), "0..1"))
    x = np.array([0.3, 0.9])
    J = [[np.array([0.4, 0.4])] * (top + 1) for _ in p["orders"]]
    if any(np.ptp(sum(t(x, J, Radians) for t in e)) > 1e-9 for e in p["equations"]):
        out.append(("coefficients in reverse", "nodes in the wrong order", dict(coefficients="reverse"), "0..1"))
        out.append(("coefficients on the reference interval", "nodes on the reference interval", dict(coefficients="s"), "0..1"))
        out.append(("coefficients on the reference interval", "nodes on the reference interval", dict(coefficients="s"), "-1..1"))
    if has(1):
        out.append(("matrices in reverse", "nodes in the wrong order", dict(reverse="matrices"), "0..1"))
    out.append(("values in reverse", "nodes in the wrong order", dict(list="reverse"), "0..1"))
    out.append(("x on the reference interval", "nodes on the reference interval", dict(list="s"), "0..1"))
    if "sin" in p["sheet"] or "cos" in p["sheet"]:
        out.append(("degrees", "degrees for radians", dict(degrees=True), "0..1"))
    return out


def make():
    rng = np.random.default_rng(20240229)
    wrong, right, noisy, coarse = [], [], [], []
    count = 0
    fine = {name: solve(p, "legendre", 21, "-1..1") for name, p in P.items()}
    for name, p in P.items():
        # The fine solution is fine: two more nodes change nothing that is printed.
        finer = solve(p, "extrema", 24, "-1..1")
        grid = np.linspace(p["a"], p["b"], 23)
        assert np.max(np.abs(at(fine[name], grid) - at(finer, grid))) < 1e-9 * np.max(np.abs(finer["y"])), name
        for kind, expected, slip, reference in slips_of(name, p):
            if "list" not in slip and reference == "-1..1" and slip.get("powers") and abs((p["b"] - p["a"]) / 2 - 1) < 1e-9:
                continue  # nothing to rescale
            count += 1
            n = [5, 8, 6, 11, 4, 7, 9][count % 7] + (2 if max(p["orders"]) > 2 else 0)
            try:
                r = solve(p, FAMILIES[count % 5], n, reference, slip)
            except (ArithmeticError, np.linalg.LinAlgError):
                continue
            on_nodes = count % 4 != 3 or slip.get("list")
            x = r["x"] if on_nodes else np.linspace(p["a"], p["b"], 9)
            y = r["y"] if on_nodes else at(r, x)
            if slip.get("list") == "reverse":
                y = y[:, ::-1]
            if slip.get("list") == "s":
                x = r["s"]
            digits = [5, 6, 4, 7][count % 4]
            # A slip that does not show in the digits is none.
            truth = at(fine[name], np.clip(x, p["a"], p["b"])) if slip.get("list") != "s" else at(fine[name], x)
            unit = 10.0 ** (np.floor(np.log10(np.max(np.abs(y)))) + 1 - digits)
            if np.max(np.abs(truth - y)) < 100 * unit or np.max(np.abs(y)) > 1e4 * np.max(np.abs(fine[name]["y"])):
                continue
            # A slip without effect on the method (it is the honest coarse solution) is none either.
            honest = solve(p, FAMILIES[count % 5], n, reference)
            if slip.get("list") is None and np.max(np.abs(honest["y"] - r["y"])) < 20 * unit:
                continue
            st = style(count, name)
            if not on_nodes and st["x"] != "full":
                st["x"] = 10
            wrong.append(dict(sheet=name, kind=kind, slip=expected, table=write(x, y, digits, st)))
    names = list(P)
    for i in range(100):
        name = names[i % len(names)]
        p = P[name]
        x = [lambda: fine[name]["x"][::2], lambda: np.linspace(p["a"], p["b"], 5 + i % 7), lambda: p["a"] + (p["b"] - p["a"]) * (1 + nodes("legendre", 3 + i % 6)) / 2][i % 3]()
        st = style(i, name)
        if i % 3 != 2:
            st["x"] = "full"
        if i % 3 == 0:
            x = np.round(x, 6)
        right.append(dict(sheet=name, table=write(x, at(fine[name], x), 3 + i % 6, st)))
    for i in range(60):
        name = names[i % len(names)]
        p = P[name]
        x = np.linspace(p["a"], p["b"], 4 + i % 9)
        y = at(fine[name], x)
        level = [1e-1, 1e-2, 1e-3, 1e-4][i % 4] * np.max(np.abs(y))
        y = y + level * rng.standard_normal(y.shape)
        st = style(i, name)
        st["x"] = "full"
        noisy.append(dict(sheet=name, table=write(x, y, 4 + i % 3, st)))
    for i in range(30):
        name = names[i % len(names)]
        p = P[name]
        n = 2 + i % 4 + (2 if max(p["orders"]) > 2 else 0)
        r = solve(p, FAMILIES[i % 5], n)
        st = style(i, name)
        grid = np.linspace(p["a"], p["b"], 7)
        on_nodes = i % 2 == 0
        x, y = (r["x"], r["y"]) if on_nodes else (grid, at(r, grid))
        if not on_nodes:
            st["x"] = "full"
        if np.max(np.abs(y - at(fine[name], x))) < 1e-3 * np.max(np.abs(y)):
            continue
        coarse.append(dict(sheet=name, table=write(x, y, 6, st)))
    return dict(about="written by make_tables.py", sheets={k: p["sheet"] for k, p in P.items()}, wrong=wrong, right=right, noisy=noisy, coarse=coarse)


if __name__ == "__main__":
    data = make()
    text = json.dumps(data, indent=0, ensure_ascii=False)
    pathlib.Path(__file__).with_name("tables.json").write_text(text + "\n")
    kinds = {}
    for w in data["wrong"]:
        kinds.setdefault(w["kind"], set()).add(w["sheet"])
    print(len(data["wrong"]), "wrong,", len(data["right"]), "right,", len(data["noisy"]), "noisy,", len(data["coarse"]), "coarse")
    for k, v in kinds.items():
        print(f"{len(v):3d} sheets  {k}")
