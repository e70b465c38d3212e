#!/usr/bin/env python3
"""Computes every reference number of literature.json, and checks each one.

Run:  python3 make_literature.py            (a few minutes on two cores; writes literature.json beside this file)
      python3 make_literature.py word ...   (only the problems whose id has a word in it; prints, writes nothing)

Needs python3-mpmath (1.2 or newer).  As in make_references.py no boundary value problem is solved by a packaged solver.
A problem has a closed form, or is shot at with Taylor series in many digits, once from each end (singular ends: a power
series there, joined at two different points).  Whatever the way, the result is substituted into the text of its own sheet.
"""
import json
import math
import multiprocessing
import os
import sys
import time

import mpmath as mp
from mpmath import mpf

import make_references as ref
from make_references import cap, number, pts, r12, inner_points, shoot, table
from sheetcheck import Env, Path, Series, Sheet, Sized, evaluate, series_call

HERE = os.path.dirname(os.path.abspath(__file__))
ALL = []
# Closed forms that Taylor shooting confirms as well; for the others the substitution into the sheet stands alone.
SHOOT_TOO = ("radiating-tip", "fifth-order", "burgers-shock")
ref.can_shoot = lambda p, sheet, b: p["id"] in SHOOT_TOO


# Not in literature.json: the references of these have not passed their checks (carrier: the guess leads to another of its answers).
# They are computed when named on the command line.
NOT_YET = ("carrier", "lagerstrom-cole-shock", "troesch-mu-20", "swirling-flow", "injection-through-slot", "rotating-disc", "free-convection", "measles",
           "eigen-steep-well", "eigen-coffey-evans", "eigen-quartic-oscillator", "eigen-latzko")


def problem(**kw):
    ALL.append(kw)


def residuals(sheet, sol, found, inner):
    """As in make_references.py; a condition whose terms all vanish (y(1) = 0) is measured against 1e-8."""
    worst, _ = ref.residuals(sheet, sol, found, inner)
    worst_c = mpf(0)
    for a, b, _ in sheet.conditions:
        env = Env(sheet, point=lambda u, k, x: sol(u, k, mpf(ref.FAR) if mp.isinf(x) else x), found=found, sized=True)
        d = Sized.of(evaluate(a, env)) - Sized.of(evaluate(b, env))
        worst_c = max(worst_c, abs(d.v) / max(d.m, mpf(10) ** -8))
    return worst, worst_c


def values(sheet):
    return [(u, k) for u in sheet.unknowns for k in range(sheet.orders[u])]


def secant(f, a, b, digits):
    """A root near a and b, when a step is below that many digits of it."""
    fa, fb = f(a), f(b)
    for _ in range(20):
        if fa == fb:
            return b
        a, b, fa = b, b - fb * (b - a) / (fb - fa), fb
        if abs(b - a) <= mpf(10) ** -digits * max(1, abs(b)):
            return b
        fb = f(b)
    raise ValueError("the secant method does not converge")


# ------------------------------------------------------------ shooting, twice

def shot(p):
    """From the left end with p['free'] = {"f''": first guess} (the other values there from p['known'], else 0), then from the right
    end, every value there unknown, at another order and precision."""
    sheet = Sheet(p["sheet"], p.get("var", "x"))
    digits = p.get("digits", 40)
    with mp.workdps(digits):
        a, b = sheet.ends()
        if mp.isinf(b):
            b = mpf(p["far"])
        names = values(sheet)
        free, known = p["free"], p.get("known", {})
        fixed = {n: v() for n, v in known.items()}
        order = list(free)
        found = sorted(sheet.sought)

        def start(s):
            out = {}
            for u, k in names:
                n = u + "'" * k
                v = s[order.index(n)] if n in order else fixed.get(n, mpf(0))
                out.setdefault(u, []).append(v / mp.factorial(k))
            return out
        search = [(n, order.index(n)) for n in found]
        s, first = shoot(sheet, a, b, start, [mpf(v) for v in free.values()], digits, digits, search=search)
        got = {n: s[i] for n, i in search}
    rows, scale = table(sheet, first, p["at"])
    if p.get("second", True):
        second_digits = digits - 8
        near = 1 + mpf(10) ** -22
        begin = [first(u, k, b) * near for u, k in names] + [got[n] * near for n in found]

        def back(s):
            out = {}
            for (u, k), v in zip(names, s):
                out.setdefault(u, []).append(v / mp.factorial(k))
            return out
        sizes = [max(mpf(scale[u + "'" * k]), mpf(10) ** -12) for u, k in names] + [abs(got[n]) for n in found]
        t, second = shoot(sheet, b, a, back, begin, second_digits - 4, second_digits,
                          search=[(n, len(names) + i) for i, n in enumerate(found)], sizes=sizes)
        how = "Taylor shooting in %d digits from the left end and in %d digits from the right end agree" % (digits, second_digits)
    else:  # not to be had from the far end: another far point, order and precision
        with mp.workdps(digits + 8):
            t, second = shoot(sheet, a, mpf(p["farther"]), start, s, digits, digits + 8, search=search)
        how = "Taylor shooting in %d digits to %s and in %d digits to %s agree" % (digits, p["far"], digits + 8, p["farther"])
    worst = mpf(0)
    for x in p["at"]:
        for u, k in names:
            x1 = min(max(mpf(x), a), b)
            worst = max(worst, abs(first(u, k, x1) - second(u, k, x1)) / max(mpf(scale[u + "'" * k]), mpf(10) ** -20))
    return sheet, first, got, worst, how


