"""Tables of numbers as people work them out with methods of low order: differences, volumes, elements, shooting.

Writes low_order.json beside itself. Needs Python 3 with numpy (Debian: python3-numpy). It shares nothing with the solver: the equations
are written out by hand beside their sheets, and the methods are those of textbooks (common practice, no source).
"""
import json
import pathlib
import numpy as np

# A problem of second order: (k y')' + a y' = s y + f on x0 ... x1 (s, f and a of x; k its own), with al y + be y' = ga at each end.
ONE = np.ones_like


def second(sheet, x0, x1, left, right, k=ONE, dk=np.zeros_like, a=np.zeros_like, s=np.zeros_like, f=np.zeros_like):
    return dict(sheet=sheet, x0=x0, x1=x1, ends=(left, right), k=k, dk=dk, a=a, s=s, f=f)


P = {
    "fin": second("T'' = m2 (T - T_inf)\nm2 = 30, T_inf = 18\nT(0) = 95\nT'(0.4) = 0", 0, 0.4, (1, 0, 95), (0, 1, 0),
                  s=lambda x: 30 * ONE(x), f=lambda x: -30 * 18 * ONE(x)),
    "convecting": second("T'' = 12 (T - 20)\nT(0) = 90\n-T'(0.5) = 4 (T(0.5) - 20)", 0, 0.5, (1, 0, 90), (4, 1, 80),
                         s=lambda x: 12 * ONE(x), f=lambda x: -240 * ONE(x)),
    "drifting": second("y'' + 3 y' = 2 y + x\ny'(0) = -1\ny(2) = 0.5", 0, 2, (0, 1, -1), (1, 0, 0.5), a=lambda x: 3 * ONE(x),
                       s=lambda x: 2 * ONE(x), f=lambda x: x),
    "wall": second("(k T')' = -q\nk = 1 + 2 x, q = 60\nT'(0) = 0\nT(1) = 5", 0, 1, (0, 1, 0), (1, 0, 5), k=lambda x: 1 + 2 * x,
                   dk=lambda x: 2 * ONE(x), f=lambda x: -60 * ONE(x)),
    "taper": second("((2 - x) u')' - 3 u + 4 x = 0\nu(0) = 1\nu'(1) = -0.5", 0, 1, (1, 0, 1), (0, 1, -0.5), k=lambda x: 2 - x,
                    dk=lambda x: -ONE(x), s=lambda x: 3 * ONE(x), f=lambda x: -4 * x),
    "plain": second("y'' - 9 y = -9 x\ny(0) = 1, y(2) = 0", 0, 2, (1, 0, 1), (1, 0, 0), s=lambda x: 9 * ONE(x), f=lambda x: -9 * x),
    "varying": second("y'' + x y' - 4 y = cos(2 x)\ny(1) = 2\ny'(3) = 0.3", 1, 3, (1, 0, 2), (0, 1, 0.3), a=lambda x: x,
                      s=lambda x: 4 * ONE(x), f=lambda x: np.cos(2 * x)),
}

# ---------------------------------------------------------------------------------------------- differences


def differences(p, n, ends="mirrored", within="central"):
    h = (p["x1"] - p["x0"]) / n
    x = np.linspace(p["x0"], p["x1"], n + 1)
    A, r = np.zeros((n + 1, n + 1)), np.zeros(n + 1)
    conv = (p["dk"](x) + p["a"](x)) * ONE(x)
    k, s, f = p["k"](x) * ONE(x), p["s"](x) * ONE(x), p["f"](x) * ONE(x)
    for i in range(1, n):
        A[i, i - 1:i + 2] += k[i] / h**2 * np.array([1, -2, 1])
        A[i, i - 1:i + 2] += conv[i] / h * np.array({"central": [-0.5, 0, 0.5], "backward": [-1, 1, 0], "forward": [0, -1, 1]}[within])
        A[i, i] -= s[i]
        r[i] = f[i]
    for i, (al, be, ga), to in ((0, p["ends"][0], 1), (n, p["ends"][1], -1)):
        if be == 0:
            A[i, i], r[i] = al, ga
        elif ends == "mirrored":
            # y' = (ga - al y)/be; the point beyond is y_inner -/+ 2 h y'
            A[i, i] += -2 * k[i] / h**2 - s[i]
            A[i, i + to] += 2 * k[i] / h**2
            # y_beyond = y_inner - to 2 h y'
            A[i, i] += to * 2 * h * al / be * k[i] / h**2 - conv[i] * al / be
            r[i] = f[i] + to * 2 * h * ga / be * k[i] / h**2 - conv[i] * ga / be
        else:
            w = {"two": [-1, 1], "three": [-1.5, 2, -0.5], "four": [-11 / 6, 3, -1.5, 1 / 3]}[ends]
            for j, v in enumerate(w):
                A[i, i + to * j] += be * to * v / h
            A[i, i] += al
            r[i] = ga
    return x, np.linalg.solve(A, r)


