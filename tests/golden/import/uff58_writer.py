"""A small independent writer of universal file dataset 58 and 58b, from the public description of the format
(Structural Dynamics Research Laboratory, University of Cincinnati). Only for making test files."""
import struct


def header(name, ident, ordinate_type, count, even, minimum, increment, unit, date="NONE", function=1, abscissa=17):
    lines = [
        name, "made for a test", date, "NONE", "NONE",
        "%5d%10d%5d%10d %-10s%10d%4d %-10s%10d%4d" % (function, ident, 0, 0, "SHAFT", 12, 3, "NONE", 0, 0),
        "%10d%10d%10d%13.5E%13.5E%13.5E" % (ordinate_type, count, 1 if even else 0, minimum, increment, 0),
        "%10d%5d%5d%5d %-20s %-20s" % (abscissa, 0, 0, 0, "Time", "s"),
        "%10d%5d%5d%5d %-20s %-20s" % (1, 0, 0, 0, "Torque", unit),
        "%10d%5d%5d%5d %-20s %-20s" % (0, 0, 0, 0, "NONE", "NONE"),
        "%10d%5d%5d%5d %-20s %-20s" % (0, 0, 0, 0, "NONE", "NONE"),
    ]
    return "\n".join(lines) + "\n"


def ascii_set(values, times=None, double=True, **head):
    text = "    -1\n    58\n" + header(ordinate_type=4 if double else 2, count=len(values), even=times is None, **head)
    fields = []
    for i, v in enumerate(values):
        if times is not None:
            fields.append("%13.5E" % times[i])
        fields.append("%20.12E" % v if double else "%13.5E" % v)
    per_line = 4 if double else 6
    for i in range(0, len(fields), per_line):
        text += "".join(fields[i:i + per_line]) + "\n"
    return (text + "    -1\n").encode("latin-1")


def binary_set(values, double=True, little=True, **head):
    order = "<" if little else ">"
    data = struct.pack(order + str(len(values)) + ("d" if double else "f"), *values)
    text = "    -1\n%6db%6d%6d%12d%12d%6d%6d%12d%12d\n" % (58, 1 if little else 2, 2, 11, len(data), 0, 0, 0, 0)
    text += header(ordinate_type=4 if double else 2, count=len(values), even=True, **head)
    return text.encode("latin-1") + data + b"\n    -1\n"


def other_set(kind, line):
    return ("    -1\n%6d\n%s\n    -1\n" % (kind, line)).encode("latin-1")
