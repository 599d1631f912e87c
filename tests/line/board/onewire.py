# A wire with one chip on it, whose answers come one after the other from the file "answers":
# a number is a raw value, "crc" a damaged answer, "none" no chip, "hang" a wire that never answers.
import time

with open("answers") as file:  # noqa: PTH123 (no pathlib there)
    answers = file.read().split()


class OneWire:
    def __init__(self, pin):
        self.now = "none"
        self.reply = []

    def scan(self):
        return [bytes.fromhex("28ff641e8416034c")] if answers and answers[0] != "none" else self.gone()

    def gone(self):
        if answers:
            answers.pop(0)
        return []

    def reset(self):
        return True

    def select_rom(self, rom):
        pass

    def writebyte(self, byte):
        if byte == 0xBE:
            answer = answers.pop(0) if answers else "0"
            if answer == "hang":
                time.sleep_ms(1500)
                answer = "0"
            if answer == "none":
                self.reply = [0xFF] * 9
                return
            raw = int(answer) & 0xFFFF if answer != "crc" else 0x0191
            pad = bytearray([raw & 255, raw >> 8, 0x4B, 0x46, 0x7F, 0xFF, 0x0C, 0x10])
            self.reply = list(pad) + [self.crc8(pad) ^ (answer == "crc")]  # noqa: RUF005 (not in MicroPython)

    def readbyte(self):
        return self.reply.pop(0)

    def crc8(self, data):  # 1-wire CRC-8, polynomial x^8 + x^5 + x^4 + 1, reflected
        crc = 0
        for byte in data:
            crc ^= byte
            for _ in range(8):
                crc = (crc >> 1) ^ 0x8C if crc & 1 else crc >> 1
        return crc