# ------------------------------------------------------------------------------------------ volumes, elements


def volumes(p, n, mean=False):
    h = (p["x1"] - p["x0"]) / n
    x = np.linspace(p["x0"], p["x1"], n + 1)
    k = (p["k"](x[:-1]) + p["k"](x[1:])) / 2 if mean else p["k"]((x[:-1] + x[1:]) / 2)
    k = k * ONE(x[:-1])
    A, r = np.zeros((n + 1, n + 1)), np.zeros(n + 1)
    size = np.full(n + 1, h)
    size[0] = size[-1] = h / 2
    for i in range(n):
        A[i, i] -= k[i] / h
        A[i, i + 1] += k[i] / h
        A[i + 1, i + 1] -= k[i] / h
        A[i + 1, i] += k[i] / h
    A -= np.diag(p["s"](x) * size)
    r = p["f"](x) * size
    finish(p, x, A, r)
    return x, np.linalg.solve(A, r)


def finish(p, x, A, r):
    """The ends: a value, or the flux k y' with y' = (ga - al y)/be."""
    for i, (al, be, ga), sign in ((0, p["ends"][0], -1), (len(x) - 1, p["ends"][1], 1)):
        if be == 0:
            A[i], r[i] = 0, ga
            A[i, i] = al
        else:
            k = float(p["k"](x[i]))
            A[i, i] -= sign * k * al / be
            r[i] -= sign * k * ga / be


def cells(p, n):
    h = (p["x1"] - p["x0"]) / n
    c = p["x0"] + h * (np.arange(n) + 0.5)
    x = np.concatenate([[p["x0"]], c, [p["x1"]]])
    A, r = np.zeros((n + 2, n + 2)), np.zeros(n + 2)
    for i in range(n + 1):
        face = p["x0"] + h * i
        g = float(p["k"](face)) / (x[i + 1] - x[i])
        A[i, i] -= g
        A[i, i + 1] += g
        A[i + 1, i + 1] -= g
        A[i + 1, i] += g
    A[1:-1, 1:-1] -= np.diag(p["s"](c) * h)
    r[1:-1] = p["f"](c) * h
    finish(p, x, A, r)
    return x, np.linalg.solve(A, r)


def elements(p, n, lumped=False):
    h = (p["x1"] - p["x0"]) / n
    x = np.linspace(p["x0"], p["x1"], n + 1)
    A, r = np.zeros((n + 1, n + 1)), np.zeros(n + 1)
    t, w = np.polynomial.legendre.leggauss(5)
    t, w = (1 + t) / 2, w / 2
    phi, slope = np.array([1 - t, t]), np.array([-1, 1]) / h
    for e in range(n):
        q = x[e] + h * t
        k, s, a = (p[name](q) * ONE(q) for name in ("k", "s", "a"))
        for i in range(2):
            for j in range(2):
                A[e + i, e + j] += h * np.sum(w * (-k * slope[i] * slope[j] - s * phi[i] * phi[j] + a * phi[i] * slope[j]))
            if not lumped:
                r[e + i] += h * np.sum(w * p["f"](q) * phi[i])
            else:
                r[e + i] += h / 2 * p["f"](x[e + i])
    finish(p, x, A, r)
    return x, np.linalg.solve(A, r)


# ---------------------------------------------------------------------------------------------- shooting


