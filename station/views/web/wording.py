"""Every sentence of the pages, in one place, for a teacher to change or translate.

Words in braces are filled in and may be moved but not renamed. No word of blame has a place here.
"""

from __future__ import annotations

APP = "station"
NAV_LABEL = "The places of the day"
#: The five places, in the order of the day: address and name.
NAV = (
    ("/", "Before school"),
    ("/cards", "Cards"),
    ("/together", "Together"),
    ("/after", "After school"),
    ("/friday", "Friday"),
)
SKIP = "To the page"
REHEARSAL = "Rehearsal with Larch Lane, an invented class. Nothing you do here touches your own book."
NOTE_TITLE = "One thing first"
NOT_FOUND = "There is no such page."
BACK = "Back"
SAVE = "Save"
CONTINUE = "Continue"
OFFLINE = "The program does not answer. What has a tick is safe; keep this page open and start it again."
NOT_YET = "That is for another time: {why}"

# What stands before every page
GUARD_HOST = "This address does not answer under that name."
GUARD_METHOD = "Pages can be read and forms can be sent, nothing else."
GUARD_ORIGIN = "A form must come from a page of this program."
GUARD_BODY = "That is more than this page takes."
GUARD_TOKEN = "This page is too old: load it again, then send the form once more."
GUARD_TROUBLE = (
    "Something went wrong inside. What was saved is safe; the details are in the program's window."
)

# Times
AGE_S = "{n}\u202fs"
AGE_MIN = "{n}\u202fmin"
AGE_H = "{n}\u202fh"
AGE_DAYS = "{n} days"

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
PROBE_QUESTION = "The probe's lines raise a question: the program's window says which"
BEFORE_REJECTED = "{n} lines could not be read; they are kept."
BEFORE_CLOCK_OK = "The probe's last stamp and this computer's clock agree."
BEFORE_CLOCK_AHEAD = (
    "The last value is stamped {age} ahead of this computer's clock: set the clock before anything else."
)
BEFORE_FAULTS_NONE = "Since yesterday nothing was wrong with the record."
BEFORE_FAULTS = "Since yesterday: {kinds}."
BEFORE_SUN = "The sun is up from {rise} to {set} and stands due {side} at {noon}."
BEFORE_SUN_LIT = "It may reach the place from {start} to {end}."
BEFORE_SUN_UNKNOWN = (
    "Where the sun reaches the place is not known: the settings hold no latitude and longitude."
)
BEFORE_REST = "At rest: thermometers {numbers}."
BEFORE_REST_NONE = "No thermometer is at rest."
BEFORE_EXPECTED = "{n} teams are expected {when}."
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
SESSION_WHICH = "Session"
SESSION_TAKE = "Take this session"
SESSION_DATE = "Date"
SESSION_PART = "Part of the day"
SESSION_SHADOW = "Could you see your shadow?"
SESSION_SHADOWS = (("yes", "yes"), ("faint", "faint"), ("no", "no"))
SESSION_AIR = "Is the air moving?"
SESSION_AIRS = (("still", "still"), ("leaves", "leaves"), ("coats", "coats"))
SESSION_NOT_ASKED = "not noted"
SESSION_NUMBERS = "Thermometers"
SESSION_DRAW = "Draw numbers at random"
SESSION_DRAW_HELP = (
    "Each team gets a number that is not at rest; cards then start with it. Or type them with the cards."
)
SESSION_DRAWN = "Drawn: the table below goes out with the box."
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

# Together
CELSIUS, FAHRENHEIT = "°C", "°F"
TOGETHER_TITLE = "What do we look at together?"
TOGETHER_SESSION = "The class screen shows {session}."
TOGETHER_NONE = "There are no cards yet. The class screen opens once the first cards are in."
TOGETHER_OPEN = "Cards are still being entered. Say on the cards page that all are in, then the screen opens."
TOGETHER_NOT_IN_HAND = "This session is not in hand: take it in hand on the session page first."
TOGETHER_WAITING = "{n} in “cards for a second look”: the two scales disagree, or far from the middle one."
TOGETHER_WAITING_NONE = "No card waits for a second look."
TOGETHER_HANDS = "Hands up for “all will get the same number”"
TOGETHER_HANDS_BAD = "The hands are a count from 0 to 99."
TOGETHER_ALL_DOTS = "Show the cards for a second look as well"
TOGETHER_DARK = "The room is dark"
TOGETHER_LIGHT = "The room is light"
TOGETHER_LONG = "Open the class screen"
TOGETHER_SHORT = "The short form: dots, our number, the probe"
TOGETHER_KEYS = "On the screen: the right arrow goes on, the left arrow goes back. It leads nowhere else."
TOGETHER_WINDOW = "It opens in a window of its own; drag that one to the projector."
TOGETHER_OTHER = "Another session"
TOGETHER_SHOW = "Choose"
TOGETHER_LESSONS = "Lesson scenes"
TOGETHER_LESSONS_HELP = "Each is one page: a prediction first, then the picture. They print as they look."

