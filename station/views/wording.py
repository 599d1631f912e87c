"""Every sentence a person reads, in one place, for a teacher to change or translate.

Words in braces are filled in and may be moved but not renamed. Signs: error = reading - reference. Nothing
here points at anybody: a reading is a reader, a thermometer and the air together.
"""

from __future__ import annotations

# Numbers, dates, lists
NOTHING = "–"
SPAN = "{low} to {high}"
ALL_AT = "all {value}"
FROM_TO = "from {low} to {high}"
BETWEEN = "{low} and {high}"
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
DAY = "{day} {month}"
WITH_YEAR = "{day} {year}"
MOMENT = "{day} {time}"
WEEKDAY_AND_DAY = "{weekday} {day}"
SESSION_NAME = "{day} {part}"
MORE = "{n} more"
MORE_SESSIONS = "{n} more"
SEMICOLON = "; "
LAST_OF_LIST = "{head} and {last}"
THERMOMETER, THERMOMETERS = "thermometer", "thermometers"
CARD, CARDS = "card", "cards"
SESSION, SESSIONS = "session", "sessions"
TEAM, TEAMS = "team", "teams"
LINE, LINES = "line", "lines"
UNIT_ABOVE_SCALE = "°C"

# What a session or the probe's record is noted for, and what to do about it
KINDS = {
    "gap": "no values came from the probe",
    "power_on_value": "the probe sent only its power-on value (85)",
    "disconnected_value": "the probe sent its value for a loose wire (−127)",
    "out_of_range": "the probe sent values that no outdoor air has",
    "stuck": "the probe's value stood still",
    "indoors": "the probe seems to have been indoors",
    "sun": "the sun seems to have reached the probe",
    "step": "the probe's value jumped and stayed",
    "clock_shift": "the probe's clock is in doubt",
    "away": "the laptop was away, as usual",
    "logged_too_seldom": "the probe logged too seldom",
    "band_too_narrow": "the probe can't judge this band",
    "few_readings": "too few complete cards for a class value",
    "no_agreement": "no number is common enough for a class value",
    "wrong_half_day": "the cards fit the other half of the day better",
    "wrong_date": "some cards fit another date better",
    "whole_class": "nearly all teams are off the same way",
}
SHORT = {
    "gap": "no values",
    "power_on_value": "power-on value",
    "disconnected_value": "loose wire",
    "out_of_range": "out of range",
    "stuck": "stood still",
    "indoors": "indoors?",
    "sun": "sun?",
    "step": "jump",
    "clock_shift": "clock?",
    "away": "away",
    "logged_too_seldom": "logged too seldom",
    "band_too_narrow": "no verdict",
    "few_readings": "few cards",
    "no_agreement": "no agreement",
    "wrong_half_day": "other half-day?",
    "wrong_date": "wrong date?",
    "whole_class": "whole class",
}
ACTIONS = {
    "gap": "Switch sleep off on the laptop and see that the probe's plug sits firmly.",
    "power_on_value": "Unplug the probe, plug it in again, and look at a value before the next session.",
    "disconnected_value": "Look at the probe's cable and plug.",
    "out_of_range": "Look at the probe's cable, then at its value beside a thermometer.",
    "stuck": "Warm the probe in a hand: its value should move within a minute.",
    "indoors": "See that the probe hangs at its place.",
    "away": "Let the laptop stay at school until after the session if you want a reference for it.",
    "logged_too_seldom": "Let the probe log at least every 15 minutes; every 30 seconds is better.",
}
VERDICTS = {
    "inside": "inside",
    "undecided": "can't tell",
    "outside": "outside",
    "no reference": "no reference",
}
NOT_JUDGED = "not judged"
SURE = "{verdict} ({percent} %)"
SURE_ABOVE = "{verdict} (over 99 %)"
CHANCE = "{verdict} (inside by {percent} %)"

# The page: head
TITLE = "{name}: {sessions}, {days}"
TITLE_EMPTY = "{name}: no cards yet"
TITLE_COUNTS = "{cards} of {teams} with {thermometers}; {samples} values from the probe."
SIGNS = (
    "error = reading − reference: plus means the card says warmer than the probe. The reference is the "
    "probe's value for the session; ± is where it lies in 95 of 100 cases."
)

# The page: what to do first
DO_FIRST = "What to do first"
DO_NOTHING = "Nothing needs doing first."
DO_NO_PROBE = (
    "There is no probe record, so no reading has a reference. The two scales, the thermometers and the "
    "class value still count."
)
DO_NO_READINGS = "There are no cards yet (readings.csv): only the probe's record can be looked at."
DO_WITHOUT_REFERENCE = "No reference for {sessions}: {kind}. {action}"
DO_EARLIER = "Longer ago there was no reference for {sessions}."
DO_EARLIER_PART = "{sessions} ({kind})"
DO_NOT_SEPARABLE = (
    "Teams and thermometers can't be told apart yet: let teams swap thermometers from session to session "
    "and write the number on each card."
)
DO_NO_NUMBERS = (
    "No card has a thermometer number, so a warm thermometer can't be told from a team that reads high: "
    "number the thermometers and write the number on each card."
)
DO_BAND = (
    "The probe knows the air to ±{expanded} at best, wider than the ±{band} to be judged: the probe can't "
    "judge this band, so these readings have no verdict. A probe checked in ice water and in a bucket knows "
    "better."
)
DO_CARDS = (
    "{cards} of the latest session to look at again, by the cards alone (a scale is blank, or the two "
    "scales disagree): marked ? below."
)
DO_PROBLEMS = "{lines} of the files not used as written; see the end of this page."
DO_MORE = "{n} more things stand in the tables below."

