"""Writes three HDF5 files whose numbers lie in other files, with h5py. The name of the raw file is a row of x, 240 long, so that
a test can put the path of a file of its own there. Run: python3 make_special.py (h5py 3.7.0, HDF5 1.10.8, Python 3.11)"""
import os

import h5py
import numpy

os.chdir(os.path.dirname(os.path.abspath(__file__)))
t = numpy.arange(8) / 4
with h5py.File("external-raw.h5", "w") as f:
    d = f.create_dataset("torque", shape=(8,), dtype="<f8", external=[("x" * 240, 0, 64)])
    d.attrs["unit"], d.attrs["sampleRate"] = "N·m", 500.0
with h5py.File("external-link.h5", "w") as f:
    d = f.create_dataset("torque", data=t)
    d.attrs["unit"], d.attrs["sampleRate"] = "N·m", 500.0
    f["elsewhere"] = h5py.ExternalLink("plain.h5", "/torque")
    f["through"] = h5py.SoftLink("/elsewhere")
    f["again"] = h5py.SoftLink("/torque")
with h5py.File("external-virtual.h5", "w") as f:
    d = f.create_dataset("torque", data=t)
    d.attrs["unit"], d.attrs["sampleRate"] = "N·m", 500.0
    layout = h5py.VirtualLayout(shape=(60,), dtype="<f8")
    layout[:] = h5py.VirtualSource("plain.h5", "torque", shape=(60,))
    f.create_virtual_dataset("joined", layout)
