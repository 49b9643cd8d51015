"""Writes the small binary files of this folder with independent programs (SciPy, h5py, Octave, Python's wave module,
and the three writers beside this script), and truth.json with what they hold. Run: python3 make_formats.py"""
import json
import os
import struct
import subprocess
import sys
import wave

import h5py
import numpy
import scipy
import scipy.io
import scipy.io.wavfile

import uff58_writer as uff
from mdf4_writer import Mdf4
from parquet_writer import parquet

os.chdir(os.path.dirname(os.path.abspath(__file__)))
n = 60
rate = 500
counts = [((i * 7919) % 4001) - 2000 for i in range(n)]
torque = [c / 16 for c in counts]                      # exact in single precision too
speed = [1480 + (i % 13) / 4 for i in range(n)]
time = [i / rate for i in range(n)]
truth = {"versions": {"python": sys.version.split()[0], "numpy": numpy.__version__, "scipy": scipy.__version__, "h5py": h5py.__version__},
         "sampleRate": rate, "counts": counts, "torque": torque, "speed": speed, "time": time}
c, t, s = numpy.array(counts), numpy.array(torque), numpy.array(speed)

# WAV
scipy.io.wavfile.write("pcm16.wav", rate, numpy.stack([c, -c], axis=1).astype(numpy.int16))
scipy.io.wavfile.write("pcm32.wav", rate, (c * 65536).astype(numpy.int32))
scipy.io.wavfile.write("pcm8.wav", rate, (c // 16 + 128).astype(numpy.uint8))
scipy.io.wavfile.write("float32.wav", rate, t.astype(numpy.float32))
scipy.io.wavfile.write("float64.wav", rate, t)
with wave.open("pcm24.wav", "wb") as w:
    w.setnchannels(1), w.setsampwidth(3), w.setframerate(rate)
    w.writeframes(b"".join(struct.pack("<i", v * 256)[0:3] for v in counts))
scipy.io.wavfile.write("calibrated.wav", rate, numpy.stack([c, -c], axis=1).astype(numpy.int16))
with open("calibrated.wav.json", "w") as f:
    json.dump({"start": "2026-03-01T08:00:00.250Z", "channels": [{"name": "torque", "unit": "N·m", "scale": 2048}, {"name": "bridge", "unit": "mV/V", "scale": 4, "offset": 0.5}]}, f, ensure_ascii=False)
data = struct.pack("<%dh" % n, *counts)
with open("rf64.wav", "wb") as f:  # EBU Tech 3306: the sizes stand in ds64
    f.write(b"RF64" + struct.pack("<I", 0xFFFFFFFF) + b"WAVE" + b"ds64" + struct.pack("<IQQQI", 28, 72 + len(data), len(data), n, 0))
    f.write(b"fmt " + struct.pack("<IHHIIHH", 16, 1, 1, rate, rate * 2, 2, 16) + b"data" + struct.pack("<I", 0xFFFFFFFF) + data)

# HDF5
with h5py.File("plain.h5", "w") as f:
    d = f.create_dataset("torque", data=t)
    d.attrs["unit"], d.attrs["sampleRate"], d.attrs["start"] = "N·m", float(rate), "2026-03-01T08:00:00.250Z"
with h5py.File("packed.h5", "w") as f:
    g = f.create_group("run 1")
    g.attrs["fs"] = rate
    a = g.create_dataset("counts", data=c.astype(">i2"), chunks=(16,), compression="gzip", shuffle=True)
    a.attrs["units"] = "count"
    b = g.create_dataset("both", data=numpy.stack([t, s], axis=1).astype(numpy.float32), chunks=(8, 2), compression="gzip", fletcher32=True)
    f.create_dataset("title", data="not a channel")
with h5py.File("timed.h5", "w") as f:
    f.create_dataset("time", data=numpy.array(time)).attrs["unit"] = "s"
    f.create_dataset("shaft/torque", data=t).attrs["unit"] = "Nm"
    f.create_dataset("shaft/speed", data=s).attrs["unit"] = "rpm"

# MAT 5
scipy.io.savemat("plain.mat", {"t": numpy.array(time), "torque_Nm": t, "note": "a text", "gain": 4.0}, do_compression=False, oned_as="column")
scipy.io.savemat("packed.mat", {"time": numpy.array(time), "both": numpy.stack([t, s], axis=1), "counts": c.astype(numpy.int16)}, do_compression=True, oned_as="row")
scipy.io.savemat("struct.mat", {"run": {"time_s": numpy.array(time), "torque": {"values": t.astype(numpy.float32), "unit": "kN.m"}, "speed_rpm": s}}, do_compression=True)
script = "t = (0:%d)'/%d; c = [%s]'; x.time_s = t; x.torque_Nm = c/16; k = int16(c); save -v6 octave6.mat t k; save -v7 octave7.mat x; disp(version())" % (n - 1, rate, " ".join(map(str, counts)))
done = subprocess.run(["octave", "--no-gui", "--quiet", "--eval", script], capture_output=True, text=True, check=True)
truth["versions"]["octave"] = done.stdout.strip()

# Universal file 58
half = dict(ident=1, minimum=0.0, increment=1 / rate, unit="N.m")
open("text.uff", "wb").write(
    uff.other_set(151, "a header of another dataset")
    + uff.ascii_set(torque, name="torque double", **half)
    + uff.ascii_set(torque, name="torque single", double=False, **half)
    + uff.ascii_set(speed, name="a response function", **{**half, "function": 4})
    + uff.ascii_set(speed, times=[i / rate for i in range(n)], name="speed stamped", **{**half, "increment": 0.0, "unit": "rpm"})
    + uff.ascii_set(speed, times=[i / rate for i in range(n)], double=False, name="speed stamped single", **{**half, "increment": 0.0, "unit": "rpm"}))
open("binary.uff", "wb").write(
    uff.binary_set(torque, name="torque", date="2026-03-01T08:00:00Z", **{**half, "minimum": 0.25})
    + uff.binary_set(torque, name="torque big", little=False, double=False, **half)
    + uff.binary_set([c * 1.1 for c in speed], name="speed", **{**half, "unit": "rpm"}))
truth["uffSpeed"] = [v * 1.1 for v in speed]

# MDF 4
start = 1772352000250000000


def packed_record(i):
    # time f64, counts i16 big endian, three bits of state and a signed 12-bit number from bit 3 of byte 10, speed f32, then one invalidation byte
    word = (i % 8) | ((counts[i] % 4096) << 3)
    return struct.pack("<d", time[i]) + struct.pack(">h", counts[i]) + struct.pack("<H", word & 0xFFFF) + struct.pack("<f", speed[i]) + bytes([(1 if 10 <= i < 14 or i == 40 else 0) | (4 if i == n - 1 else 0)])


for name, mode in [("sorted", "DT"), ("packed", "DZ"), ("turned", "DZT"), ("listed", "DL"), ("heads", "HL")]:
    m = Mdf4()
    third = m.channel("speed", 4, 12, 32, unit=m.text("rpm"), invalid_bit=2)
    state = m.channel("state", 0, 10, 3, following=third)
    small = m.channel("small", 2, 10, 12, bit_offset=3, following=state)
    first = m.channel("torque", 3, 8, 16, conversion=m.linear(0.0, 1 / 16, m.text("Nm")), invalid_bit=0, following=small)
    master = m.channel("t", 4, 0, 64, kind=2, sync=1, unit=m.text("s", xml=True), following=first)
    g = m.group(master, b"".join(packed_record(i) for i in range(n)), n, 16, 1, mode)
    open("mdf-%s.mf4" % name, "wb").write(m.finish(g, start))
m = Mdf4()
raw = m.channel("counts", 2, 0, 16, unit=m.text("count"))
master = m.channel("time", 0, 0, 0, kind=3, sync=1, conversion=m.linear(0.5, 1 / 250), following=raw)
slow = m.group(master, struct.pack("<%dh" % 30, *counts[:30]), 30, 2)
text = m.channel("remark", 7, 0, 32)
raw2 = m.channel("torque", 4, 0, 64, unit=m.text("N.m"), following=text)
master2 = m.channel("time", 0, 0, 0, kind=3, sync=1, conversion=m.linear(0.0, 1 / rate), following=raw2)
fast = m.group(master2, struct.pack("<%dd" % n, *torque), n, 8, mode="HL", following=slow)
open("mdf-two.mf4", "wb").write(m.finish(fast, start, local=True))
m = Mdf4()
master = m.channel("t", 4, 0, 64, kind=2, sync=1)
g = m.group(master, b"".join(b"\1" + struct.pack("<d", x) for x in time), n, 8, id_size=1)
open("mdf-unsorted.mf4", "wb").write(m.finish(g, start))

# Parquet: doubles, single precision, whole numbers, missing values, time stamps (converted type 10: microseconds of UTC)
open("foreign.parquet", "wb").write(parquet([("time (s)", "double", time, None), ("torque (Nm)", "double", torque, None), ("speed (rpm)", "float", speed, None), ("counts", "int32", [None if i in (10, 11, 40) else v for i, v in enumerate(counts)], None)]))
open("packed.parquet", "wb").write(parquet([("stamp", "int64", [start // 1000 + i * 1000000 // rate for i in range(n)], 10), ("torque (kNm)", "double", torque, None)], gzip=True, metadata={"made": "for a test"}))

with open("truth.json", "w") as f:
    json.dump(truth, f, ensure_ascii=False)
print(truth["versions"])
