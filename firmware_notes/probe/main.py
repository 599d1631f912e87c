"""The probe: measures, writes a line, keeps values while nobody listens, starts anew if it hangs.

Copy all files of this folder to a board with MicroPython. It speaks on its USB serial line; a computer that
listens says "ok" about once a minute.
"""

import select
import sys
import time

import lines
import machine
import settings

LISTENED_MS = 150000  # without an "ok" for this long, nobody listens
STEP_MS = 50


class Uptime:
    """Milliseconds since power-on that never start again, unlike the board's own counter."""

    def __init__(self):
        self.total, self.last = 0, time.ticks_ms()

    def ms(self):
        """Return them; call at least once in an hour."""
        now = time.ticks_ms()
        self.total += time.ticks_diff(now, self.last)
        self.last = now
        return self.total


class Probe:
    """One board with its sensor, its line and its memory."""

    def __init__(self, sensor, watchdog):
        self.sensor, self.watchdog = sensor, watchdog
        self.uptime = Uptime()
        self.poll = select.poll()
        self.poll.register(sys.stdin, select.POLLIN)
        self.typed = ""
        self.heard_ms = -LISTENED_MS
        self.kept, self.kept_ms = [], {}

    def say(self, name, label, content, uptime_ms, kept=False):
        """Write one line."""
        sys.stdout.write(lines.line(name, label, content, uptime_ms, kept) + "\n")

    def wait(self, ms):
        """Sleep, feed the watchdog and listen meanwhile."""
        end = self.uptime.ms() + ms
        while True:
            self.watchdog.feed()
            self.listen()
            left = end - self.uptime.ms()
            if left <= 0:
                return
            time.sleep_ms(min(STEP_MS, left))

    def listen(self):
        """Take what was typed; an "ok" means that somebody records."""
        while self.poll.poll(0):
            character = sys.stdin.read(1)
            if not character:
                return
            if character not in "\r\n":
                self.typed = (self.typed + character)[-8:]
                continue
            if self.typed == "ok":
                self.acknowledged()
            self.typed = ""

    def acknowledged(self):
        """Send what was measured alone, if that was long, and begin to keep anew."""
        now = self.uptime.ms()
        if now - self.heard_ms > LISTENED_MS:
            for name, value, uptime_ms in self.kept:
                self.watchdog.feed()
                self.say(name, "v", value, uptime_ms, True)
        self.kept, self.heard_ms = [], now

    def keep(self, name, value, uptime_ms):
        """Keep one value in a while; the oldest goes when the memory is full."""
        if uptime_ms - self.kept_ms.get(name, -settings.KEEP_EVERY_MS) < settings.KEEP_EVERY_MS:
            return
        self.kept_ms[name] = uptime_ms
        self.kept.append((name, value, uptime_ms))
        if len(self.kept) > settings.KEEP:
            self.kept.pop(0)

    def turn(self):
        """Measure once and write it."""
        begin = self.uptime.ms()
        for name, value, fault in self.sensor.read(self.wait):
            now = self.uptime.ms()
            if fault:
                self.say(name, "vs", "fault: " + fault, now)
            else:
                self.say(name, "v", value, now)
                self.keep(name, value, now)
        self.wait(max(0, settings.EVERY_MS - (self.uptime.ms() - begin)))


def main():
    """Run for ever; on anything unforeseen say so and start anew."""
    watchdog = machine.WDT(timeout=settings.WATCHDOG_MS)
    try:
        module = __import__(settings.SENSOR)
        probe = Probe(module.make(settings), watchdog)
        probe.say("urn:dev:ow:none", "vs", "start, line version 1", probe.uptime.ms())
        while True:
            probe.turn()
    except Exception as trouble:
        sys.stdout.write(lines.line("urn:dev:ow:none", "vs", "fault: " + type(trouble).__name__, 0) + "\n")
        time.sleep_ms(1000)
        machine.reset()


main()
