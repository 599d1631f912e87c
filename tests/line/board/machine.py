# A board that is not there, for the MicroPython interpreter: pins, a watchdog, a restart.
import sys
import time


class Pin:
    def __init__(self, number):
        self.number = number


class ADC:
    def __init__(self, number):
        with open("share") as file:  # noqa: PTH123 (no pathlib there)
            self.value = int(float(file.read()) * 65535)

    def read_u16(self):
        return self.value


class WDT:
    def __init__(self, timeout):
        self.timeout, self.fed = timeout, time.ticks_ms()

    def feed(self):
        now = time.ticks_ms()
        if time.ticks_diff(now, self.fed) > self.timeout:
            sys.stdout.write("WATCHDOG\n")
            sys.exit(3)
        self.fed = now


def reset():
    sys.exit(4)
