"""Golden arrays of Savitzky-Golay and of finite linear-phase filters by SciPy and NumPy. Run with Debian's python3-scipy; reads x of filters.json and writes smooth.json beside this file."""
import json
import os
import numpy as np
import scipy
from scipy import signal

here = os.path.dirname(os.path.abspath(__file__))
x = np.array(json.load(open(os.path.join(here, 'filters.json')))['x'])[:200]
savgol = [{'samples': w, 'degree': d, 'by': 'SciPy', 'y': signal.savgol_filter(x, w, d).tolist()} for w, d in ((5, 2), (11, 3), (11, 4), (31, 0))]


def by_fits(w, d):
    """Window by window by Legendre fits: SciPy's own weights, by powers of the sample number, lose 1e-7 at window 199 and all figures at degree 10."""
    h, n, y = w // 2, len(x), np.empty(len(x))
    t = np.arange(w)
    for i in range(h, n - h):
        f = np.polynomial.Legendre.fit(t, x[i - h:i + h + 1], d)
        y[i] = f(h)
        if i == h:
            y[:h] = f(t[:h])
        if i == n - h - 1:
            y[n - h:] = f(t[h + 1:])
    return y.tolist()


savgol += [{'samples': w, 'degree': d, 'by': 'NumPy', 'y': by_fits(w, d)} for w, d in ((11, 3), (101, 10), (199, 5))]
fir = []
for taps, cutoff, window in ((21, 60, 'hamming'), (31, 100, 'hann'), (101, 40, 'blackman'), (5, 200, 'boxcar')):
    h = signal.firwin(taps, cutoff, fs=1000, window=window)
    p = (taps - 1) // 2
    ext = np.concatenate((2 * x[0] - x[p:0:-1], x, 2 * x[-1] - x[-2:-p - 2:-1]))
    fir.append({'taps': taps, 'cutoff': cutoff, 'window': {'boxcar': 'rectangular'}.get(window, window), 'h': h.tolist(), 'y': np.convolve(ext, h, 'valid').tolist()})
with open(os.path.join(here, 'smooth.json'), 'w') as f:
    json.dump({'made_by': 'tests/golden/filter/make_smooth.py', 'scipy': scipy.__version__, 'numpy': np.__version__, 'savgol': savgol, 'fir': fir}, f)
