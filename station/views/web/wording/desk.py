"""Sentences for the teacher alone: record, teams, thermometers, place, settings, care."""

from __future__ import annotations

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

# Teams
TEAMS_TITLE = "Who could use a look?"
COVER_TEXT = "This page is about teams and is for you alone. It covers itself after a minute without a key."
COVER_OPEN = "Show it"
COVER_PROJECTOR = "The class screen is open. Is the projector off, or not showing this window?"
COVER_PROJECTOR_OFF = "The projector is off: show it"
COVER_KEY = "Key: s"
COVER_AGAIN = "Cover it"
WARM, COOL = "warm", "cool"
TEAMS_NOBODY = "Today nobody needs a look."
TEAMS_NO_CARDS_AT_ALL = "No cards are in yet. What several sessions show of a team stands here then."
TEAMS_SUGGESTION = "{day}: {teams} could use a look. Two are enough for one day."
TEAMS_SUGGESTION_ONE = "{day}: {teams} could use a look."
TEAMS_NOT_SEPARABLE = (
    "Teams and thermometers can't be told apart yet: let teams swap thermometers from session to session."
)
TEAMS_LEANS = "Leans {side} by {size} against the middle of the class (95\u202f%: {span})."
TEAMS_LEANS_NOT = "Leans neither way that can be told (95\u202f%: {span})."
TEAMS_LEANS_UNKNOWN = "How the team leans can't be told yet."
TEAMS_COUNT = "Shows in {n} readings."
TEAMS_EXAMPLE = "{session}: C {c}, F {f}, number {number}"
TEAMS_SAY = "To say: “{words}”"
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
TEAMS_CHANGE_NONE = "From there on the readings are looked at anew."
TEAMS_SEGMENT = "{first} to {last}: {size} ({span})."
TEAMS_PICTURE = (
    "Errors by team against the stripe that the thermometers promise, in the order of the alphabet."
)
TEAMS_SESSION_PICTURE = "The latest session: each team's dot with its thermometer's stripe, and the probe's."
TEAMS_DO = "What to do: {words}"
TEAMS_NO_CARDS = "No cards yet."

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
PLACE_SETTINGS = "To the settings"
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
CARE_BRING = "To bring in a recording, begin a new book (station start NAME): its first page takes a folder."
CARE_PRIVATE = "The book, the recording and the tables name teams: they are for you alone."