# The page: tables
NO_CLASS_VALUE = "none"
LATEST = "The latest session: {session}"
LATEST_REFERENCE = "Reference {value} ± {expanded}."
LATEST_NO_REFERENCE = "No reference: {kinds}."
OFF_TOGETHER = (
    "Most readings are off the same way: think of the probe, its clock, the place or the half of the day "
    "before any reader or thermometer."
)
LATEST_NOTED = "Noted: {kinds}."
LATEST_COLUMNS = ("team", "no.", "C", "F", "error °C", "two scales", "promise; likely cause")
LATEST_NOTE = (
    "Inside, outside or can't tell is about reader and thermometer together: whether the error is within "
    "what the thermometer promises and half a mark, with how sure that is. Two scales: C − (F − 32)/1.8, in "
    "°C; ? beyond what the marks explain, or a scale is blank."
)
SESSIONS_TITLE = "Sessions"
SESSIONS_COLUMNS = ("date", "part", "cards", "reference", "±", "class", "middle", "mean", "noted")
SESSIONS_NOTE = (
    "In {unit}, the reference in °C. Class: by the class's rule ({rule}), from complete cards whose two "
    "scales agree; the probe has no say in it."
)
SESSIONS_NARROW = (
    "In {sessions} the probe can't judge the band of every thermometer (the air moved too much); those "
    "readings have no verdict."
)
SESSIONS_EARLIER = "The {n} earlier ones are in the tables (--out)."
TEAMS_TITLE = "Teams, in the order of the alphabet"
TEAMS_COLUMNS = ("team", "cards", "leans °C", "95 % limits", "spread", "seen")
TEAMS_NOTE = (
    "Leans: how much a team reads above (+, warm) or below (−, cool) the middle of the class, thermometers' "
    "own offsets taken out. Limits that reach across 0 show nothing, and one look at many teams will find a "
    "limit just beyond 0 by chance."
)
TEAMS_APART = (
    "Not separable: who used which thermometer doesn't connect all teams yet, so a dash stands where a team "
    "can't be told from its thermometers."
)
TEAMS_CHANGE = "  from {day}"
TEAMS_AFTER = "after {change}"
TEAMS_FIRST = "  until {day}"
BOX_TITLE = "Thermometers"
BOX_COLUMNS = ("no.", "cards", "high °C", "95 % limits", "promise", "two scales", "seen")
BOX_NOTE = "Against {zero}. Two scales: the middle of C − (F − 32)/1.8, in °C."
BOX_ZERO_CHECK = "the box check"
BOX_ZERO_CLASS = "the middle of the box"
BOX_NOTED_BEYOND = "beyond its promise"
BOX_NOTED_RETIRED = "at rest from {day}"
COMMON_TITLE = "What all share against the probe"
COMMON_NONE = "Nothing can be said: no session has a reference."
COMMON = "All readings together lie {value} {side} the probe ({span})."
COMMON_ON = "All readings together lie on the probe ({span})."
COMMON_ABOVE, COMMON_BELOW = "above", "below"
COMMON_ZERO = "That is within what the probe itself may be off by."
COMMON_OFF = (
    "That is more than the probe itself may be off by: think of the place, the sun, the waiting time, or "
    "the probe's correction, before any team."
)
PROBE_TITLE = "The probe's record"
PROBE_TEXT = "{name}, {first} to {last}: {samples} values, {unused} not used."
PROBE_NO_RECORD = "There is none."
PROBE_NO_RECORD_SHORT = "there is no probe record"
PROBE_COLUMNS = ("from", "to", "what was seen")
PROBE_TOO_SELDOM = (
    "It logged every {every}, too seldom for a reference: at most 15 min may lie between two values."
)
PROBE_AWAY = (
    "Away {n} times in hours that this record never covers, such as nights; that is a habit, no trouble."
)
PROBE_NO_FAULTS = "No trouble was seen."
PROBE_MORE = "{n} more in the tables (--out)."
BUDGET_TITLE = "How sure the reference is: {session}"
BUDGET_COLUMNS = ("what may be off", "± °C", "share")
BUDGET_NOTE = (
    "± here is one standard uncertainty (JCGM 100). Together {u}; times {k} ({dof} degrees of freedom) that "
    "is ± {expanded} at 95 %."
)
BUDGET_DOF_MANY = "very many"
BUDGET_LINES = {
    "probe limits": "the probe, within its maker's limits",
    "correction": "the probe's correction from its check",
    "place": "probe and bulbs in the same air",
    "resolution": "the probe's smallest step",
    "window scatter": "scatter of the mean of the session",
    "timing": "the air's trend, minute not known",
    "moment": "the air's flutter, minute not known",
}
BANDS_TITLE = "What the thermometers promise"
BAND = "±{half_width} for {whom}: {basis}."
BANDS_ALL = "all thermometers"
BANDS_NUMBERS = "number {numbers}"
BANDS_AND_UNNUMBERED = "{numbers} and cards without a number"
PROBLEMS_TITLE = "What was not used as written"
PROBLEMS_MORE = "{n} more in table-problems.csv (--out)."
FOOT = (
    "A finding here is a reason to look again together, never a mark. Nobody is ranked: teams stand in the "
    "order of the alphabet."
)
WROTE = "Wrote {n} files to {directory}."
STEP_READING = "reading the files"
STEP_WRITING = "writing pictures and tables"
NOT_WRITTEN = "{directory} can't be written to ({why})"

