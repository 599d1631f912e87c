"""The sentences of the commands, save the pages of ``check`` and ``site``, to change or translate.

What recording itself says stands in ``line/wording.py``, as the line may not look up to the views. Words in
braces are filled in and may be moved but not renamed.
"""

from __future__ import annotations

USAGE = "{what} ({command} --help tells more)"

# Books
NO_BOOK = 'there is no book {path}; if that is its name and place, make it with: station start "{path}"'
NEW_BOOK = "{path}: a new book"
BOOK_SO_FAR = "{path}: {samples} samples so far"
STOP = "; stop with Ctrl-C"
TWO_BOOKS = "give one book: {one} or {other}"
TWO_PORTS = "the pupils' page needs another port than {port}, which is the teacher's"
ONE_BOOK = "give one BOOK, or --rehearse without a book"
PAGES = "pages: {address}"
ADDRESS = "{address}  (Ctrl+C ends)"
NO_ZONE = "the computer does not tell its time zone: set [site] timezone in the settings"
LOST = "{n} values could not be written to {path} and are lost"

# Folders
NO_FOLDER = "{folder} is a file; give a new folder"
NOT_EMPTY = "{folder} is not empty; give a new folder"
WROTE = "wrote {folder}"
WROTE_DEMO = "wrote {folder}; look at it with: station check {folder}"
WITHOUT_TIME = "probe.log: {n} lines without a time; try --date"
IMPORTED = "{readings} readings, {samples} samples, {rejected} rejected lines in {book}"
TEAMS_NAMED = "station.toml names teams outside [[teams]]; take that out before a class-level export"

# Ports, and the virtual probe
NO_PORTS = "no serial port: plug the probe's lead in; on Linux the user may need the group dialout"
ASKED_FOR = "asked for"
SPEAKS = "speaks like a probe: {celsius:.2f} °C in the line {line}"
NO_VALUE_YET = "no value yet, last line {line}: {why}"
SILENT = "silent for {seconds:g} s"
PORT_TAKEN = "port {port} cannot be used ({why}); choose another"
NO_PTY = "this system has no pseudo-terminals; use --tcp"
NO_SAMPLE = "{folder} holds no sample of a probe"

# The set-up check of a probe; what its steps found stands in line/wording.py
NO_PROBE = "no port looks like a probe; plug the lead in, or name it with --port"
STEP_NUMBER = "Step 1: a number. Waiting for the probe to speak ..."
STEP_HAND = "Step 2: the warm hand. Hold the tip in a closed hand for 20 seconds."
STEP_ICE = (
    "Step 3: ice. Fill a cup with crushed ice, add water to just below its top, stir, put the tip in the "
    "middle and keep stirring. It takes four minutes."
)
STEP_SOAK = "Step 4: ten minutes. Hang the probe in its place and let it be."
STEP_CLOCK = "Step 5: the clock. This computer says it is {now:%H:%M:%S} on {now:%A %d %B %Y} ({zone})."
READY = "Ready? (n leaves this step out)"
TO_GO = "  {celsius:.2f} °C, {seconds:.0f} s to go"
WRITE_CORRECTION = "Write this correction into the settings?"
ICE_REASON = "ice check of the probe"
SAME_CLOCK = "Does a clock that you trust say the same, within half a minute?"
CLOCK_FITS = "The clock is right."
CLOCK_OFF = "Set the computer's clock (automatic time), then check again."
WHICH_NUMBER = "The probe's lines hold several numbers, or one whose meaning is not clear: {question}"
THE_NUMBER = "the number"
PICK = "Which one"
UNIT = "Unit"
WHICH_SENSOR = "Several sensors speak on this line. Hold one in your hand to see which is which."
PICK_SENSOR = "Which one is the outdoor probe"
NAME_SENSOR = "A name for {sensor} (empty: leave it aside)"
