"""Sentences of the teacher's day: first start, before school, session, cards."""

from __future__ import annotations

# First start
FIRST_TITLE = "Where do you measure?"
FIRST_INTRO = (
    "Three answers and the book can begin. The rest comes as one ten-minute step a day over two weeks."
)
FIRST_PLACE = "The place"
FIRST_LATITUDE = "Latitude"
FIRST_LATITUDE_HELP = "such as 44.3 N; a map on any telephone shows it"
FIRST_LONGITUDE = "Longitude"
FIRST_LONGITUDE_HELP = "such as 91.4 W"
FIRST_ZONE = "Time zone"
FIRST_ZONE_HELP = "such as America/Chicago"
FIRST_GAPS = "How many small gaps lie between 0 and 10 on the Celsius side?"
FIRST_GAPS_HELP = (
    "10 gaps: one mark a degree. 5 gaps: one mark every two degrees. 20 gaps: two marks a degree."
)
FIRST_PROBE = "The probe"
FIRST_PROBES = (
    ("0.5", "0.0625", "a digital sensor on a lead, within 0.5 °C by its sheet"),
    ("1.0", "0.1", "another sensor, within 1 °C"),
    ("2.0", "0.5", "I don't know; take 2 °C for now"),
)
FIRST_BRING = "Or bring a recording"
FIRST_BRING_HELP = "A folder with station.toml, readings.csv and probe.csv becomes this book."
FIRST_BRING_FOLDER = "Folder"
FIRST_BRING_BUTTON = "Bring it in"
FIRST_BROUGHT = "{readings} readings and {samples} values of the probe are in the book."
FIRST_CHECK_TITLE = "Does the sun agree?"
FIRST_CHECK = "Today the sun rises {rise} and stands due {side} {noon}: does that fit?"
FIRST_CHECK_NO_RISE = "Today the sun stands due {side} {noon} and does not rise or set: does that fit?"
FIRST_CHECK_WHY = (
    "If the times are an hour or more off, a sign of the latitude or longitude or the time zone is not "
    "as meant."
)
SOUTH, NORTH = "south", "north"
FIRST_FITS = "Yes, it fits"
FIRST_AGAIN = "No, change it"
FIRST_BAD_GAPS = "Between 0 and 10 there can be 1 to 100 small gaps."

# Before school
BEFORE_TITLE = "Is everything ready?"
BEFORE_OPENED = "Today, {day}, {time}."
BEFORE_PROBE_OK = "The probe is alive: its last value came {age} ago."
BEFORE_PROBE_SILENT = "The probe has been silent for {age}: look at its plug and cable."
BEFORE_PROBE_NONE = (
    "No value has come from a probe yet. Cards, thermometers and the class value work without one."
)
BEFORE_PROBE_BOOK = "Nothing records in this window; the book's last value is {age} old."
PROBE_QUESTION = "The probe's lines raise a question: the program's window says which, and how to answer it"
BEFORE_REJECTED = "{n} lines could not be read; they are kept."
BEFORE_CLOCK_OK = "The probe's last stamp and this computer's clock agree."
BEFORE_CLOCK_AHEAD = (
    "The last value is stamped {age} ahead of this computer's clock: set the clock before anything else."
)
BEFORE_FAULTS_NONE = "Since yesterday nothing was wrong with the record."
BEFORE_FAULTS = "Since yesterday: {kinds}."
BEFORE_SUN = "The sun is up from {rise} to {set} and stands due {side} at {noon}."
BEFORE_SUN_LIT = (
    "If the sky is clear, it may reach the place from {start} to {end}, in the time of a session."
)
BEFORE_SUN_UNKNOWN = (
    "Where the sun reaches the place is not known: the settings hold no latitude and longitude."
)
BEFORE_REST = "At rest: thermometers {numbers}."
BEFORE_REST_NONE = "No thermometer is at rest."
BEFORE_EXPECTED = "The next session: {when}, {n} teams."
BEFORE_NO_TEAMS = "The class has no teams yet: begin with the session."
BEFORE_NO_SCHOOL = "No school today by the calendar in the settings."
BEFORE_WAITING = "Cards wait from {sessions}."
BEFORE_WAITING_NONE = "No cards wait from missed days."
BEFORE_GO_SESSION = "To the session"
BEFORE_GO_CARDS = "Enter waiting cards"
BEFORE_STEP = "Ten minutes for today"
BEFORE_STEP_OF = "Step {n} of {all}"
BEFORE_STEPS = (
    "Number the thermometers: a small label on the back, one number each, never used twice.",
    "Look at each thermometer: a gap in the column, a crack or a loose plate means rest. A silver liquid is "
    "mercury: do not use it, tell the person your school names for that.",
    "Read both scales of each at 0 and at 20 °C on the print: 0 should face 32, 20 should face 68.",
    "Hang the probe where the bulbs will hang, at the same height, off walls and metal, with a drip loop in "
    "its lead. Keep the laptop indoors and switch its sleep off.",
    "Warm the probe in a hand: the page should say that it is alive, and nothing more.",
    "Put all thermometers into one bucket of stirred water for ten minutes and write down what each says.",
    "Write the team labels on the table cards. Labels, never children's names.",
    "Take three thermometers outside and read one each minute for twelve minutes: that is your waiting time.",
    "Agree with the class: the most common number is our number, and what to do in a tie.",
    "Rehearse one whole day with Larch Lane.",
)