# Pictures
PICTURE_TITLES = {
    "picture-teams": "Errors by team against the band",
    "picture-session": "One session's readings",
    "picture-probe": "The probe's record",
    "picture-thermometers": "Offsets of the thermometers",
    "picture-two-scales": "Celsius against Fahrenheit",
    "picture-grid": "Teams and thermometers",
    "picture-gap": "Errors against the gap between classroom and air",
    "picture-slips": "The two scales of single teams",
    "picture-last-digit": "Last digits",
    "picture-coaching": "Before and after coaching",
    "picture-steps": "Thermometers that changed",
    "picture-clock": "The class against the record, as stamped and shifted",
}
TEAMS_SENTENCE = (
    "How far from the probe? Half of {n} readings lie between {half}, nine in ten between {most}, each "
    "thermometer's own offset taken out. The thermometers promise ±{band}."
)
TEAMS_NOTES = (
    "Each dot is a reading minus the reference, oldest on the left. Stripe: what the thermometers promise. "
    "Hatched beside the scale: what the probe may be off by. Bar: where a team leans, its line the 95 % "
    "limits; a new bar after coaching or a change of readers. Hollow: the thermometer's offset isn't known. "
    "Cross: set aside as a slip. Triangle: beyond the scale."
)
TEAMS_NO_REFERENCE = (
    "No reading has a reference, so how far each is from the probe can't be shown. With a probe's record "
    "beside the cards this picture fills itself."
)
TEAMS_NOT_SEPARABLE = (
    "Teams and thermometers can't be told apart yet, so errors by team aren't shown: a warm thermometer "
    "would look like a team that reads high. Let teams swap thermometers from session to session and write "
    "the number on each card; three or four sessions are usually enough."
)
SESSION_SENTENCE = "How far apart? {session}: {n} readings {span}."
SESSION_REFERENCE = "Our best idea of the air is {value}, give or take {expanded}."
SESSION_NO_REFERENCE = "The probe has no reference for this session."
SESSION_NO_READINGS = "There are no readings to show yet. The picture fills itself after the first session."
SESSION_NOTES = (
    "Stripe behind a dot: what its thermometer promises. Hatched: the probe, give or take. Full dot: within "
    "promise and half a mark. Hollow: can't tell, or not judged. Diamond with its error: beyond. Triangle "
    "with its value: beyond the scale."
)
PROBE_LABEL = "probe {value}"
PROBE_NONE = "There is no probe record. Readings then have no reference; everything else still works."
PROBE_SENTENCE = "What did the probe see? {name}, {days}."
PROBE_RANGE = "From {low} to {high}."
PROBE_NOTHING_USABLE = "No value could be used."
PROBE_SESSIONS_ALL = "No session lacks a reference."
PROBE_SESSIONS_WITHOUT = "{n} of {all} sessions have no reference."
PROBE_NOTES = (
    "Dotted: trouble, with its day. Cross or triangle: values that were not used (a triangle lies beyond "
    "the scale). Squares: sessions, one row a part of the day, full with a reference, hollow without one."
)
FAULT_LABEL = "{day}: {kind}"
BOX_SENTENCE_BEYOND = "Which thermometers keep their promise? Of {n} these don't: {which}."
BOX_SENTENCE_WITHIN = "Which thermometers keep their promise? Of {n} none is surely beyond it."
BOX_ONE = "number {number} ({offset})"
BOX_UNKNOWN = (
    "How much each thermometer reads high isn't known yet: let teams swap thermometers from session to "
    "session and write the number on each card."
)
BOX_NOTES = (
    "Mark: how much a thermometer reads high, its line the 95 % limits. Stripe: what it promises. Diamond "
    "with its number: limits wholly beyond the promise."
)
SCALES_SENTENCE_AGREE = (
    "Do the two scales agree? In {n} readings no thermometer's scales are apart by more than misread "
    "marks explain."
)
SCALES_SENTENCE_SLIPPED = "Do the two scales agree? Not on {which}: the middle of its readings is off."
SCALES_NONE = "No card has both scales, so they can't be compared."
SCALES_NOTES = (
    "Dot: C − (F − 32)/1.8 of one reading, oldest on the left; 0 when both scales were read off one column. "
    "Bar: their middle. Stripe: what the marks explain for one reading. Triangle: beyond the scale."
)
