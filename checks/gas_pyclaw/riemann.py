"""L1 errors and CPU times of PyClaw (Clawpack 5.14.0, second order, MC limiter) on the problems of
crates/gas/src/test_bed.rs.

Run: python riemann.py errors > riemann_errors.json      errors, read by the Rust tests
     python riemann.py time                              ms per run and million cell updates a second
Needs clawpack 5.14.0 (built by pip with gfortran) and numpy. Both Riemann solvers of the package that fit (Roe with
entropy fix, HLLE) are run and the smaller error is kept; null where neither gives a finite, positive result.
"""
import json
import sys
import time

import numpy as np
from clawpack import pyclaw, riemann

GAMMA = 1.4
RIEMANN = {
    "sod": ((1.0, 0.0, 1.0), (0.125, 0.0, 0.1), 0.5, 0.2),
    "strong_shock": ((1.0, 0.0, 1000.0), (1.0, 0.0, 0.01), 0.5, 0.012),
    "near_vacuum": ((1.0, -2.0, 0.4), (1.0, 2.0, 0.4), 0.5, 0.15),
    "moving_contact": ((1.4, 0.5, 1.0), (1.0, 0.5, 1.0), 0.3, 0.4),
    "colliding_streams": ((1.0, 2.0, 0.4), (1.0, -2.0, 0.4), 0.5, 0.3),
}


def wave(state, p):
    rho, _, pk = state
    c = np.sqrt(GAMMA * pk / rho)
    if p > pk:
        a, b = 2 / ((GAMMA + 1) * rho), (GAMMA - 1) / (GAMMA + 1) * pk
        return (p - pk) * np.sqrt(a / (p + b))
    return 2 * c / (GAMMA - 1) * ((p / pk) ** ((GAMMA - 1) / (2 * GAMMA)) - 1)


def star(left, right):
    lo, hi = 1e-12, 1e6
    for _ in range(300):
        mid = np.sqrt(lo * hi)
        if wave(left, mid) + wave(right, mid) + right[1] - left[1] > 0:
            hi = mid
        else:
            lo = mid
    p = np.sqrt(lo * hi)
    return p, 0.5 * (left[1] + right[1] + wave(right, p) - wave(left, p))


def one_side(state, p, u, s):
    rho, v, pk = state
    g = GAMMA
    c = np.sqrt(g * pk / rho)
    r = p / pk
    if p > pk:
        shock = v - c * np.sqrt((g + 1) / (2 * g) * r + (g - 1) / (2 * g))
        m = (g - 1) / (g + 1)
        return np.where(s <= shock, rho, rho * (r + m) / (m * r + 1))
    cs = c * r ** ((g - 1) / (2 * g))
    inner = np.maximum(2 / (g + 1) + (g - 1) / ((g + 1) * c) * (v - s), 1e-30)
    fan = rho * inner ** (2 / (g - 1))
    return np.where(s <= v - c, rho, np.where(s >= u - cs, rho * r ** (1 / g), fan))


def exact_rho(problem, x):
    left, right, at, t = RIEMANN[problem]
    p, u = star(left, right)
    s = (x - at) / t
    mirrored = (right[0], -right[1], right[2])
    return np.where(s <= u, one_side(left, p, u, s), one_side(mirrored, p, -u, -s))


def run(problem, n, solver_module):
    left, right, at, t = RIEMANN[problem]
    solver = pyclaw.ClawSolver1D(solver_module)
    solver.order = 2
    solver.limiters = pyclaw.limiters.tvd.MC
    solver.cfl_desired, solver.cfl_max = 0.8, 0.9
    solver.bc_lower[0] = solver.bc_upper[0] = pyclaw.BC.extrap
    solver.max_steps = 1_000_000
    domain = pyclaw.Domain([pyclaw.Dimension(0.0, 1.0, n, name="x")])
    state = pyclaw.State(domain, 3)
    state.problem_data.update(gamma=GAMMA, gamma1=GAMMA - 1, efix=True)
    x = domain.grid.x.centers
    for i, pick in enumerate([lambda s: s[0], lambda s: s[0] * s[1],
                              lambda s: s[2] / (GAMMA - 1) + 0.5 * s[0] * s[1] ** 2]):
        state.q[i, :] = np.where(x < at, pick(left), pick(right))
    claw = pyclaw.Controller()
    claw.tfinal, claw.num_output_times = t, 1
    claw.solution = pyclaw.Solution(state, domain)
    claw.solver = solver
    claw.output_format = None
    claw.keep_copy = False
    claw.verbosity = 0
    start = time.thread_time()
    status = claw.run()
    elapsed = time.thread_time() - start
    return claw.solution.state.q.copy(), elapsed, status["numsteps"]


def error(problem, n, q):
    rho, mom, energy = q
    p = (GAMMA - 1) * (energy - 0.5 * mom ** 2 / rho)
    if not (np.all(np.isfinite(q)) and rho.min() > 0 and p.min() > 0):
        return None
    k = 16
    x = (np.arange(n * k) + 0.5) / (n * k)
    mean = exact_rho(problem, x).reshape(n, k).mean(axis=1)
    return float(np.abs(rho - mean).mean())


SOLVERS = {"roe": riemann.euler_with_efix_1D, "hlle": riemann.euler_hlle_1D}


def errors():
    import contextlib, io
    out = {}
    for problem in RIEMANN:
        out[problem] = {}
        for n in (60, 100, 200, 400, 800):
            found = {}
            for name, module in SOLVERS.items():
                try:
                    with contextlib.redirect_stdout(io.StringIO()):
                        q, _, _ = run(problem, n, module)
                    e = error(problem, n, q)
                except Exception:
                    e = None
                if e is not None:
                    found[name] = e
            best = min(found, key=found.get) if found else None
            out[problem][str(n)] = {"l1_rho": found.get(best), "solver": best}
    print(json.dumps(out, indent=1))


def times():
    for n in (60, 4000):
        best = None
        for _ in range(15 if n == 60 else 3):
            q, elapsed, steps = run("sod", n, SOLVERS["roe"])
            best = elapsed if best is None else min(best, elapsed)
        print(f"pyclaw n={n} ms={1e3 * best:.4f} steps={steps} rate={n * steps / best / 1e6:.4f} "
              f"l1={error('sod', n, q):.6e}")


if __name__ == "__main__":
    import logging
    logging.disable(logging.CRITICAL)
    errors() if sys.argv[1:] == ["errors"] else times()