def centre(f, a, p, search=None):
    """y'' + (a/x) y' + f(y) = 0 from x = 0 on: a power series there, then the sheet's own Taylor series. The unknown number is y(0),
    or the sought number named search with y(0) = 1. Joined at two different points with different precision."""
    sheet = Sheet(p["sheet"], p.get("var", "x"))
    u = sheet.unknowns[0]

    def solve(digits, join, guess):
        with mp.workdps(digits):
            end = sheet.ends()[1]

            def run(s):
                found = {search: s} if search else {}
                y = Series(start=[mpf(1) if search else s, mpf(0)])
                g = f(sheet, y, found)
                y.rule = lambda k: -g[k - 2] / (k * (k - 1 + a))
                c = y.head(2 * digits)
                path = Path(sheet, join, {u: [Path._value(c, mpf(join), k) / mp.factorial(k) for k in range(2)]}, end, digits, found)
                return (lambda v, k, x: Path._value(c, x, k) if x <= join else path(v, k, x)), found

            def miss(s):
                sol, found = run(s)
                left, right, _ = sheet.conditions[-1]
                env = Env(sheet, point=sol, found=found)
                return evaluate(left, env) - evaluate(right, env)
            s = secant(miss, mpf(guess), mpf(guess) * (1 + mpf(10) ** -9), 0.6 * digits)
            return run(s)
    near, far = p.get("joins", ("0.125", "0.25"))
    first, found = solve(40, mpf(far), p["guess"])
    second, found2 = solve(32, mpf(near), p["guess"])
    worst = max(abs(first(u, k, mpf(x)) - second(u, k, mpf(x))) for x in p["at"] for k in range(2))
    for n in found:
        worst = max(worst, abs(found[n] - found2[n]))
    return sheet, first, found, worst, "power series at 0 joined to Taylor series at %s in 40 digits and at %s in 32 digits agree" % (far, near)


def thomas_fermi(p):
    """A series in sqrt(x) from 0 on, then Taylor series: with s = sqrt(x), y_ss - y_s/s = 4 s y^(3/2)."""
    sheet = Sheet(p["sheet"])

    def solve(digits, join):
        with mp.workdps(digits):
            def run(B):
                y = Series(start=[mpf(1), mpf(0), B])
                g = y ** mpf("1.5")
                y.rule = lambda n: 4 * g[n - 3] / (n * (n - 2))
                c = y.head(4 * digits)
                s0 = mp.sqrt(join)

                def near(k, x):
                    s = mp.sqrt(x)
                    if k == 0:
                        return Path._value(c, s, 0)
                    if x == 0:
                        return B
                    d1, d2 = Path._value(c, s, 1), Path._value(c, s, 2)
                    return d1 / (2 * s) if k == 1 else (d2 - d1 / s) / (4 * x)
                path = Path(sheet, join, {"y": [near(0, join), near(1, join)]}, mpf(1), digits)
                return lambda u, k, x: near(k, x) if x <= join else path(u, k, x)
            B = secant(lambda B: run(B)("y", 0, mpf(1)) - mpf("0.4"), mpf(p["guess"]), mpf(p["guess"]) + mpf(10) ** -9, 0.6 * digits)
            return run(B)
    first, second = solve(40, mpf("0.03")), solve(32, mpf("0.015"))
    worst = max(abs(first("y", k, mpf(x)) - second("y", k, mpf(x))) for x in p["at"] for k in range(2))
    return sheet, first, {}, worst, "series in sqrt(x) joined to Taylor series at 0.03 in 40 digits and at 0.015 in 32 digits agree"


def check(p):
    """Returns the entry and a note; raises when something does not hold."""
    if p["kind"] == "eigenvalue":
        return check_modes(p)
    if "y" in p:
        how = p.get("how", "closed form in 60 digits")
        rows, scale, note = ref.check_closed(p)
        found = p.get("found", {})
    else:
        sheet, sol, found, worst, how = p["by"](p)
        if "how" in p:
            how = p["how"]
        assert worst < mpf(10) ** -18, (p["id"], "the two ways differ", mp.nstr(worst, 3))
        rows, scale = table(sheet, sol, p["at"])
        a, b = sheet.ends(found)
        top = mpf(p["far"]) if mp.isinf(b) else b
        inner = [x for x in inner_points(sheet, found, p["at"], far=p["at"][-1]) if x < top]
        res, con = residuals(sheet, lambda u, k, x: sol(u, k, min(x, top)), found, inner)
        assert res < mpf(10) ** -18 and con < mpf(10) ** -17, (p["id"], mp.nstr(res, 3), mp.nstr(con, 3))
        for f in p.get("more", ()):
            f(sol, found)
        note = "two ways agree to %s, eq %s, cond %s" % tuple(mp.nstr(v, 2) for v in (worst, res, con))
    e = {"how": how, "at": rows}
    if found:
        e["found"] = {k: number(v) for k, v in found.items()}
    return e, scale, note


# ------------------------------------------------------------------ eigenvalues

def known(*wanted):
    """Published values: each text is compared to the digits that it has."""
    def f(lams):
        for i, t in enumerate(wanted):
            digits = len(t.split(".")[1])
            assert abs(lams[i] - mpf(t)) <= mpf("1.01") * mpf(10) ** -digits, (i, t, mp.nstr(lams[i], 20))
    return f