def shooting(p, n, method):
    h = (p["x1"] - p["x0"]) / n
    x = np.linspace(p["x0"], p["x1"], n + 1)

    def g(x, z):
        return np.array([z[1], (p["s"](x) * z[0] + p["f"](x) - (p["dk"](x) + p["a"](x)) * z[1]) / p["k"](x)], dtype=float)

    def march(z):
        out = [np.array(z, float)]
        for i in range(n):
            z, at = out[-1], np.float64(x[i])
            if method == "euler":
                new = z + h * g(at, z)
            elif method == "heun":
                k1 = g(at, z)
                new = z + h / 2 * (k1 + g(at + h, z + h * k1))
            elif method == "rk4":
                k1 = g(at, z)
                k2 = g(at + h / 2, z + h / 2 * k1)
                k3 = g(at + h / 2, z + h / 2 * k2)
                new = z + h / 6 * (k1 + 2 * k2 + 2 * k3 + g(at + h, z + h * k3))
            else:  # implicit, of a linear equation
                th = {"implicit": 1, "trapezoid": 0.5}[method]
                c = g(at + h, np.zeros(2))
                M = np.array([g(at + h, e) - c for e in np.eye(2)]).T
                new = np.linalg.solve(np.eye(2) - h * th * M, z + h * th * c + h * (1 - th) * g(at, z))
            out.append(new)
        return np.array(out)

    base, one, two = march([0, 0]), march([1, 0]), march([0, 1])
    one, two = one - base, two - base
    A, r = np.zeros((2, 2)), np.zeros(2)
    for row, (i, (al, be, ga)) in enumerate(((0, p["ends"][0]), (n, p["ends"][1]))):
        A[row] = [al * v[i, 0] + be * v[i, 1] for v in (one, two)]
        r[row] = ga - al * base[i, 0] - be * base[i, 1]
    c = np.linalg.solve(A, r)
    return x, (base + c[0] * one + c[1] * two)[:, 0]


# ------------------------------------------------------------------------------------------ other problems


def beam(n):
    """w'''' + 40 w = 24, w(0) = w'(0) = 0, w''(1) = w'''(1) = 0, with two fictitious points at each end."""
    h = 1 / n
    N = n + 5
    A, r = np.zeros((N, N)), np.zeros(N)
    for j in range(n + 1):
        A[j, j:j + 5] = np.array([1, -4, 6, -4, 1]) / h**4
        A[j, j + 2] += 40
        r[j] = 24
    A[n + 1, 2] = 1
    A[n + 2, [1, 3]] = [-1, 1]
    A[n + 3, n + 1:n + 4] = [1, -2, 1]
    A[n + 4, n:n + 5] = [-1, 2, 0, -2, 1]
    return np.linspace(0, 1, n + 1), np.linalg.solve(A, r)[2:-2]


def rod(n):
    """y'' + y'/x = 4 y - 4 on 0 ... 1, y'(0) = 0, y(1) = 3: 2 y'' in the middle."""
    h = 1 / n
    x = np.linspace(0, 1, n + 1)
    A, r = np.zeros((n + 1, n + 1)), np.full(n + 1, -4.0)
    A[0, :2] = [-4 / h**2 - 4, 4 / h**2]
    for i in range(1, n):
        A[i, i - 1:i + 2] = [1 / h**2 - 1 / (2 * h * x[i]), -2 / h**2 - 4, 1 / h**2 + 1 / (2 * h * x[i])]
    A[n], r[n] = 0, 3
    A[n, n] = 1
    return x, np.linalg.solve(A, r)


def pellet(n):
    """c'' = 3 c^2, c'(0) = 0, c(1) = 1: mirrored, by Newton's method."""
    h = 1 / n
    c = np.ones(n + 1)
    for _ in range(50):
        J, F = np.zeros((n + 1, n + 1)), np.zeros(n + 1)
        F[0] = 2 * (c[1] - c[0]) / h**2 - 3 * c[0]**2
        J[0, :2] = [-2 / h**2 - 6 * c[0], 2 / h**2]
        for i in range(1, n):
            F[i] = (c[i - 1] - 2 * c[i] + c[i + 1]) / h**2 - 3 * c[i]**2
            J[i, i - 1:i + 2] = [1 / h**2, -2 / h**2 - 6 * c[i], 1 / h**2]
        F[n] = c[n] - 1
        J[n, n] = 1
        c = c - np.linalg.solve(J, F)
    return np.linspace(0, 1, n + 1), c


def exchanger(n):
    """u' = -2 (u - w), w' = -0.8 (u - w), u(0) = 90, w(1.5) = 15 by Euler's method."""
    h = 1.5 / n
    M = np.eye(2) + h * np.array([[-2, 2], [-0.8, 0.8]])
    a, b = np.linalg.matrix_power(M, n) @ [90, 0], np.linalg.matrix_power(M, n) @ [0, 1]
    z = [np.array([90, (15 - a[1]) / b[1]])]
    for _ in range(n):
        z.append(M @ z[-1])
    return np.linspace(0, 1.5, n + 1), np.array(z)


