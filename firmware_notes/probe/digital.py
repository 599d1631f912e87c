"""A digital 1-wire thermometer chip of family 28 (hexadecimal): every byte that it sends is checked.

Facts from its datasheet: 1/16 degC a step, conversion up to 750 ms, 85 degC after power-on until a conversion
is done, the ninth byte is a CRC-8 of the eight before it.
"""

import time

import machine
import onewire

CONVERT, READ, POWER_ON = 0x44, 0xBE, 0x0550
FAMILY = 0x28
CONVERSION_MS = 750
NEAR = 3 * 16  # 3 degC: a value of 85 next to such a value is a temperature, else it is left from power-on


class Sensors:
    """All chips on one wire."""

    def __init__(self, settings):
        self.wire = onewire.OneWire(machine.Pin(settings.DATA_PIN))
        self.last = {}
        self.roms = []

    def read(self, wait):
        """Return (name, value in 0.0001 degC or None, fault) of each chip; ``wait`` sleeps some ms."""
        if not self.roms:
            self.roms = [rom for rom in self.wire.scan() if rom[0] == FAMILY]
        if not self.roms or not self.wire.reset():
            self.roms = []
            return [("urn:dev:ow:none", None, "no sensor")]
        self.wire.writebyte(0xCC)  # all chips
        self.wire.writebyte(CONVERT)
        wait(CONVERSION_MS)
        return [self.one(rom) for rom in self.roms]

    def one(self, rom):
        """Return name, value and fault of one chip."""
        name = "urn:dev:ow:" + "".join(f"{byte:02x}" for byte in rom)
        if not self.wire.reset():
            self.roms = []
            return name, None, "no sensor"
        self.wire.select_rom(rom)
        self.wire.writebyte(READ)
        pad = bytearray(9)
        for i in range(9):
            pad[i] = self.wire.readbyte()
        if pad == b"\xff" * 9:
            self.roms = []
            return name, None, "no sensor"
        if self.wire.crc8(pad) or pad == bytes(9):
            return name, None, "crc"
        raw = pad[0] | pad[1] << 8
        if raw & 0x8000:
            raw -= 0x10000
        if raw == POWER_ON and abs(self.last.get(name, 0) - raw) > NEAR:
            return name, None, "power-on value"
        self.last[name] = raw
        return name, raw * 625, ""


def make(settings):
    """Return the sensor."""
    time.sleep_ms(10)
    return Sensors(settings)