def check_modes(p):
    sheet = Sheet(p["sheet"], p.get("var", "x"))
    name, u = list(sheet.sought)[0], sheet.unknowns[0]
    a, b = p.get("window") or sheet.ends()
    lams, worst, worst_c, first = [], mpf(0), mpf(0), None
    for i in range(5):
        lam, f = p["mode"](sheet, i)
        lams.append(lam)
        big = largest(lambda x: f(u, 0, x), a, b)
        sol = (lambda f, big: lambda v, k, x: f(v, k, x) / big)(f, big)
        inner = inner_points(sheet, {name: lam}, p["at"]) if "window" not in p else [mpf(x) for x in p["at"]] + [mpf(j) / 7 for j in range(-14, 15)]
        res, con = residuals(sheet, sol, {name: lam}, inner) if "window" not in p else (residual_inside(sheet, sol, {name: lam}, inner), ends(sol, u, a, b))
        worst, worst_c = max(worst, res), max(worst_c, con)
        probe = sol(u, 0, a)
        if abs(probe) < mpf(10) ** -30:
            probe = sol(u, 0, a + (b - a) / 10 ** 4)
        assert probe > 0, (p["id"], i, "sign", probe)
        vs = [sol(u, 0, a + (b - a) * (mpf(j) + mpf("0.37")) / 397) for j in range(397)]
        turns = sum(1 for s, t in zip(vs, vs[1:]) if s * t < 0)
        assert not p.get("count_zeros", True) or turns == i, (p["id"], i, "has", turns, "zeros")
        if i == 0:
            first = sol
    assert all(s < t for s, t in zip(lams, lams[1:]))
    assert worst < mpf(10) ** -22 and worst_c < mpf(10) ** -22, (p["id"], mp.nstr(worst, 3), mp.nstr(worst_c, 3))
    note = "eq %s, cond %s" % (mp.nstr(worst, 2), mp.nstr(worst_c, 2))
    if "second" in p:
        off = mpf(0)
        for i, v in enumerate(lams):
            off = max(off, abs(v - p["second"](sheet, i, v)) / max(1, abs(v)))
        assert off < mpf(10) ** -20, (p["id"], "second", mp.nstr(off, 3))
        note += ", second way %s" % mp.nstr(off, 2)
    if "known" in p:
        p["known"](lams)
    rows, scale = table(sheet, first, p["at"])
    return {"how": p["how"], "at": rows, "parameter": name, "eigenvalues": [number(v) for v in lams]}, scale, note


def residual_inside(sheet, sol, found, inner):
    keep = sheet.conditions
    sheet.conditions = []
    try:
        return residuals(sheet, sol, found, inner)[0]
    finally:
        sheet.conditions = keep


def ends(sol, u, a, b):
    """On an unbounded interval the mode must have died out at both ends of the window."""
    return max(abs(sol(u, 0, mpf(a))), abs(sol(u, 0, mpf(b))))


def largest(f, a, b):
    """Largest |f| on [a, b] by golden sections around the best of many points."""
    a, b = mpf(a), mpf(b)
    n = 240
    xs = [a + (b - a) * j / n for j in range(n + 1)]
    j = max(range(n + 1), key=lambda j: abs(f(xs[j])))
    lo, hi = xs[max(j - 1, 0)], xs[min(j + 1, n)]
    g = (mp.sqrt(5) - 1) / 2
    c, d = hi - g * (hi - lo), lo + g * (hi - lo)
    fc, fd = abs(f(c)), abs(f(d))
    for _ in range(90):  # the value is right to twice the digits of the place
        if fc > fd:
            hi, d, fd = d, c, fc
            c = hi - g * (hi - lo)
            fc = abs(f(c))
        else:
            lo, c, fc = c, d, fd
            d = lo + g * (hi - lo)
            fd = abs(f(d))
    return max(fc, fd, abs(f(a)), abs(f(b)))


def formula(f):
    """A closed mode as a function of unknown, derivative and x."""
    memo = {}

    def sol(u, k, x):
        if (k, x) not in memo:
            memo[k, x] = f(x) if k == 0 else mp.diff(f, x, k)
        return memo[k, x]
    return sol


def modes_by_path(guesses, left, digits=40, right=None):
    """Modes by Taylor shooting from the left end, from start values left; the eigenvalue makes the last condition hold."""
    def find(sheet, i, digits, order, end, begin, condition, guess):
        name, u = list(sheet.sought)[0], sheet.unknowns[0]
        with mp.workdps(digits):
            x0, x1 = end

            def miss(lam):
                path = Path(sheet, x0, {u: begin(lam)}, x1, order, {name: lam})
                env = Env(sheet, point=path, found={name: lam})
                l, r, _ = condition
                return evaluate(l, env) - evaluate(r, env)
            g = mpf(guess)
            lam = secant(miss, g, g + mpf(10) ** -12 * max(1, abs(g)), 0.6 * digits)
            return lam, Path(sheet, x0, {u: begin(lam)}, x1, order, {name: lam})

    def mode(sheet, i):
        a, b = sheet.ends()
        return find(sheet, i, digits, digits, (a, b), left, sheet.conditions[-1], guesses[i])

    def second(sheet, i, lam):
        a, b = sheet.ends()
        return find(sheet, i, digits - 6, digits - 8, (b, a), right, sheet.conditions[0], lam * (1 + mpf(10) ** -13))[0]
    return mode, second


# -------------------------------------------------------------------- problems

AMR = ("U. M. Ascher, R. M. M. Mattheij and R. D. Russell, Numerical Solution of Boundary Value Problems for Ordinary Differential "
       "Equations (1988/1995), %s (from memory)")


