"""Carries the reference cases on filters over from a case file: python3 make_published.py CASES.json. Drops what no test here reads."""
import json
import os
import sys

here = os.path.dirname(os.path.abspath(__file__))
wanted = {'cheby-polynomials', 'bessel-poles-delay', 'bessel-poly-6', 'oppenheim-bilinear-6', 'butter4-45-360', 'butter1-0.3', 'sos-butter4-lp', 'sos-butter2-hp',
          'sos-cheby1-4', 'sos-cheby2-4', 'sos-bessel4-mag', 'sosfilt-butter4', 'sosfiltfilt-butter4', 'sosfiltfilt-butter3', 'filtfilt-ba-odd', 'filtfilt-cutoff-correction',
          'cfc-coeff-sae', 'cfc-response', 'cfc180-pulse', 'firwin-hamming-21', 'firwin-hann-31', 'firwin-hp-31', 'kaiser-order', 'decimate-iir-4', 'median-5', 'savgol-filter'}
cases = [c for c in json.load(open(sys.argv[1])) if c['id'] in wanted]
missing = wanted - {c['id'] for c in cases}
assert not missing, missing
with open(os.path.join(here, 'published.json'), 'w') as f:
    json.dump(cases, f, ensure_ascii=False)