# Class screen
SCREEN_TITLES = {
    "predict": "Same air, same minute: will all get the same number?",
    "dots": "How far apart?",
    "vote": "Which number is our number?",
    "number": "Which number is our number?",
    "marks": "How fine are the marks?",
    "promise": "What can this kind of thermometer promise?",
    "probe": "Where is the probe?",
    "question": "",
}
SCREEN_HANDS = "{n} hands said yes."
SCREEN_EMPTY = "There are no numbers to show yet."
SCREEN_EMPTY_SCALE = "An empty scale."
SCREEN_SPREAD = "{n} dots from {low} to {high}: {apart} apart."
SCREEN_WAITING = "{n} cards wait for a second look."
SCREEN_WAITING_ONE = "One card waits for a second look."
SCREEN_TALLY = "{n} × {value}"
SCREEN_RULE = "Our rule: the number most cards say. The middle one stands beside it."
SCREEN_NUMBER = "The most common number is {value}. The middle one is {median}."
SCREEN_NO_AGREEMENT = "No number is common enough today. The middle one is {median}."
SCREEN_NO_AGREEMENT_ALONE = "Too few complete cards for a number of the class."
SCREEN_MARKS = "The tube is only marked every {mark}: half a mark either way is wiggle room."
SCREEN_PROMISE = "The stripe this thermometer can promise: {half} either way."
SCREEN_NO_PROMISE = "No sheet says what these thermometers promise."
SCREEN_BASIS = "Why this wide: {basis}."
SCREEN_PROBE = "Our best idea of the air temperature: {value}, give or take {give}."
SCREEN_NO_REFERENCE = "The probe can't say today: {why}."
SCREEN_QUESTION_ALL = "Several teams, several numbers, nobody is wrong. Why?"
SCREEN_QUESTION_NUMBER = "Number {number} again: what would you test?"
SCREEN_QUESTION_WEEKS = "Dots of week 1 and of this week: what changed?"
SCREEN_QUESTION_ELSE = "How could we find out what made the dots lie apart?"
SCREEN_QUESTION_HELP = "Three baskets: the air, the thermometer, the reader. Which one is it in?"
SCREEN_ON, SCREEN_BACK = "On", "Back"
SCREEN_STEP = "Step {n} of {all}"
SCREEN_LABEL = "Class screen"
LESSON_TITLES = (
    "Same air, same number?",
    "One reading, or the mean of many?",
    "Leaning warm, or scattering?",
    "Where must the eye be?",
    "How long must we wait?",
    "Did it go with the tube or with the pair?",
    "What if all sit in one bucket?",
    "Can the probe be wrong?",
)

# Pupils' page and table cards
PUPILS_TITLE = "Your card"
PUPILS_WORDS = "The four words on your table card"
PUPILS_GO = "Open our card"
PUPILS_AGAIN = "Those are not the words of a table card of today. Look at each word once more."
PUPILS_CLOSED = "No cards are being entered now."
PUPILS_WAIT = "Too many tries. Wait ten minutes, or hand in your paper card: it counts the same."
PUPILS_HEAD = "{team}, {session}"
PUPILS_NUMBER = "Thermometer number"
PUPILS_C, PUPILS_F = "Degrees Celsius", "Degrees Fahrenheit"
PUPILS_SAVE = "Save our card"
PUPILS_SAVED = "Saved. You can change it until all cards are in."
PUPILS_ODD = "Saved as you wrote it. One of them is not a number: is this what your card says?"
PUPILS_HELP = "Write what your card says. If a number is missing, leave it blank."
TABLE_TITLE = "What goes on the tables?"
TABLE_HEAD = "Table cards for {session}. They hold until all cards are in."
TABLE_ADDRESS = "Address: {address}"
TABLE_OR = "or these four words"
TABLE_CLOSED = "The pupils' page is closed. It opens when the program is started with --lan."
TABLE_NO_SESSION = "Take a session in hand first; each session has its own words."
TABLE_WIFI = (
    "If a tablet says that the address can't be reached, the school's Wi-Fi keeps devices apart: then "
    "paper does everything, and nothing is lost."
)
TABLE_PLAIN = (
    "What pupils send crosses the school's Wi-Fi unencrypted: a team label and two numbers, nothing else."
)
PRINT = "Print"