def shocks():
    kc = "J. Kevorkian and J. D. Cole, Perturbation Methods in Applied Mathematics (1981), the Lagerstrom-Cole model equation (from memory)"
    problem(id="lagerstrom-cole-corners", kind="layer", source=kc, title="Two corners of a model shock equation",
            sheet="eps y'' + y y' - y = 0\ny(0) = -1/3\ny(1) = 1/3\neps = 0.01", by=shot, digits=46,
            free={"y'": "0.9986209134458354"}, known={"y": lambda: -mpf(1) / 3}, at=pts(0, 1, 13))
    problem(id="lagerstrom-cole-shock", kind="layer", source=kc, title="A shock inside, whose place is not given",
            sheet="eps y'' + y y' - y = 0\ny(0) = -1\ny(1) = 1.5\neps = 0.02", by=shot, digits=46,
            free={"y'": "1.0009579177051868"}, known={"y": lambda: -mpf(1)}, at=cap(pts(0, 1, 9, mid=0.25, width=0.03)))
    problem(id="burgers-shock", kind="layer", title="A standing shock between two streams (Burgers)",
            source="J. M. Burgers, A mathematical model illustrating the theory of turbulence, Adv. Appl. Mech. 1 (1948) (from memory; verified by substitution)",
            sheet="eps y'' + y y' = 0\ny(-1) = -tanh(5)\ny(1) = tanh(5)\neps = 0.1", at=cap(pts(-1, 1, 9, mid=0, width=0.1)),
            y={"y": lambda x: mp.tanh(5 * x)})
    problem(id="carrier", kind="layer", title="Carrier's problem: one of its many answers, symmetric",
            source="C. M. Bender and S. A. Orszag, Advanced Mathematical Methods for Scientists and Engineers (1978), section 9.7 (from memory)",
            sheet="eps^2 y'' + 2 (1 - x^2) y + y^2 = 1\ny'(0) = 0\ny(1) = 0\neps = 0.1\nguess y = -0.75", by=shot, digits=46, free={"y": "-0.7453111287657798"},
            at=cap(pts(0, 1, 9, right=0.1)))
    problem(id="troesch-mu-20", kind="nonlinear", title="Troesch's problem, mu = 20",
            source="S. M. Roberts and J. S. Shipman, On the closed form solution of Troesch's problem, J. Comput. Phys. 21 (1976) (from memory)",
            sheet="y'' = mu*sinh(mu*y)\ny(0) = 0\ny(1) = 1\nmu = 20", by=shot, digits=46, free={"y'": "1.6487731814170023e-08"},
            at=cap(pts(0, 1, 8, right=0.02)))
    problem(id="interior-layer-cubic", kind="layer", title="Layer between two stable states",
            source="P. C. Fife, Semilinear elliptic boundary value problems with small parameters, Arch. Rational Mech. Anal. 52 (1973): the type (from memory)",
            sheet="eps^2 y'' = (y - x/2) (y^2 - 1)\ny(-1) = -1\ny(1) = 1\neps = 0.15\nguess y = tanh(5 x)", by=shot, digits=46,
            free={"y'": "0.010435842726325922"}, known={"y": lambda: -mpf(1)}, at=cap(pts(-1, 1, 11, mid=0, width=0.1)))


def flows():
    problem(id="swirling-flow", kind="system", title="Flow between two discs that turn against each other",
            source=AMR % "the swirling flow III example", by=shot, digits=46,
            sheet="eps f'''' + f f''' + g g' = 0\neps g'' + f g' - f' g = 0\nf(0) = 0\nf'(0) = 0\nf(1) = 0\nf'(1) = 0\ng(0) = -1\ng(1) = 1\neps = 0.01",
            free={"f''": "2.9827593266916983", "f'''": "-45.389469514118886", "g'": "3.5748505422666312"}, known={"g": lambda: mpf(-1)}, at=pts(0, 1, 11))
    Ha = mpf(50)
    problem(id="hartmann-50", kind="system", title="Conducting fluid between two plates in a magnetic field (Hartmann number 50)",
            source="J. Hartmann, Hg-dynamics I, Mat.-Fys. Medd. Danske Vid. Selsk. 15 no. 6 (1937) (from memory; verified by substitution)",
            sheet="u'' + Ha b' = -1\nb'' + Ha u' = 0\nu(-1) = 0\nu(1) = 0\nb(-1) = 0\nb(1) = 0\nHa = 50", at=cap(pts(-1, 1, 9, left=0.02)),
            y={"u": lambda x: (mp.cosh(Ha) - mp.cosh(Ha * x)) / (Ha * mp.sinh(Ha)), "b": lambda x: (mp.sinh(Ha * x) / mp.sinh(Ha) - x) / Ha})
    problem(id="jeffery-hamel", kind="nonlinear", title="Flow in a wedge (Jeffery-Hamel), half-angle 0.1, Reynolds number 50",
            source="G. Hamel, Spiralfoermige Bewegungen zaeher Fluessigkeiten, Jahresber. Dtsch. Math.-Ver. 25 (1917) (from memory)", by=shot,
            sheet="f''' + 2 alpha Re f f' + 4 alpha^2 f' = 0\nf(0) = 1\nf'(0) = 0\nf(1) = 0\nalpha = 0.1\nRe = 50",
            free={"f''": "-3.8330189236272116"}, known={"f": lambda: mpf(1)}, at=pts(0, 1, 11))
    problem(id="injection-through-slot", kind="system", title="Fluid pressed through one side of a long channel, with a sought pressure number",
            source=AMR % "the fluid injection example", by=shot, digits=46,
            sheet="f''' - R (f'^2 - f f'') + R A = 0\nh'' + R f h' + 1 = 0\nT'' + P f T' = 0\nf(0) = 0\nf'(0) = 0\nf(1) = 1\nf'(1) = 0\n"
                  "h(0) = 0\nh(1) = 0\nT(0) = 0\nT(1) = 1\nR = 100\nP = 70\nA = ?",
            free={"f''": "26.23718466573528", "h'": "0.1898188804619445", "T'": "6.357693484178951", "A": "2.760631414051184"}, at=pts(0, 1, 11))
    problem(id="stretching-sheet", kind="infinite", title="Flow drawn along by a stretching sheet",
            source="L. J. Crane, Flow past a stretching plate, Z. Angew. Math. Phys. 21 (1970) (from memory; verified by substitution)",
            sheet="f''' + f f'' - f'^2 = 0\nf(0) = 0\nf'(0) = 1\nf'(inf) = 0", var="x", at=[0.0, 0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0],
            y={"f": lambda x: 1 - mp.exp(-x)})

    def disc_known(sol, found):
        assert abs(sol("F", 1, mpf(0)) - mpf("0.510232618867")) < mpf("1e-11")
        assert abs(sol("G", 1, mpf(0)) + mpf("0.615922014399")) < mpf("1e-11")
    problem(id="rotating-disc", kind="infinite", var="z", far=60, farther=66, title="Fluid above a turning disc (von Karman)", second=False,
            source="W. G. Cochran, The flow due to a rotating disc, Proc. Camb. Phil. Soc. 30 (1934): F'(0) = 0.5102, G'(0) = -0.6159 (from memory)",
            sheet="F'' = F^2 - G^2 + H F'\nG'' = 2 F G + H G'\nH' = -2 F\nF(0) = 0\nG(0) = 1\nH(0) = 0\nF(inf) = 0\nG(inf) = 0",
            by=shot, digits=40, free={"F'": "0.5102326188672845", "G'": "-0.6159220143993538"}, known={"G": lambda: mpf(1)},
            at=[0.0, 0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0], more=[disc_known])
    problem(id="free-convection", kind="infinite", var="s", far=80, farther=88, second=False,
            title="Warm air rising along a wall, Prandtl number 0.72",
            source="S. Ostrach, An analysis of laminar free-convection flow and heat transfer about a flat plate, NACA Report 1111 (1953): "
                   "f''(0) = 0.676, T'(0) = -0.5046 (from memory)",
            sheet="f''' + 3 f f'' - 2 f'^2 + T = 0\nT'' + 3 Pr f T' = 0\nf(0) = 0\nf'(0) = 0\nT(0) = 1\nf'(inf) = 0\nT(inf) = 0\nPr = 0.72",
            by=shot, digits=40, free={"f''": "0.6760195301934121", "T'": "-0.5046341858280026"}, known={"T": lambda: mpf(1)},
            at=[0.0, 0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0])


