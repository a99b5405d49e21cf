"""A-B-A tests judged by statsmodels and SciPy. Writes cases.json; every number has a fixed seed."""
import json
import pathlib

import numpy as np
import statsmodels.api as sm
from scipy import optimize, stats

HERE = pathlib.Path(__file__).parent
CONFIDENCE, CHANCE = 0.95, 0.8


def judge(minutes, changed, means, drift):
    y, t, b = np.log(means), np.asarray(minutes, float), np.asarray(changed, float)
    columns = [np.ones_like(y), b] + ([t - t.mean()] if drift else [])
    fit = sm.OLS(y, np.column_stack(columns)).fit()
    low, high = fit.conf_int(1 - CONFIDENCE)[1]
    critical = stats.t.ppf(0.5 + CONFIDENCE / 2, fit.df_resid)
    power = lambda d: stats.nct.sf(critical, fit.df_resid, d) + np.nan_to_num(stats.nct.cdf(-critical, fit.df_resid, d))
    shift = optimize.brentq(lambda d: power(d) - CHANCE, 0.1, 12, xtol=1e-13)
    influence = fit.get_influence()
    return {
        "log_ratio": fit.params[1], "standard_error": fit.bse[1], "p_value": fit.pvalues[1],
        "percent": 100 * np.expm1(fit.params[1]), "low": 100 * np.expm1(low), "high": 100 * np.expm1(high),
        "scatter_percent": 100 * np.sqrt(fit.mse_resid), "degrees_of_freedom": int(fit.df_resid),
        "could_show_percent": 100 * np.expm1(shift * fit.bse[1]),
        "drift_percent": 100 * np.expm1(fit.params[2] * (t[-1] - t[0])) if drift else None,
        "studentised": list(influence.resid_studentized_external), "leverages": list(influence.hat_matrix_diag),
    }


DESIGNS = {
    "A3 B3 A3": ("AAABBBCCC", True),
    "A3 B3 A3, long breaks": ("AAABBBCCC", True),
    "A4 B2 A2": ("AAAABBCC", True),
    "A2 B5 A3": ("AABBBBBCCC", True),
    "A3 B3, no return": ("AAABBB", False),
    "A2 B2 A2, one off": ("AABBCC", True),
}
rng = np.random.default_rng(20250503)
cases = []
for number, (name, (groups, drift)) in enumerate(DESIGNS.items()):
    n = len(groups)
    step = rng.integers(4, 8, n)
    if "breaks" in name:
        step[[3, 6]] += 55
    minutes = np.cumsum(step) - step[0]
    changed = [group == "B" for group in groups]
    means = 240 * (1 - 3e-4 * minutes) * (1 + 0.015 * np.array(changed)) * np.exp(rng.normal(0, 5e-3, n))
    if "one off" in name:
        means[1] *= 0.97
    means = [round(float(m), 4) for m in means]
    cases.append({"name": name, "groups": groups.replace("C", "2"), "minutes": [int(m) for m in minutes], "means": means,
                  **judge(minutes, changed, means, drift)})
(HERE / "cases.json").write_text(json.dumps(cases, indent=1, default=float) + "\n")
