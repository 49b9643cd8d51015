"""A small independent writer of Apache Parquet files, from the public specification of the format (parquet.thrift and
Encodings.md of the Apache Parquet project; Thrift compact protocol). Only for making test files: one row group, one data
page a column, PLAIN encoding, plain or gzip, optional columns with their definition levels."""
import struct
import zlib

KINDS = {"int32": (1, "<i"), "int64": (2, "<q"), "float": (4, "<f"), "double": (5, "<d")}


def varint(n):
    out = b""
    while n >= 128:
        out, n = out + bytes([n & 127 | 128]), n >> 7
    return out + bytes([n])


def zigzag(n):
    return varint(n << 1 if n >= 0 else ((-n) << 1) - 1)


def record(*fields):
    """fields: (id, type, value); types: i (i32), l (i64), s (bytes), r (record), L (list of (type, values)), t (true)"""
    out, last = b"", 0
    codes = {"i": 5, "l": 6, "s": 8, "r": 12, "L": 9, "t": 1}
    for ident, kind, value in fields:
        out += bytes([(ident - last) << 4 | codes[kind]])
        last = ident
        out += coded(kind, value)
    return out + b"\0"


def coded(kind, value):
    if kind in "il":
        return zigzag(value)
    if kind == "s":
        return varint(len(value)) + value
    if kind == "r":
        return value
    if kind == "t":
        return b""
    inner, values = value
    head = bytes([len(values) << 4 | {"i": 5, "s": 8, "r": 12}[inner]]) if len(values) < 15 else bytes([0xF0 | {"i": 5, "s": 8, "r": 12}[inner]]) + varint(len(values))
    return head + b"".join(coded(inner, v) for v in values)


def levels(present):
    """Definition levels of one bit as bit-packed runs of the hybrid encoding, after their length."""
    groups = (len(present) + 7) // 8
    packed = bytes(sum((1 if i < len(present) and present[i] else 0) << (i % 8) for i in range(8 * g, 8 * g + 8)) for g in range(groups))
    body = varint(groups << 1 | 1) + packed
    return struct.pack("<I", len(body)) + body


def parquet(columns, gzip=False, metadata=None):
    """columns: (name, kind, values, converted type or None); None among the values makes the column optional"""
    out = bytearray(b"PAR1")
    chunks, schema = [], [record((4, "s", b"schema"), (5, "i", len(columns)))]
    rows = len(columns[0][2])
    for name, kind, values, converted in columns:
        code, form = KINDS[kind]
        optional = None in values
        present = [v for v in values if v is not None]
        plain = (levels([v is not None for v in values]) if optional else b"") + b"".join(struct.pack(form, v) for v in present)
        packer = zlib.compressobj(9, zlib.DEFLATED, 31)
        body = packer.compress(plain) + packer.flush() if gzip else plain
        page = record((1, "i", 0), (2, "i", len(plain)), (3, "i", len(body)), (5, "r", record((1, "i", rows), (2, "i", 0), (3, "i", 3), (4, "i", 3))))
        at = len(out)
        out += page + body
        size = len(page) + len(body)
        meta = record((1, "i", code), (2, "L", ("i", [0, 3])), (3, "L", ("s", [name.encode()])), (4, "i", 2 if gzip else 0), (5, "l", rows), (6, "l", len(page) + len(plain)), (7, "l", size), (9, "l", at))
        chunks.append(record((2, "l", at), (3, "r", meta)))
        fields = [(1, "i", code), (3, "i", 1 if optional else 0), (4, "s", name.encode())]
        schema.append(record(*(fields + ([(6, "i", converted)] if converted is not None else []))))
    group = record((1, "L", ("r", chunks)), (2, "l", len(out) - 4), (3, "l", rows))
    pairs = [record((1, "s", k.encode()), (2, "s", v.encode())) for k, v in (metadata or {}).items()]
    foot = record(*([(1, "i", 1), (2, "L", ("r", schema)), (3, "l", rows), (4, "L", ("r", [group]))] + ([(5, "L", ("r", pairs))] if pairs else [])))
    return bytes(out + foot + struct.pack("<I", len(foot)) + b"PAR1")