# After school
AFTER_TITLE = "What goes on the record?"
AFTER_PROPOSAL = "Our number would be {value} ({rule}, {n} cards). The middle one is {median}."
AFTER_NO_PROPOSAL = "The rule gives no number ({n} cards). The middle one is {median}."
AFTER_NOTED = "Noted: {notes}."
AFTER_VALUE = "Value for the record, {unit}"
AFTER_REASON = "Reason, if it is another one"
AFTER_DECIDE = "On the record"
AFTER_DECIDED = "On the record: {value}."
AFTER_DECIDED_REASON = " Reason: {reason}."
AFTER_BY_TEACHER = "decided by the teacher: {reason}"
AFTER_MISSED = "not held: {reason}"
AFTER_WEEK = "Week of {day}"
AFTER_DAY = "Day"
AFTER_PART = "{part}, {unit}"
AFTER_EMPTY = "No cards are in yet. The record begins with the first session."
AFTER_NOTE = (
    "In bold: decided by the teacher. The others are proposed by the class's rule; the probe has no say."
)
AFTER_TEAMS = "Who could use a look?"
AFTER_TEAMS_HELP = "Private: it opens covered."
AFTER_PICTURE = "The latest session, each team's dot with its thermometer's stripe: on the private page."

# Teams
TEAMS_TITLE = "Who could use a look?"
COVER_TEXT = "This page is about teams and is for you alone. It covers itself after a minute without a key."
COVER_OPEN = "Show it"
COVER_PROJECTOR = "The class screen is open. Is the projector off, or not showing this window?"
COVER_PROJECTOR_OFF = "The projector is off: show it"
COVER_KEY = "Key: s"
COVER_AGAIN = "Cover it"
WARM, COOL = "warm", "cool"
STATES = {
    "too early": "Too early to say ({n} of 8 readings).",
    "nothing to see": "Nothing to see.",
    "worth a look": "Worth a look.",
    "clear": "Clear and repeated.",
}
TEAMS_NOBODY = "Today nobody needs a look."
TEAMS_SUGGESTION = "{day}: {teams} could use a look. Two are enough for one day."
TEAMS_SUGGESTION_ONE = "{day}: {teams} could use a look."
TEAMS_NOT_SEPARABLE = (
    "Teams and thermometers can't be told apart yet: let teams swap thermometers from session to session."
)
TEAMS_LEANS = "Leans {side} by {size} against the middle of the class (95 %: {span})."
TEAMS_LEANS_NOT = "Leans neither way that can be told (95 %: {span})."
TEAMS_LEANS_UNKNOWN = "How the team leans can't be told yet."
TEAMS_COUNT = "Shows in {n} readings."
TEAMS_EXAMPLE = "{session}: {c} and {f}, number {number}"
TEAMS_LOOKS_LIKE = "Would look the same: {kinds}."
TEAMS_SAY = "To say: “{words}”"
TEAMS_SOME_DEGREES = "a little"
TEAMS_COACH = "Looked at together today"
TEAMS_TOPIC = "What was looked at"
TEAMS_TOPICS = (
    "both scales",
    "eye line",
    "waiting",
    "holding it",
    "small marks",
    "the minus sign",
    "another",
)
TEAMS_COACHED = "Looked at together on {day}. {outcome}"
TEAMS_CHANGE = {
    "helped": "Since then {kind} shows less: it helped.",
    "not yet": "Since then {kind} shows as before.",
    "too early": "Too early to say what became of {kind}.",
}
TEAMS_CHANGE_NONE = "From there on the readings are looked at anew."
TEAMS_SEGMENT = "{first} to {last}: {size} ({span})."
TEAMS_PICTURE = (
    "Errors by team against the stripe that the thermometers promise, in the order of the alphabet."
)
TEAMS_SESSION_PICTURE = "The latest session: each team's dot with its thermometer's stripe, and the probe's."
TEAM_KINDS = {
    "scales_swapped": "Celsius and Fahrenheit change places on the card.",
    "same_scale_twice": "The same scale stands in both places.",
    "scale_missing": "One scale stays blank.",
    "minus_dropped": "Below zero the minus is missing.",
    "digits_transposed": "Two digits change places.",
    "copied_last_session": "The card is that of the session before.",
    "counted_wrong_way": "Marks are counted away from the wrong numbered mark.",
    "ten_off": "One scale is ten off, the other fits.",
    "small_marks": "Small marks on the Fahrenheit side are counted as one degree each.",
    "converted_not_read": "The Fahrenheit number is worked out from Celsius more often than chance.",
    "rounded": "Numbers end in 0 or 5 more often than the air does.",
    "read_too_soon": "The colder outside, the warmer the reading: the column still moves ({size}).",
    "bulb_warmed": "Now and then the column stands warm, as if a hand was near the bulb.",
    "eye_line": "Readings lean by {size} whatever the thermometer, as a high or low eye makes them.",
    "in_the_sun": "Warm on clear days, as if the sun reached the bulb.",
    "thermometer_offset": "The thermometer reads off by {size}.",
}
TEAM_KIND_NAMES = {
    "scales_swapped": "swapped scales",
    "counted_wrong_way": "counting from the wrong mark",
    "minus_dropped": "a missing minus",
    "ten_off": "ten off",
    "digits_transposed": "digits that change places",
    "scale_plate_slipped": "a slipped scale plate",
    "clock_shift": "a clock that is off",
    "wrong_half_day": "cards of the other half-day",
    "bulb_warmed": "a warm hand",
    "read_too_soon": "reading too soon",
    "in_the_sun": "sun on the bulb",
    "warm_surface": "a warm wall or table",
    "thermometer_offset": "a warm or cool thermometer",
    "eye_line": "the eye line",
    "small_marks": "counting the small marks",
    "converted_not_read": "working one scale out from the other",
    "rounded": "rounding",
    "unexplained": "nothing that is known",
    "probe_fault": "a trouble of the probe",
}
TEAM_SAY = {
    "scales_swapped": "Show me with your finger where C stands on the tube.",
    "same_scale_twice": "Read me the other side, please.",
    "minus_dropped": "Is the column above or below the zero?",
    "counted_wrong_way": "Which numbered mark is just below the column? Count up from there.",
    "ten_off": "Which two numbered marks is the column between?",
    "small_marks": "How many degrees is one small gap on the F side?",
    "converted_not_read": "Cover the C side and read F alone: what do you get?",
    "rounded": "Between which two small marks does the column end?",
    "read_too_soon": "Let's watch one minute more: does the column still move?",
    "bulb_warmed": "Where do your fingers go while you read?",
    "eye_line": "Bring your eye level with the end of the column and read once more.",
    "in_the_sun": "Where is your shadow while you read?",
}
TEAM_SAY_ELSE = "Let's look at that number again together."

