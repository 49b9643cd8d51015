"""Writes files that must be refused or read with a note: three HDF5 files whose numbers lie in other files and one of whole
numbers beyond 2^53 (h5py), such numbers in Parquet, MAT and MDF (SciPy and the writers beside this script), a MAT file of level 4 (SciPy), and
containers (Python's zipfile, tarfile and lzma; the workbook holds no more than the parts that name it). The name of the raw file is a row of x, 240 long, so that
a test can put the path of a file of its own there. Run: python3 make_special.py (made with h5py 3.7.0, HDF5 1.10.8, SciPy 1.10.1, Python 3.11)"""
import gzip
import io
import lzma
import os
import struct
import tarfile
import zipfile

import h5py
import numpy
import scipy.io

from mdf4_writer import Mdf4
from parquet_writer import parquet

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

# Whole numbers beyond 2^53: stamps of nanoseconds since 1970, and a counter of which doubles hold every second number
stamps = [1772352000250000000 + i * 2000001 for i in range(8)]
wide = [2 ** 53 - 3 + i for i in range(8)]
with h5py.File("wide.h5", "w") as f:
    for name, values in [("counter", numpy.array(wide, dtype="<i8")), ("unsigned", numpy.array(wide, dtype=">u8")), ("torque", t)]:
        f.create_dataset(name, data=values)
open("wide.parquet", "wb").write(parquet([("time (ns)", "int64", stamps, None), ("counter", "int64", wide, None), ("torque (Nm)", "double", list(t), None)]))
scipy.io.savemat("wide.mat", {"counter": numpy.array(wide, dtype="int64"), "torque": t})
m = Mdf4()
m_torque = m.channel("torque", 4, 16, 64)
m_counter = m.channel("counter", 2, 8, 64, conversion=m.linear(7.0, 0.5), following=m_torque)
m_time = m.channel("t", 4, 0, 64, kind=2, sync=1, following=m_counter)
group = m.group(m_time, b"".join(struct.pack("<dqd", i / 500, wide[i], t[i]) for i in range(8)), 8, 24)
open("wide.mf4", "wb").write(m.finish(group, stamps[0]))

scipy.io.savemat("level4.mat", {"torque": t}, format="4")
stamp = (2026, 3, 1, 8, 0, 0)
text = b"time (s),torque (Nm)\n0,1\n0.1,2\n"
with zipfile.ZipFile("run.zip", "w") as z:
    z.writestr(zipfile.ZipInfo("run.csv", stamp), text)
with zipfile.ZipFile("sheet.xlsx", "w") as z:
    z.writestr(zipfile.ZipInfo("[Content_Types].xml", stamp), "<Types/>")
    z.writestr(zipfile.ZipInfo("xl/workbook.xml", stamp), "<workbook/>")
packed = io.BytesIO()
with tarfile.open(fileobj=packed, mode="w", format=tarfile.USTAR_FORMAT) as z:
    entry = tarfile.TarInfo("run.csv")
    entry.size = len(text)
    z.addfile(entry, io.BytesIO(text))
with open("run.tar.gz", "wb") as f:
    f.write(gzip.compress(packed.getvalue(), mtime=0))
with open("run.csv.xz", "wb") as f:
    f.write(lzma.compress(text))
