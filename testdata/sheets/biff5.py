"""Write a BIFF5 workbook (programs of 1993 to 1996) with the cells of make.py.

Record layouts: [MS-XLS] 2.4 for what BIFF5 and BIFF8 share; strings, XF and
NOTE of BIFF5 checked by having LibreOffice read the result.
"""
import datetime, math, re, struct

SUB, DIV, CONCAT = b"\x04", b"\x06", b"\x08"
def whole(v): return struct.pack("<BH", 0x1E, v)
def text(s): return struct.pack("<BB", 0x17, len(s)) + s.encode("cp1252")
def ref(row, col): return struct.pack("<BHB", 0x44, (row - 1) | 0xC000, col - 1)


# Number formats by the names of the styles in make.py, and style numbers of XF.
FORMATS = {"cN1": "0.0", "cN2": "0.00", "cN4": "0000", "cNG": '0.0" g"', "cNP": "0%", "cND": "yyyy\\-mm\\-dd", "cNS": "d\\-mmm", "cNM": "mmm\\ yyyy",
           "cNX": "yyyy\\-mm\\-dd\\ hh:mm", "cNT": "hh:mm", "cNE": "[h]:mm:ss", "cNB": "General", "cyellow": "General"}
STYLES = {name: 21 + i for i, name in enumerate(FORMATS)}
FIRST_FORMAT = 164


def rec(id, data=b""): return struct.pack("<HH", id, len(data)) + data
def short(s): return bytes([len(s)]) + s.encode("cp1252")
def long(s): return struct.pack("<H", len(s.encode("cp1252"))) + s.encode("cp1252")


def serial(kind, value):
    if kind == "time":
        h, m, s = map(int, re.match(r"PT(\d+)H(\d+)M(\d+)S", value).groups())
        return (h * 3600 + m * 60 + s) / 86400
    d = datetime.datetime.fromisoformat(value) - datetime.datetime(1899, 12, 30)
    return d.days + d.seconds / 86400


def xf(format, pattern=0, colour=64, cell=True):
    return rec(0xE0, struct.pack("<HHHHHHHH", 0, format, 0x0001 if cell else 0xFFF5, 0xFC20 if cell else 0x0020, colour | 65 << 7, pattern, 0, 0))


def rk(v):
    """The short form of a number, or None: a whole number, or hundredths."""
    for f, flag in ((1, 0), (100, 1)):
        n = round(v * f)
        if abs(n) < 1 << 29 and n / f == v:
            return (n << 2 | 2 | flag) & 0xFFFFFFFF
    return None


def cell_records(r, c, x):
    head = struct.pack("<HHH", r, c, STYLES.get(x["style"], 15))
    kind, value, tokens = x["kind"], x["value"], x["tokens"]
    if kind is None or kind == "covered":
        return rec(0x201, head) if x["style"] else b""
    if tokens:
        result, after = b"", b""
        if value == "" and x["shown"].startswith("#"):
            result = bytes([2, 0, 7, 0, 0, 0, 0xFF, 0xFF])
        elif kind == "string":
            result, after = bytes([0, 0, 0, 0, 0, 0, 0xFF, 0xFF]), rec(0x207, long(value))
        else:
            result = struct.pack("<d", value)
        return rec(0x06, head + result + struct.pack("<HIH", 0, 0, len(tokens)) + tokens) + after
    if kind == "string":
        return rec(0x204, head + long(value))
    if kind == "boolean":
        return rec(0x205, head + bytes([value == "true", 0]))
    v = serial(kind, value) if kind in ("date", "time") else value
    if (short_form := rk(v)) is not None:
        return rec(0x27E, head + struct.pack("<I", short_form))
    return rec(0x203, head + struct.pack("<d", v))


