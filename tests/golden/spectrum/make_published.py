"""Carries the reference cases on spectra over from a case file: python3 make_published.py CASES.json."""
import json
import os
import re
import sys

here = os.path.dirname(os.path.abspath(__file__))
cases = json.load(open(sys.argv[1]))
for case in cases:
    case['evidence'] = re.sub(r' \(the paper[^)]*\)', '', case['evidence'])
with open(os.path.join(here, 'published.json'), 'w') as f:
    json.dump(cases, f, ensure_ascii=False, separators=(',', ':'))