# Friday
FRIDAY_TITLE = "What can be put in order?"
FRIDAY_WAYS = (
    ("/box", "Thermometers", "How much each one leans, and which ones rest."),
    ("/place", "The place", "Does the sun reach it, and when."),
    ("/tables", "Table cards", "The words for tablets, to be printed."),
    ("/settings", "Settings", "Dates, teams, probe, marks: everything in one text."),
    ("/care", "Backup and export", "A copy for the drawer, tables for a spreadsheet, the record of changes."),
)

# Thermometers
BOX_TITLE = "Which thermometers can we trust?"
BOX_LOOK = "Have a look at number {numbers}."
BOX_NOTHING = "No thermometer stands out."
BOX_CHECKS = "{n} lines of box checks are in the book."
BOX_NO_CHECKS = (
    "No box check is in the book yet: what a thermometer leans is counted from the middle of the box, "
    "from the class's readings."
)
BOX_COLUMNS = ("No.", "Readings", "Reads high by", "95 % limits", "Two scales", "")
BOX_UNKNOWN = "can't tell yet"
BOX_RESTS = "rests since {day}"
BOX_REST, BOX_USE = "Let it rest", "Use it again"
BOX_REST_OF, BOX_USE_OF = "Let number {number} rest", "Use number {number} again"
BOX_PICTURE = "How much each thermometer reads high, with limits, against the stripe it promises."
BOX_SCALES_PICTURE = "The two scales of each thermometer against each other."
BOX_EMPTY = "No card has carried a thermometer's number yet: write the number on each card."
TUBE_KINDS = {
    "thermometer_offset": "leans beyond its promise",
    "scale_plate_slipped": "a plate may have slipped",
    "column_separated": "the column may have a gap",
}

# Place
PLACE_TITLE = "Is the place shaded?"
PLACE_AHEAD = "Sessions ahead that the sun may reach, under a clear sky"
PLACE_COLUMNS = ("Session", "Chance", "Sun at the place")
PLACE_SURE = "over 99\u202f%"
PLACE_MORE = "{n} more"
PLACE_TIMES = "{start} to {end}"
PLACE_NONE = "In the weeks ahead no session is likely to be in the sun."
PLACE_PICTURE = "What the probe saw, with its troubles and the sessions."