def reaction():
    fk = "D. A. Frank-Kamenetskii, Diffusion and Heat Transfer in Chemical Kinetics (1969), chapter VII (from memory; verified by substitution)"
    for tag, sign, guess in (("lower", -1, ""), ("upper", 1, "\nguess y = 5.3 (1 - r^2)")):
        B = 3 + sign * 2 * mp.sqrt(2)  # 8 B/(1 + B)^2 = 1
        problem(id="self-heating-cylinder-" + tag, kind="singular" if sign < 0 else "multiple", source=fk, var="r",
                title="Self-heating cylinder (Frank-Kamenetskii), delta = 1, %s answer" % tag,
                sheet="y'' + (1/r) y' + delta exp(y) = 0\ny'(0) = 0\ny(1) = 0\ndelta = 1" + guess, at=pts(0, 1, 9),
                y={"y": lambda r, B=B: 2 * mp.log((1 + B) / (1 + B * r * r))})

    def exp_(sheet, y, found):
        return 3 * series_call("exp", y)
    problem(id="self-heating-sphere", kind="singular", source=fk, var="r", title="Self-heating sphere (Frank-Kamenetskii), delta = 3",
            sheet="y'' + (2/r) y' + delta exp(y) = 0\ny'(0) = 0\ny(1) = 0\ndelta = 3", by=lambda p: centre(exp_, 2, p), guess="0.9584223804322146", at=pts(0, 1, 9))

    def poly(sheet, y, found):
        return (y ** 3) * Series.of(found["R"] ** 2)
    problem(id="gas-ball-index-3", kind="singular", var="s", title="Radius of a polytropic ball of gas of index 3 (Lane-Emden)",
            source="G. P. Horedt, Seven-digit tables of Lane-Emden functions, Astrophys. Space Sci. 126 (1986): 6.896848619 (from memory)",
            sheet="y'' + (2/s) y' + R^2 y^3 = 0\ny(0) = 1\ny'(0) = 0\ny(1) = 0\nR = ? near 7", by=lambda p: centre(poly, 2, p, "R"), joins=("0.06", "0.1"), guess="6.896848619376959",
            at=pts(0, 1, 9), more=[lambda sol, found: known("6.896848619")([found["R"]])])

    def memb(sheet, y, found):
        return 2 * (Series.of(1) / (y * y))
    problem(id="inflated-membrane", kind="singular", title="Round membrane under even pressure",
            source=AMR % "the circular membrane (Foeppl-Hencky)" , sheet="y'' + (3/x) y' + 2/y^2 = 0\ny'(0) = 0\ny(1) = 1",
            by=lambda p: centre(memb, 3, p), guess="1.1953903120494525", at=pts(0, 1, 9))

    def weisz(sheet, y, found):
        e = Series.of(1) + Series.of(mpf(1) / 10) * (Series.of(1) - y)
        return -(y * series_call("exp", (Series.of(2) * (Series.of(1) - y)) / e))
    problem(id="warm-pellet", kind="singular", title="Filter pellet that warms itself (Thiele modulus 1)",
            source="P. B. Weisz and J. S. Hicks, The behaviour of porous catalyst particles in view of internal mass and heat diffusion effects, Chem. Eng. Sci. 17 (1962) (from memory)",
            sheet="y'' + (2/x) y' = phi^2 y exp(gam beta (1 - y)/(1 + beta (1 - y)))\ny'(0) = 0\ny(1) = 1\nphi = 1\nbeta = 0.1\ngam = 20",
            by=lambda p: centre(weisz, 2, p), guess="0.8127955758329469", at=pts(0, 1, 9))
    problem(id="thomas-fermi-ion", kind="singular", title="Screened charge (Thomas-Fermi) on a short interval",
            source="E. Fermi, Eine statistische Methode zur Bestimmung einiger Eigenschaften des Atoms, Z. Phys. 48 (1928): the equation (from memory)",
            sheet="y'' = y^1.5/sqrt(x)\ny(0) = 1\ny(1) = 0.4", by=thomas_fermi, guess="-1.6057464104709656", at=pts(0, 1, 9, left=0.001))
    m = 2
    problem(id="holt", kind="infinite", title="Holt's problem: growth held down to decay",
            source="J. F. Holt, Numerical solution of nonlinear two-point boundary problems by finite difference methods, Comm. ACM 7 (1964): the equation (from memory)",
            sheet="y'' = (x^2 + 5) y\ny(0) = 1\ny(inf) = 0", at=[0.0, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0],
            y={"y": lambda x: mp.pcfu(mpf(5) / 2, mp.sqrt(2) * x) / mp.pcfu(mpf(5) / 2, 0) if x < 100 else mpf(0) * x})


