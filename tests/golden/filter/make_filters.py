"""Golden filter arrays by SciPy. Run with Debian's python3-scipy; writes filters.json beside this file."""
import json
import os
import numpy as np
import scipy
from scipy import signal

here = os.path.dirname(os.path.abspath(__file__))
rng = np.random.default_rng(20260301)
n = 400
x = np.round(120 + 0.05 * np.arange(n) + 30 * np.sin(2 * np.pi * 0.013 * np.arange(n)) + 5 * rng.standard_normal(n), 6)

designs = []
for order in (1, 2, 3, 4, 5, 6, 8):
    for kind, edges in (('lowpass', [50.0]), ('lowpass', [1.5]), ('lowpass', [450.0]), ('highpass', [2.0]), ('highpass', [120.0]),
                        ('bandpass', [20.0, 45.0]), ('bandpass', [100.0, 380.0]), ('bandstop', [45.0, 55.0]), ('bandstop', [60.0, 300.0])):
        wn = edges[0] if len(edges) == 1 else edges
        sos = signal.butter(order, wn, kind, fs=1000, output='sos')
        designs.append({'type': kind, 'order': order, 'edges': edges, 'sos': sos.ravel().tolist()})

runs = []
for kind, order, edges in (('lowpass', 4, [50.0]), ('lowpass', 3, [20.0]), ('lowpass', 1, [5.0]), ('highpass', 2, [2.0]), ('bandpass', 2, [8.0, 30.0]), ('bandstop', 3, [45.0, 55.0]), ('lowpass', 8, [100.0])):
    wn = edges[0] if len(edges) == 1 else edges
    sos = signal.butter(order, wn, kind, fs=1000, output='sos')
    zi = signal.sosfilt_zi(sos)
    runs.append({'type': kind, 'order': order, 'edges': edges,
                 'zero_phase': signal.sosfiltfilt(sos, x).tolist(),
                 'rest': signal.sosfilt(sos, x).tolist(),
                 'settled': signal.sosfilt(sos, x, zi=zi * x[0])[0].tolist()})

notches = []
for f, q in ((50.0, 10.0), (120.0, 35.0), (400.0, 4.0)):
    b, a = signal.iirnotch(f, q, fs=1000)
    notches.append({'frequency': f, 'width': f / q, 'b': b.tolist(), 'a': a.tolist()})

out = {'made_by': 'tests/golden/filter/make_filters.py', 'scipy': scipy.__version__, 'numpy': np.__version__,
       'x': x.tolist(), 'designs': designs, 'runs': runs, 'notches': notches,
       'decimate': {str(q): signal.decimate(x, q).tolist() for q in (2, 5, 10)}}
with open(os.path.join(here, 'filters.json'), 'w') as f:
    json.dump(out, f)
