"""Straight S-N lines with runouts by maximum likelihood, and tolerance factors, from SciPy.
Run: python3 make_fit.py > fit.json"""
import json
import numpy as np
import scipy
from scipy import optimize, stats

rng = np.random.default_rng(11)
stress = np.repeat([320.0, 280.0, 240.0, 210.0, 185.0], 5)
life = np.round(10 ** (18.2 - 5.2 * np.log10(stress) + 0.18 * rng.standard_normal(stress.size)))
limit = 1.5e6
runout = life > limit
life = np.where(runout, limit, life)
x, y = np.log10(stress * 1e6), np.log10(life)


def nll(t):
    a, b, ls = t
    s = np.exp(ls)
    z = (y - a - b * (x - x.mean())) / s
    return -(np.sum(stats.norm.logpdf(z[~runout]) - ls) + np.sum(stats.norm.logsf(z[runout])))


fit = optimize.minimize(nll, [y.mean(), -5, -1.5], method="Nelder-Mead", options={"xatol": 1e-12, "fatol": 1e-13, "maxiter": 100000, "maxfev": 100000})
a, b, ls = fit.x

ols = stats.linregress(x[~runout], y[~runout])
factors = [[p, g, n, float(stats.nct.ppf(g, n - 1, stats.norm.ppf(p) * np.sqrt(n)) / np.sqrt(n))] for p in (0.5, 0.9, 0.95, 0.977, 0.99) for g in (0.5, 0.75, 0.95, 0.99) for n in (3, 5, 10, 30, 100, 300)]
print(json.dumps({
    "versions": {"numpy": np.__version__, "scipy": scipy.__version__},
    "tests": [[float(s) * 1e6, float(n), bool(r)] for s, n, r in zip(stress, life, runout)],
    "censored": {"intercept": float(a - b * x.mean()), "slope": float(b), "deviation": float(np.exp(ls)), "logLikelihood": float(-fit.fun)},
    "failuresOnly": {"intercept": float(ols.intercept), "slope": float(ols.slope), "slopeError": float(ols.stderr)},
    "toleranceFactors": factors,
}, indent=1))
