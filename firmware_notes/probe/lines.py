"""The probe's line: one SenML record and a checksum; see ../line.md.

Whole numbers only, as floats on small boards have seven digits.
"""


def crc16(data):
    """Return the CRC-16 with polynomial 0x1021 and start 0xFFFF; of b"123456789" it is 0x29B1."""
    crc = 0xFFFF
    for byte in data:
        crc ^= byte << 8
        for _ in range(8):
            crc = ((crc << 1) ^ 0x1021 if crc & 0x8000 else crc << 1) & 0xFFFF
    return crc


def decimal(value, digits):
    """Return a whole number of 10**-digits as a decimal text: decimal(-5, 1) is "-0.5"."""
    base = 10**digits
    sign = "-" if value < 0 else ""
    value = abs(value)
    fraction = str(base + value % base)[1:]
    return f"{sign}{value // base}.{fraction}"


def line(name, label, content, uptime_ms, kept=False):
    """Return a line; label is "v" with content in 0.0001 degC, or "vs" with words."""
    middle = '"u":"Cel","v":' + decimal(content, 4) if label == "v" else '"vs":"' + content + '"'
    tail = ',"kept":true' if kept else ""
    body = f'[{{"n":"{name}",{middle},"t":{decimal(uptime_ms, 3)}{tail}}}]'
    return f"{body}*{crc16(body.encode()):04X}"
