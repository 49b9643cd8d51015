"""Golden cubic splines by SciPy. Run with Debian's python3-scipy; writes splines.json beside this file."""
import json
import os
import numpy as np
import scipy
from scipy.interpolate import CubicSpline

here = os.path.dirname(os.path.abspath(__file__))
rng = np.random.default_rng(5)
out = []
for n in (2, 3, 4, 5, 12):
    x = np.cumsum(rng.uniform(0.2, 1.5, n))
    y = np.round(rng.standard_normal(n), 6)
    s = CubicSpline(x, y)
    at = np.linspace(x[0], x[-1], 17)
    out.append({'x': x.tolist(), 'y': y.tolist(), 'at': at.tolist(), 'value': s(at).tolist(), 'slope': s(at, 1).tolist(), 'integral': [float(s.integrate(x[0], b)) for b in x]})
with open(os.path.join(here, 'splines.json'), 'w') as f:
    json.dump({'made_by': 'tests/golden/spectrum/make_splines.py', 'scipy': scipy.__version__, 'numpy': np.__version__, 'splines': out}, f)