# Session
SESSION_TITLE = "Who is out, and how is the air?"
SESSION_TAKE = "Take this session"
SESSION_DATE = "Date"
SESSION_PART = "Part of the day"
SESSION_SHADOW = "Could you see your shadow?"
SESSION_SHADOWS = (("yes", "yes"), ("faint", "faint"), ("no", "no"))
SESSION_AIR = "Is the air moving?"
SESSION_AIRS = (("still", "still"), ("leaves", "leaves"), ("coats", "coats"))
SESSION_NUMBERS = "Thermometers"
SESSION_DRAW = "Draw numbers at random"
SESSION_DRAW_HELP = (
    "Each team gets a number that is not at rest; cards then start with it. Or type them with the cards."
)
SESSION_FEW_NUMBERS = "There are fewer thermometers in use than teams, so none were drawn."
SESSION_TIMER = "Waiting"
SESSION_OUT = "They are out"
SESSION_WAIT = "Wait about {minutes} before reading: {why}."
SESSION_WAIT_WHY = (
    "a thermometer from the classroom needs that long to come within half a degree on a cold day"
)
SESSION_WAIT_NONE = "The thermometers wait outside, so there is nothing to wait for."
SESSION_WAITING = "Out since {since}. Read from {ready} on."
SESSION_NOT_HELD = "Not held"
SESSION_NOT_HELD_HELP = "A missed session with a reason is a good decision, not a gap."
SESSION_REASON = "Reason"
SESSION_REASONS = (
    "thunder", "too cold", "too hot", "too windy", "no time", "closed", "cards wait until Friday",
)  # fmt: skip
REASON_WAITING = "cards wait until Friday"
SESSION_MISSED = "Noted: not held ({reason})."
SESSION_PAIRS = "Teams today"
SESSION_PAIR_CHOICES = (
    ("", "as usual"),
    ("new pair", "new pair"),
    ("one reader", "one reader"),
    ("helped", "helped"),
)
SESSION_TEAMS = "What are the teams called?"
SESSION_TEAMS_HELP = "One label a line, such as trees or colours. Labels, never children's names."
SESSION_TEAMS_SAVE = "These are the teams"
SESSION_GO_CARDS = "To the cards"
SESSION_THUNDER = (
    "Thunder heard: indoors until 30 minutes after the last. Your school's own rules for heat and cold "
    "come first."
)
NOTE_HELPED = "helped"

# Cards
CARDS_TITLE = "What do the cards say?"
CARDS_HEAD = "{session}: {n} of {all} cards are in."
CARDS_HOW = (
    "Type as written: Enter goes on, arrows go up and down. A blank, “-”, “absent” and “broken” are fine."
)
CARDS_COLUMNS = ("Team", "No.", "°C", "°F", "")
CARDS_CELL = "{team}, {column}"
CARDS_NUMBER, CARDS_CELSIUS, CARDS_FAHRENHEIT = "thermometer number", "degrees Celsius", "degrees Fahrenheit"
CARDS_SAVED = "saved"
CARDS_SAVING = "saving"
CARDS_LOST = "not saved"
CARDS_MARK = "a card to look at"
CARDS_ASK = "Is this what your card says?"
CARDS_KEEP = "Keep"
CARDS_KIND = {
    "missing": "One of the two scales is blank.",
    "not a number": "A cell is not a number.",
    "off the scale": "A number lies off the printed scale.",
    "other unit": "A unit letter belongs to the other column.",
    "two scales": "The two scales lie further apart than the marks explain.",
    "number twice": "This thermometer's number is on two cards.",
    "resting": "This thermometer is at rest.",
}
CARDS_AGAIN_NONE = "No card asks for a second look."
CARDS_AGAIN_ONE = "One card asks for a second look: focus its mark to see why. Keep is fine."
CARDS_AGAIN = "{n} cards ask for a second look: focus a mark to see why. Keep is fine."
CARDS_THERMOMETER = (
    "Two teams were asked about number {number}, so the question is about the thermometer: do 0 and "
    "32, and 20 and 68, face each other on its plate?"
)
CARDS_ALL_IN = "All cards are in"
CARDS_NOT_IN = "No card yet from {teams}. They can follow later."
CARDS_ARE_IN = "The cards are in. A change now keeps the old value with its reason."
CARDS_REASON = "Reason for a change"
CARDS_REASONS = ("typed other than the card", "the team looked at its card again", "card found later")
REASON_TYPED = "typed again during entry"
REASON_UNDONE = "undone"
CARDS_OPEN_AGAIN = "Open the entry again"
CARDS_UNDO = "Undo the last change"
CARDS_UNDONE = "Undone for {team}."
CARDS_UNDO_NONE = "There is no change to undo."
CARDS_GO_TOGETHER = "Together"
CARDS_NO_SESSION = "No session is in hand yet."
CARDS_NO_TEAM = "That team is not of this class."
CARDS_TOO_LONG = "A cell holds at most {n} letters."
CARDS_OTHER = "Another session"
CARDS_PUPILS = "Pupils enter their own cards: {n} came from their tablets."