def structures():
    with mp.workdps(110):
        k = mp.sin(mpf(1))
        load = mp.ellipk(k ** 2) ** 2

    def elastica_known(sol, found):
        assert abs(found["P"] - load) < mpf(10) ** -25  # sqrt(P) = K(sin(alpha/2)), alpha = 2
    problem(id="elastica", kind="system", var="s", by=shot, title="Strut bent far beyond buckling: slope 2 at its tip, load sought",
            source="S. P. Timoshenko and J. M. Gere, Theory of Elastic Stability (1961), section 2.7: sqrt(P) = K(sin(alpha/2)) (from memory)",
            sheet="theta'' + P sin(theta) = 0\nu' = cos(theta)\nw' = sin(theta)\ntheta(0) = 2\ntheta'(0) = 0\ntheta(1) = 0\nu(0) = 0\nw(0) = 0\nP = ? near 3",
            free={"P": "4.3573983712864965"}, known={"theta": lambda: mpf(2)}, at=pts(0, 1, 9), more=[elastica_known])
    A = mpf(9) * mpf("0.01") / (mp.pi ** 2 - 9)
    problem(id="crooked-column", kind="high-order", title="Column that is not quite straight, near its buckling load",
            source="S. P. Timoshenko and J. M. Gere, Theory of Elastic Stability (1961), section 1.12 (from memory; verified by substitution)",
            sheet="v'''' + P v'' = P a pi^2 sin(pi x)\nv(0) = 0\nv''(0) = 0\nv(1) = 0\nv''(1) = 0\nP = 9\na = 0.01", at=pts(0, 1, 9),
            y={"v": lambda x: A * mp.sin(mp.pi * x)})
    waz = "A.-M. Wazwaz, %s (2001) (from memory; verified by substitution)"
    problem(id="fifth-order", kind="high-order", title="Fifth order, nonlinear", source=waz % "The numerical solution of fifth-order boundary value problems by the decomposition method, J. Comput. Appl. Math. 136",
            sheet="y''''' = exp(-x) y^2\ny(0) = 1\ny'(0) = 1\ny''(0) = 1\ny(1) = e\ny'(1) = e", at=pts(0, 1, 9), y={"y": mp.exp})
    problem(id="sixth-order-nonlinear", kind="high-order", title="Sixth order, nonlinear", source=waz % "The numerical solution of sixth-order boundary value problems by the modified decomposition method, Appl. Math. Comput. 118",
            sheet="y'''''' = exp(-x) y^2\ny(0) = 1\ny''(0) = 1\ny''''(0) = 1\ny(1) = e\ny''(1) = e\ny''''(1) = e", at=pts(0, 1, 9), y={"y": mp.exp})
    problem(id="eighth-order", kind="high-order", title="Eighth order", source="A.-M. Wazwaz, Approximate solutions to boundary value problems of higher order by the modified decomposition method, Comput. Math. Appl. 40 (2000) (from memory; verified by substitution)",
            sheet="y'''''''' - y = -8 exp(x)\ny(0) = 1\ny'(0) = 0\ny''(0) = -1\ny'''(0) = -2\ny(1) = 0\ny'(1) = -e\ny''(1) = -2 e\ny'''(1) = -3 e",
            at=pts(0, 1, 9), y={"y": lambda x: (1 - x) * mp.exp(x)})
    problem(id="beam-held-inside", kind="high-order", title="Beam under a thrust, held down at mid-span: a condition inside", by=shot,
            source="common practice, no source", sheet="y'''' + k y'' = 1\ny(0) = 0\ny(0.5) = 0\ny(1) = 0\ny'(1) = 0\nk = 30",
            free={"y'": "-0.024010106688237484", "y''": "0.1174815861416986", "y'''": "0.17179134172584368"}, at=pts(0, 1, 11))
    with mp.workdps(120):
        r = mp.findroot(lambda r: mp.sinh(1) + r * mp.cosh(1) + 5 * (mp.cosh(1) + r * mp.sinh(1)) ** 4, (mpf("-0.915"), mpf("-0.916")), solver="secant", tol=mpf(10) ** -230)
    problem(id="radiating-tip", kind="condition", title="Fin whose tip radiates: a nonlinear condition",
            source="common practice, no source", sheet="y'' = y\ny(0) = 1\ny'(1) = -5 y(1)^4", at=pts(0, 1, 9), y={"y": lambda x: mp.cosh(x) + r * mp.sinh(x)})
    problem(id="duffing-periodic", kind="condition", title="Periodic answer of a stiffening spring", by=shot,
            source="G. Duffing, Erzwungene Schwingungen bei veraenderlicher Eigenfrequenz (1918): the type of equation (from memory)",
            sheet="y'' - y - y^3 = cos(x)\ny(0) = y(2 pi)\ny'(0) = y'(2 pi)", free={"y": "-0.46058759665964155", "y'": "0"}, at=pts(0, 2 * math.pi, 11))
    problem(id="measles", kind="system", var="t", title="Yearly waves of measles: periodic, three unknowns", by=shot, digits=40,
            source=AMR % "the measles example", sheet="u' = m - b (1 + cos(2 pi t)) u w\nv' = b (1 + cos(2 pi t)) u w - v/l\nw' = v/l - w/n\nu(0) = u(1)\nv(0) = v(1)\nw(0) = w(1)\n"
            "m = 0.02\nl = 0.0279\nn = 0.01\nb = 1575\nguess u = 0.07\nguess v = 0.0004\nguess w = 0.0002\n0 < t < 1",
            free={"u": "0.07523116545898165", "v": "1.8007185502373233e-05", "w": "4.9806510876841e-06"}, at=pts(0, 1, 11))
    problem(id="sought-stiffness", kind="condition", title="A sought stiffness in a nonlinear spring", by=shot, source="common practice, no source",
            sheet="y'' - mu y + y^3 = 0\ny'(0) = 0\ny(0) = 2\ny(1) = 1\nmu = ? near 1", free={"mu": "2.1427493716337302"}, known={"y": lambda: mpf(2)}, at=pts(0, 1, 9))


