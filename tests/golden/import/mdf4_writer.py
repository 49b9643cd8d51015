"""A small independent writer of ASAM MDF 4.10 files, from the public description of the blocks. Only for making test files.

A file is built back to front: every block is appended after the blocks it points to, so that links are known;
the header block alone is patched at the end."""
import struct
import zlib


class Mdf4:
    def __init__(self):
        self.out = bytearray()
        self.out += b"MDF     " + b"4.10    " + b"test    " + b"\0" * 4 + struct.pack("<H", 410) + b"\0" * 34
        self.out += b"\0" * 104  # the header block, patched by finish()

    def block(self, name, links, data):
        while len(self.out) % 8:
            self.out += b"\0"
        at = len(self.out)
        length = 24 + 8 * len(links) + len(data)
        self.out += name + b"\0" * 4 + struct.pack("<QQ", length, len(links)) + struct.pack("<%dQ" % len(links), *links) + data
        return at

    def text(self, text, xml=False):
        if xml:
            return self.block(b"##MD", [], ("<CNunit><TX>%s</TX></CNunit>" % text).encode() + b"\0")
        return self.block(b"##TX", [], text.encode() + b"\0")

    def linear(self, offset, factor, unit=0):
        return self.block(b"##CC", [0, unit, 0, 0], struct.pack("<BBHHHdd", 1, 0, 0, 0, 2, 0.0, 0.0) + struct.pack("<dd", offset, factor))

    def channel(self, name, data_type, byte_offset, bits, kind=0, sync=0, bit_offset=0, conversion=0, unit=0, invalid_bit=None, following=0):
        flags = 0 if invalid_bit is None else 2
        data = struct.pack("<BBBBIIII", kind, sync, data_type, bit_offset, byte_offset, bits, flags, invalid_bit or 0) + struct.pack("<BBH", 0, 0, 0) + struct.pack("<6d", *([0.0] * 6))
        return self.block(b"##CN", [following, 0, self.text(name), 0, conversion, 0, unit, 0], data)

    def records(self, data, mode, width):
        """mode: 'DT', 'DZ', 'DZT' (transposed), 'DL' (list of two DT), 'HL' (list of two DZ)"""
        if mode == "DT":
            return self.block(b"##DT", [], data)
        if mode == "DZ":
            packed = zlib.compress(data)
            return self.block(b"##DZ", [], b"DT" + struct.pack("<BBIQQ", 0, 0, 0, len(data), len(packed)) + packed)
        if mode == "DZT":
            rows = len(data) // width
            turned = bytes(data[r * width + c] for c in range(width) for r in range(rows)) + data[rows * width:]
            packed = zlib.compress(turned)
            return self.block(b"##DZ", [], b"DT" + struct.pack("<BBIQQ", 1, 0, width, len(data), len(packed)) + packed)
        half = (len(data) // width // 2) * width
        kind = "DT" if mode == "DL" else "DZ"
        parts = [self.records(data[:half], kind, width), self.records(data[half:], kind, width)]
        last = self.block(b"##DL", [0, parts[1]], struct.pack("<BBBBI", 0, 0, 0, 0, 1) + struct.pack("<Q", half))
        first = self.block(b"##DL", [last, parts[0]], struct.pack("<BBBBI", 0, 0, 0, 0, 1) + struct.pack("<Q", 0))
        return first if mode == "DL" else self.block(b"##HL", [first], struct.pack("<HBB4x", 0, 0, 0))

    def group(self, channels, data, cycles, data_bytes, invalid_bytes=0, mode="DT", following=0, id_size=0):
        body = self.records(data, mode, data_bytes + invalid_bytes)
        cg = self.block(b"##CG", [0, channels, 0, 0, 0, 0], struct.pack("<QQHH4xII", 0, cycles, 0, 0, data_bytes, invalid_bytes))
        return self.block(b"##DG", [following, cg, body, 0], struct.pack("<B7x", id_size))

    def finish(self, first_group, start_ns, local=False):
        head = b"##HD" + b"\0" * 4 + struct.pack("<QQ", 104, 6) + struct.pack("<6Q", first_group, 0, 0, 0, 0, 0)
        head += struct.pack("<QhhBBBB", start_ns, 0, 0, 1 if local else 0, 0, 0, 0) + struct.pack("<dd", 0.0, 0.0)
        assert len(head) == 104
        self.out[64:168] = head
        return bytes(self.out)