def sheet(rows):
    out = rec(0x809, struct.pack("<HHHH", 0x500, 0x10, 0x1FAA, 0x7CD))
    width = max(len(cells) for cells, _ in rows)
    out += rec(0x200, struct.pack("<HHHHH", 0, len(rows), 0, width, 0))
    for r, (cells, hidden) in enumerate(rows):
        out += rec(0x208, struct.pack("<HHHHHHHH", r, 0, len(cells), 255, 0, 0, 0x0100 | (0x20 if hidden else 0), 15))
    for r, (cells, _) in enumerate(rows):
        for c, x in enumerate(cells):
            out += cell_records(r, c, x)
    for r, (cells, _) in enumerate(rows):
        for c, x in enumerate(cells):
            if x["comment"]:
                out += rec(0x1C, struct.pack("<HHH", r, c, len(x["comment"])) + x["comment"].encode("cp1252"))
    return out + rec(0x23E, struct.pack("<HHHI", 0x00B6, 0, 0, 0)) + rec(0x0A)


def stream(tabs):
    head = rec(0x809, struct.pack("<HHHH", 0x500, 0x05, 0x1FAA, 0x7CD)) + rec(0x42, struct.pack("<H", 1252))
    head += rec(0x3D, struct.pack("<HHHHHHHHH", 0, 0, 0x2000, 0x2000, 0x38, 0, 0, 1, 600)) + rec(0x22, struct.pack("<H", 0))
    head += rec(0x31, struct.pack("<HHHHHBBBB", 200, 0, 0x7FFF, 400, 0, 0, 0, 0, 0) + short("Arial")) * 4
    for i, code in enumerate(FORMATS.values()):
        head += rec(0x41E, struct.pack("<H", FIRST_FORMAT + i) + short(code))
    head += b"".join(xf(0, cell=i == 15) for i in range(21))
    for i, name in enumerate(FORMATS):
        head += xf(0 if FORMATS[name] == "General" else FIRST_FORMAT + i, *((1, 13) if name == "cyellow" else ()))
    head += rec(0x293, struct.pack("<HBB", 0x8000, 0, 0xFF))
    bodies = [sheet(rows) for _, _, rows in tabs]
    listed = sum(len(rec(0x85, b"\0" * 6 + short(name))) for name, _, _ in tabs)
    at, out = len(head) + listed + 4, head
    for (name, hidden, _), body in zip(tabs, bodies):
        out += rec(0x85, struct.pack("<IBB", at, int(hidden), 0) + short(name))
        at += len(body)
    return out + rec(0x0A) + b"".join(bodies)


def workbook(tabs):
    """The stream in a compound file ([MS-CFB]) with sectors of 512 bytes."""
    book = stream(tabs)
    book += b"\0" * (max(4096, math.ceil(len(book) / 512) * 512) - len(book))
    n = len(book) // 512
    assert n + 2 <= 128
    fat = [0xFFFFFFFD, 0xFFFFFFFE] + [i + 3 for i in range(n - 1)] + [0xFFFFFFFE]
    fat += [0xFFFFFFFF] * (128 - len(fat))

    def entry(name, kind, child, start, size):
        raw = (name + "\0").encode("utf-16-le") if name else b""
        return raw.ljust(64, b"\0") + struct.pack("<HBBIII", len(raw), kind, 1, 0xFFFFFFFF, 0xFFFFFFFF, child) + b"\0" * 36 + struct.pack("<IQ", start, size)

    directory = entry("Root Entry", 5, 1, 0xFFFFFFFE, 0) + entry("Book", 2, 0xFFFFFFFF, 2, len(book)) + entry("", 0, 0xFFFFFFFF, 0, 0) * 2
    header = bytes.fromhex("d0cf11e0a1b11ae1") + b"\0" * 16 + struct.pack("<HHHHH6xIIIIIIIII", 0x3E, 3, 0xFFFE, 9, 6, 0, 1, 1, 0, 4096, 0xFFFFFFFE, 0, 0xFFFFFFFE, 0)
    header += struct.pack("<I", 0) + b"\xff" * (108 * 4)
    assert len(header) == 512
    return header + struct.pack("<128I", *fat) + directory + book