def chebyshev(n, x):
    t0, t1 = mpf(1) + 0 * x, x
    for _ in range(n):
        t0, t1 = t1, 2 * x * t1 - t0
    return t0


def spectra():
    two = "Taylor shooting in %d digits from the left end and in %d digits from the right end agree"
    up = lambda lam: [mpf(0), mpf(1)]
    down = lambda lam: [mpf(0), mpf(-1)]

    def add(id, title, sheet, source, guesses, at, digits=40, **kw):
        mode, second = modes_by_path(guesses, up, digits, down)
        problem(id=id, kind="eigenvalue", title=title, sheet=sheet, source=source, how=two % (digits, digits - 6), at=at, mode=mode, second=second, **kw)
    pd = "J. W. Paine, F. R. de Hoog and R. S. Anderssen, On the correction of finite difference eigenvalue approximations for Sturm-Liouville problems, Computing 26 (1981): %s (from memory)"
    ends = [0.0] + [r12(0.35 * i) for i in range(1, 9)] + [math.pi]
    add("eigen-exponential-well", "String with exponentially growing stiffness", "y'' + (lambda - exp(x)) y = 0\ny(0) = 0\ny(pi) = 0\nlambda = ?",
        pd % "4.8966694", ["4.89666937996769", "10.045189893253744", "16.01926725049223", "23.266270940022356", "32.26370704580444"], ends, known=known("4.8966694", "10.045190", "16.019267"))
    add("eigen-steep-well", "String with a steep stiffness at one end", "y'' + (lambda - 1/(x + 0.1)^2) y = 0\ny(0) = 0\ny(pi) = 0\nlambda = ?",
        pd % "1.5198658", ["1.5198658210993468", "4.943309814040994", "10.284662645086817", "17.55995774641261", "26.78286315832581"], ends, known=known("1.5198658", "4.9433098"))
    add("eigen-coffey-evans", "Three eigenvalues that nearly coincide (Coffey-Evans, beta = 20)",
        "y'' + (lambda + 2 b cos(2 x) - b^2 sin(2 x)^2) y = 0\ny(-pi/2) = 0\ny(pi/2) = 0\nb = 20\nlambda = ?",
        "J. D. Pryce, Numerical Solution of Sturm-Liouville Problems (1993), test problem 7: 0, 77.9161957, 151.4627783, 151.4632237, 151.4636690 (from memory)",
        ["0", "77.91619567714388", "151.4627783464568", "151.4632236576587", "151.4636689883516"],
        [-math.pi / 2] + [r12(-1.2 + 0.3 * i) for i in range(9)] + [math.pi / 2], digits=60, known=known("0.0000000", "77.9161957", "151.4627783", "151.4632237", "151.4636690"))

    def hermite(sheet, i):
        return mpf(2 * i + 1), formula(lambda x: (-1) ** i * mp.hermite(i, x) * mp.exp(-x * x / 2))
    at = [r12(-4 + 0.8 * i) for i in range(11)]
    problem(id="eigen-harmonic-oscillator", kind="eigenvalue", title="Harmonic oscillator on the whole line", how="closed form in 60 digits", window=(mpf(-16), mpf(16)),
            source="Hermite functions: NIST Handbook of Mathematical Functions (2010), section 18.39 (from memory; verified by substitution)",
            sheet="y'' + (lambda - x^2) y = 0\ny(-inf) = 0\ny(inf) = 0\nlambda = ?", at=at, mode=hermite, known=known("1.0"))

    def quartic(digits, far):
        def mode(sheet, i, guess=None):
            guess = guess or ["1.0603620904841828", "3.7996730298013945", "7.45569793798674", "11.644745511378161", "16.26182601885023"][i]
            with mp.workdps(digits):
                start = [mpf(1), mpf(0)] if i % 2 == 0 else [mpf(0), mpf(1)]
                run = lambda lam: Path(sheet, 0, {"y": start}, far, digits, {"lambda": lam})
                g = mpf(guess)
                lam = secant(lambda lam: run(lam)("y", 0, mpf(far)), g, g + mpf(10) ** -11, 0.45 * digits)
                path = run(lam)
            edge = path("y", 0, mpf(3))
            flip = 1 if (edge if i % 2 == 0 else -edge) > 0 else -1
            return lam, lambda u, k, x: flip * (path(u, k, x) if x >= 0 else (-1) ** (k + i) * path(u, k, -x))
        return mode
    problem(id="eigen-quartic-oscillator", kind="eigenvalue", title="Quartic oscillator on the whole line", window=(mpf("-5.9"), mpf("5.9")),
            how="Taylor shooting from 0 in 64 digits to 6 and in 56 digits to 5.5 agree",
            source="C. M. Bender and T. T. Wu, Anharmonic oscillator, Phys. Rev. 184 (1969); lowest 1.060362090484 (from memory)",
            sheet="y'' + (lambda - x^4) y = 0\ny(-inf) = 0\ny(inf) = 0\nlambda = ?", at=[r12(-3 + 0.6 * i) for i in range(11)],
            mode=quartic(64, mpf(6)), second=lambda sheet, i, v: quartic(56, mpf("5.5"))(sheet, i, mp.nstr(v, 16))[0], known=known("1.060362090484", "3.7996730"))
    problem(id="eigen-chebyshev", kind="eigenvalue", title="Chebyshev's equation, even regular solutions", how="closed form in 60 digits",
            source="Chebyshev polynomials: NIST Handbook of Mathematical Functions (2010), section 18.8 (from memory); the condition at 1 is the equation itself there",
            sheet="(1 - x^2) y'' - x y' + lambda y = 0\ny'(0) = 0\ny'(1) = lambda y(1)\nlambda = ?", at=pts(0, 1, 9),
            mode=lambda sheet, i: (mpf(4 * i * i), formula(lambda x: (-1) ** i * chebyshev(2 * i, x))), known=known("0.0", "4.0"))

    def latzko(digits, join, terms):
        def mode(sheet, i, guess=None):
            guess = guess or ["8.727470352642657", "152.4230708786251", "435.0633321758977", "855.6857252680663", "1414.142820955002"][i]
            with mp.workdps(digits):
                P = [mpf(0)] + [-mpf((-1) ** j) * mp.binomial(7, j) for j in range(1, 8)]
                Q = [7 * mpf((-1) ** j) * mp.binomial(6, j) for j in range(7)]
                R = [mpf((-1) ** j) * mp.binomial(7, j) for j in range(8)]

                def run(lam):
                    c = [mpf(1)]
                    for n in range(terms):  # the coefficient of t^n in the equation, t = 1 - x
                        s = mp.fsum(P[j] * (n - j + 2) * (n - j + 1) * c[n - j + 2] for j in range(2, 8) if n - j + 2 >= 0)
                        s += mp.fsum(Q[j] * (n - j + 1) * c[n - j + 1] for j in range(1, 7) if n - j + 1 >= 0)
                        s += mp.fsum(lam * R[j] * c[n - j] for j in range(8) if n - j >= 0)
                        c.append(-s / (7 * mpf(n + 1) ** 2))
                    return Path(sheet, 0, {"y": [mpf(0), mpf(1)]}, join, digits, {"lambda": lam}), c

                def miss(lam):
                    path, c = run(lam)
                    t = 1 - join
                    return path("y", 0, join) * -Path._value(c, t, 1) - path("y", 1, join) * Path._value(c, t, 0)
                g = mpf(guess)
                lam = secant(miss, g, g * (1 + mpf(10) ** -12), 0.6 * digits)
                path, c = run(lam)
                ratio = path("y", 0, join) / Path._value(c, 1 - join, 0)
            return lam, lambda u, k, x: path(u, k, x) if x <= join else ratio * (-1) ** k * Path._value(c, 1 - x, k)
        return mode
    problem(id="eigen-latzko", kind="eigenvalue", title="Heat into a turbulent stream (Latzko)",
            how="Taylor series from 0 and the regular power series at 1, joined at 0.55 in 40 digits and at 0.6 in 34 digits, agree",
            source="C. Fulton and S. Pruess, Mathematical software for Sturm-Liouville problems, ACM Trans. Math. Softw. 19 (1993): the Latzko equation, 8.7274703526 (from memory)",
            sheet="(1 - x^7) y'' - 7 x^6 y' + lambda x^7 y = 0\ny(0) = 0\n7 y'(1) = lambda y(1)\nlambda = ?", at=pts(0, 1, 9), mode=latzko(40, mpf("0.55"), 170),
            second=lambda sheet, i, v: latzko(34, mpf("0.6"), 130)(sheet, i, mp.nstr(v, 16))[0], known=known("8.7274703", "152.42307", "435.06333"))

    def clamped(sheet, i):
        with mp.workdps(100):
            s = mp.findroot(lambda s: mp.cos(s) - mp.sech(s), (i + mpf("1.5")) * mp.pi, tol=mpf(10) ** -180)
        m = (mp.cosh(s) - mp.cos(s)) / (mp.sinh(s) - mp.sin(s))
        return s ** 4, formula(lambda x: mp.cosh(s * x) - mp.cos(s * x) - m * (mp.sinh(s * x) - mp.sin(s * x)))
    problem(id="eigen-clamped-beam", kind="eigenvalue", title="Vibration of a beam built in at both ends (fourth order)", how="closed form in 60 digits (cos s cosh s = 1)",
            source="W. Weaver, S. P. Timoshenko and D. H. Young, Vibration Problems in Engineering (1990), chapter 5: s = 4.73004 (from memory; verified by substitution)",
            sheet="y'''' = lambda y\ny(0) = 0\ny'(0) = 0\ny(1) = 0\ny'(1) = 0\nlambda = ?", at=pts(0, 1, 9), mode=clamped, known=known("500.5639"))