# Settings
SETTINGS_TITLE = "What does the book know about the class?"
SETTINGS_LABEL = "station.toml"
SETTINGS_HELP = "It is checked while you type. Nothing is changed until you save; every state before is kept."
SETTINGS_FINE = "This text will do."
SETTINGS_SAVED = "Saved."
SETTINGS_REASON = "changed on the settings page"
SETTINGS_KEYS = "What it can hold"
SETTINGS_COLUMNS = ("Section", "Key", "Unit", "If left out", "Why")
SETTINGS_HISTORY = "Changes so far"
SETTINGS_CHANGE = "{at}, {by}: {reason}"

# Care
CARE_TITLE = "Is a copy in the drawer?"
CARE_HELD = (
    "The book holds {readings} cards, {samples} values of the probe and {rejected} lines that could "
    "not be read."
)
CARE_WHERE = (
    "It lies at {path}. Keep it on this computer's own disk, never in a shared or synchronised folder."
)
CARE_TAKE = "Take a copy"
CARE_FORMS = (
    ("/care/book", "The whole book", "one file, for the drawer; opens here again"),
    ("/care/recording", "As a recording", "plain files for another tool, exactly as written"),
    ("/care/tables", "For a spreadsheet", "tables; cells that look like a formula are made harmless"),
    ("/care/class", "Class level only", "without teams, for parents and the head"),
)
CARE_LATER = "A copy holds the probe's value, so it waits until the class has seen it, or until tomorrow."
CARE_CHECK = "Check the book"
CARE_SOUND = "The book is sound: every page and every sealed day could be read."
CARE_CHANGES = "The latest changes"
CARE_CHANGE = "{at}, {by}: {table}, {column}: {old} became {new} ({reason})"
CARE_ROW = "a row"
CARE_NO_CHANGES = "Nothing has been changed yet."
CARE_PRIVATE = "The book, the recording and the tables name teams: they are for you alone."

# Lesson scenes, in the order of LESSON_TITLES
LESSON_PREDICT = (
    "Everybody reads in the same minute, at the same place. How many different numbers will there be?",
    "We put the readings of one, three and six teams together. Which of them lies nearest the middle?",
    "Two thermometers, many readings. How would you see that one leans warm?",
    "Move your eye up and down beside the tube. What happens to the number?",
    "A thermometer comes out of the warm classroom. After how many minutes does it stand?",
    "One pair reads warmer. The two pairs swap tubes. What will you see if it was the tube?",
    "All thermometers stand in one bucket of stirred water. Will they all say the same?",
    "The probe says one thing, fourteen cards say another. Who do you ask first?",
)
LESSON_LOOK = "Look"
LESSON_INVENTED = "Invented numbers, until ours are enough."
LESSON_SAME = "The same air gave {n} different numbers, {apart} apart. All of them together are our reading."
LESSON_MEAN = "One reading lies within {one} of the middle in nine of ten; the mean of six within {six}."
LESSON_MEAN_COLUMNS = {1: "one reading", 3: "mean of three", 6: "mean of six"}
LESSON_LEANING = "Scatter goes both ways and shrinks when many stand together. A lean goes one way and stays."
LESSON_LEANS, LESSON_SCATTERS = "leans warm", "scatters"
LESSON_NUMBER = "number {number}"
LESSON_EYE = "Only with the eye level with the end of the column do mark and column meet."
LESSON_EYE_SLIDER = "Height of the eye"
LESSON_EYE_READ = "It reads {value} °C; the column stands at 20 °C."
LESSON_EYE_ALT = "An eye, a line of sight, a tube with its column and the marks beside it."
LESSON_WAIT = "Outside it is {air}. The column falls fast at first and slowly at last. Find when it stands."
LESSON_WAIT_SLIDER = "Minutes outside"
LESSON_WAIT_READ = "After {minutes} min it reads {value} °C."
LESSON_WAIT_ALT = "The reading falls from the classroom's temperature towards the air's, minute by minute."
LESSON_WAIT_X = "minutes"
LESSON_SWAP = (
    "First two columns: before the swap. If it was the tube, the warm reading goes with it, as here."
)
LESSON_SWAP_COLUMNS = ("pair A, tube 1", "pair B, tube 2", "pair A, tube 2", "pair B, tube 1")
LESSON_BUCKET = (
    "In one bucket the water is the same for all: what is left between the dots is the thermometers."
)
LESSON_PROBE = "{day}: {kind}. The class's middle was {middle}. Fourteen cards together can doubt a probe."
LESSON_A_DAY = "A day in autumn"
