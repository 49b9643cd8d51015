"""Golden spectra by SciPy. Run with Debian's python3-scipy; writes spectra.json beside this file."""
import json
import os
import numpy as np
import scipy
from scipy import signal
from scipy.signal import windows

here = os.path.dirname(os.path.abspath(__file__))
rng = np.random.default_rng(20260302)
n = 900
t = np.arange(n) / 1000
x = np.round(250 + 40 * t + 12 * np.sin(2 * np.pi * 61.3 * t) + 3 * rng.standard_normal(n), 6)
y = np.round(np.convolve(x, [0.5, 0.3, -0.2])[:n] + 0.5 * rng.standard_normal(n), 6)

welch = []
for segment, overlap, window, detrend, average in (
        (256, 0.5, 'hann', 'constant', 'mean'), (256, 0.75, 'blackmanharris', 'linear', 'mean'), (100, 0.5, 'hamming', False, 'mean'), (255, 0.0, 'flattop', 'constant', 'median'),
        (97, 0.3, ('kaiser', 8.6), 'constant', 'median'), (64, 0.5, 'boxcar', 'linear', 'median'), (900, 0.5, 'blackman', 'constant', 'mean'), (3, 0.5, 'hann', 'constant', 'mean')):
    noverlap = int(np.floor(overlap * segment))
    f, p = signal.welch(x, 1000, window, segment, noverlap, detrend=detrend, average=average)
    _, s = signal.welch(x, 1000, window, segment, noverlap, detrend=detrend, average=average, scaling='spectrum')
    welch.append({'segment': segment, 'overlap': overlap, 'window': window, 'detrend': {'constant': 'mean', 'linear': 'linear', False: 'none'}[detrend], 'average': average,
                  'frequency': f.tolist(), 'density': p.tolist(), 'spectrum': s.tolist()})

cross = []
for segment, window in ((128, 'hann'), (75, 'blackman')):
    f, pxy = signal.csd(x, y, 1000, window, segment)
    _, pxx = signal.welch(x, 1000, window, segment)
    _, pyy = signal.welch(y, 1000, window, segment)
    _, c = signal.coherence(x, y, 1000, window, segment)
    cross.append({'segment': segment, 'window': window, 're': pxy.real.tolist(), 'im': pxy.imag.tolist(), 'xx': pxx.tolist(), 'yy': pyy.tolist(), 'coherence': c.tolist()})

names = {'rectangular': 'boxcar', 'hann': 'hann', 'hamming': 'hamming', 'blackman': 'blackman', 'blackman-harris': 'blackmanharris', 'flat-top': 'flattop', 'kaiser 8.6': ('kaiser', 8.6), 'kaiser 2': ('kaiser', 2.0)}
win = {k: {str(m): {'periodic': signal.get_window(v, m).tolist(), 'symmetric': signal.get_window(v, m, fftbins=False).tolist()} for m in (1, 2, 7, 32)} for k, v in names.items()}

a = signal.hilbert(x - x.mean())
odd = signal.hilbert((x - x.mean())[:255])
keep = np.sort(rng.choice(n, 300, replace=False))
lf = np.array([5.0, 20.5, 61.3, 62.0, 130.7, 333.0])
lomb = signal.lombscargle(t[keep], x[keep] - x[keep].mean(), 2 * np.pi * lf)
zoom = signal.zoom_fft(x, [55, 68], m=40, fs=1000)

out = {'made_by': 'tests/golden/spectrum/make_spectra.py', 'scipy': scipy.__version__, 'numpy': np.__version__, 'x': x.tolist(), 'y': y.tolist(), 'welch': welch, 'cross': cross, 'windows': win,
       'hilbert': {'even': np.abs(a).tolist(), 'odd': np.abs(odd).tolist()},
       'lomb': {'keep': keep.tolist(), 'frequency': lf.tolist(), 'power': lomb.tolist()},
       'zoom': {'from': 55, 'to': 68, 'points': 40, 're': zoom.real.tolist(), 'im': zoom.imag.tolist()}}
with open(os.path.join(here, 'spectra.json'), 'w') as f:
    json.dump(out, f)