def decay(n, method):
    """y' = -3 y + 3 cos x, y(0) = 0.2 on 0 ... 2.5."""
    h = 2.5 / n
    x = np.linspace(0, 2.5, n + 1)
    y = [0.2]
    for i in range(n):
        a, b = 3 * np.cos(x[i]), 3 * np.cos(x[i + 1])
        y.append({"euler": y[i] + h * (a - 3 * y[i]), "implicit": (y[i] + h * b) / (1 + 3 * h),
                  "trapezoid": (y[i] * (1 - 1.5 * h) + h / 2 * (a + b)) / (1 + 1.5 * h)}[method])
    return x, np.array(y)


SHEETS = {name: p["sheet"] for name, p in P.items()}
SHEETS.update({
    "beam": "w'''' + 40 w = 24\nw(0) = w'(0) = 0\nw''(1) = w'''(1) = 0",
    "rod": "y'' + y'/x = 4 y - 4\ny'(0) = 0\ny(1) = 3",
    "pellet": "c'' = 3 c^2\nc'(0) = 0\nc(1) = 1",
    "exchanger": "u' = -2 (u - w)\nw' = -0.8 (u - w)\nu(0) = 90, w(1.5) = 15",
    "decay": "y' = -3 y + 3 cos(x)\ny(0) = 0.2\n0 <= x <= 2.5",
})

tables = []


def table(sheet, method, order, n, solution, digits, every=1):
    x, y = solution
    y = y.reshape(len(x), -1)
    lines = ["\t".join(["%.8g" % a] + ["%.*f" % (digits, v) for v in b]) for a, b in zip(x[::every], y[::every])]
    tables.append(dict(sheet=sheet, method=method, order=order, steps=n, table="\n".join(lines) + "\n"))


STEPS = [4, 5, 8, 10, 20, 40]
for name, p in P.items():
    size = 0 if max(abs(p["ends"][0][2]), abs(p["ends"][1][2])) > 10 else 2
    sloped = p["ends"][0][1] != 0 or p["ends"][1][1] != 0
    own = name in ("drifting", "varying")
    for n in STEPS:
        d = size + {4: 2, 5: 3, 8: 2, 10: 4, 20: 3, 40: 4}[n]
        every = 2 if n in (20, 40) else 1
        table(name, "mirrored" if sloped else "differences", 2, n, differences(p, n), d, every)
        if sloped:
            table(name, "two-point ends", 1, n, differences(p, n, "two"), d)
            table(name, "three-point ends", 2, n, differences(p, n, "three"), d)
            table(name, "four-point ends", 2, n, differences(p, n, "four"), d)
        if own:
            for within in ("backward", "forward"):
                table(name, within, 1, n, differences(p, n, "mirrored", within), d)
            table(name, "elements", 2, n, elements(p, n), d)
        else:
            table(name, "volumes", 2, n, volumes(p, n), d)
            table(name, "volumes, means", 2, n, volumes(p, n, True), d, every)
            table(name, "cells", 2, n, cells(p, n), d)
            table(name, "elements", 2, n, elements(p, n), d)
            table(name, "elements, lumped load", 2, n, elements(p, n, True), d, every)
        for method, order in (("euler", 1), ("implicit", 1), ("trapezoid", 2), ("heun", 2), ("rk4", 4)):
            if n < 40 and (n < 20 or method != "rk4"):
                table(name, method, order, n, shooting(p, n, method), d)
for n in STEPS:
    table("beam", "fictitious points", 2, n, beam(n), 4)
    table("rod", "mirrored", 2, n, rod(n), 4)
    table("pellet", "mirrored", 2, n, pellet(n), 4)
    table("exchanger", "euler", 1, n, exchanger(n), 2)
    for method, order in (("euler", 1), ("implicit", 1), ("trapezoid", 2)):
        table("decay", method, order, n, decay(n, method), 4)

if __name__ == "__main__":
    out = dict(about="written by make_low_order.py", sheets=SHEETS, tables=tables)
    pathlib.Path(__file__).with_name("low_order.json").write_text(json.dumps(out, indent=0, ensure_ascii=False) + "\n")
    print(len(tables), "tables")