def one(i):
    p = ALL[i]
    t0 = time.time()
    try:
        entry, scale, note = check(p)
        assert 9 <= len(entry["at"]) <= 15, len(entry["at"])
    except Exception as error:  # a problem that fails its checks is not written
        if os.environ.get("TRACE"):
            raise
        return i, None, "FAILED %-30s %s: %s" % (p["id"], type(error).__name__, str(error)[:300])
    out = {"id": p["id"], "title": p["title"], "kind": p["kind"], "source": p["source"], "sheet": p["sheet"], "reference": entry, "scale": scale}
    return i, out, "ok %-30s %2d points  %s  (%.1f s)" % (p["id"], len(entry["at"]), note, time.time() - t0)


def main(words):
    for part in (shocks, flows, reaction, structures, spectra):
        part()
    ids = [p["id"] for p in ALL]
    assert len(ids) == len(set(ids))
    chosen = [i for i, n in enumerate(ids) if (not words and n not in NOT_YET) or any(w in n for w in words)]
    out, bad = {}, 0
    with multiprocessing.Pool() as pool:
        for i, entry, note in pool.imap_unordered(one, chosen):
            print(note, flush=True)
            if entry is None:
                bad += 1
            out[i] = entry
    print("%d problems checked, %d failed" % (len(out), bad))
    if not words and not bad:
        text = "[\n" + ",\n".join(ref.lines(out[i]) for i in chosen) + "\n]\n"
        json.loads(text)
        with open(os.path.join(HERE, "literature.json"), "w") as f:
            f.write(text)
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
