"""Every sentence about sun and shade that a person reads, for a teacher to change or translate.

Words in braces are filled in and may be moved but not renamed.
"""

from __future__ import annotations

HEADING = "Is the place shaded?"
SHADED = (
    "Shaded: on {clear} of {days} recorded days the sun was out, and it did not reach the "
    "probe in school hours."
)
SHADED_WEAK = "A sun that warms the probe by less than about 2 °C might not have shown."
SHADED_OTHERWISE = "Outside school hours the sun does reach it: {windows}."
SUNLIT = "Sunlit: on a clear school day the sun reaches the probe {windows}."
SUNLIT_RECORDED = "It did so on {lit} of {days} recorded days and made the probe warmer by about {excess}."
WINDOW = "from {start} to {end}"
WINDOW_LIST = "; "
UNDECIDED = "Undecided: the record does not yet say whether the place stays shaded."
WHY_DULL = "The sun was out on too few of the {days} recorded days (about {clear})."
WHY_WEAK = "There is warmth that may be the sun's{when}, but it is too weak or too irregular to be sure."
WHY_CLOCK = (
    "Warmth comes at the same clock time on school days{when}, as from a door, and not clearly with the sun."
)
WHY_SHADOW = "The record shows no sun in school hours, yet a shadow was seen at the place {times}."
ONCE, TIMES = "once", "{n} times"
SETTLE_SHADOW = (
    "Look at that hour whether the probe casts a shadow, too: the sun may reach those who read and not the "
    "probe. A second probe in the open, or weather.csv, would tell."
)
CHANGES = (
    "Undecided for the whole record, because it changes: from {date} on the sun reaches the probe in "
    "school hours; it did so on {lit} of {days} recorded school days, {windows}, "
    "and made it warmer by about {excess}."
)
PERHAPS = (
    "Undecided: on {lit} of {days} recorded school days the sun may have reached the probe, {windows}, "
    "and may have made it warmer by about {excess}."
)
WHY_NO_RECORD = "There is no record from a probe."
WHY_NO_HOURS = "No school hours were recorded."
SETTLE_DULL = "One clear day with the probe out from {start} to {end} would settle it."
SETTLE_WHEN = (
    "One clear day with the probe out from {start} to {end} would settle it; note whether you "
    "can see your shadow there."
)
SETTLE_CLOCK = "Leave the probe out over a clear weekend, or keep the door shut for a day, and look again."
SETTLE_SKETCH = "Until then the forecast rests on the sketch in opening.csv."
CLEAR_OR_DULL = (
    "Evidence came from {clear} clear, {mixed} mixed and {dull} dull days; a dull day says little."
)
SESSIONS_LIT = "Sessions recorded in the sun: {sessions}. Their reference is in doubt."
SESSIONS_NONE = "No recorded session was in the sun."
FORECAST_NONE = "In the {weeks} weeks after the record no session is expected in the sun."
FORECAST_LIT = "If the sky is clear, these sessions will be in the sun: {sessions}."
FORECAST_UNSURE = (
    "Can't tell for {sessions}: the sun's path leaves the part of the sky that was recorded, "
    "or the record, or a shadow seen, hints at sun that no opening explains."
)
FORECAST_MAYBE = "Possible: {sessions}."
SESSION_RUN = "{session} from {first} to {last}"
SESSION_ONE = "{session} on {first}"
CLOCK_CHANGE = "The clocks change on {date}: the same clock time then meets another sun."
SAFETY = "Nobody looks at the sun: look at the shadow."
RANKING = "Places, least sun first: {places}."
RANKED = "{name} ({minutes} of sun in school hours of a clear day, {share} of sessions)"
THE_PLACE = "the place"
UNCERTAIN_PLACE = "{name} (undecided)"
BEARING = "Part of the sky that lets the sun in: {openings}."
OPENING = "azimuth {azimuth_from} to {azimuth_to}, elevation {elevation_from} to {elevation_to}"
PROBLEMS_MORE = "{n} more; station check FOLDER --out DIR writes them all into a table."
WROTE = "Wrote {n} pictures into {directory}."

PICTURE_TITLES = {
    "picture-sun-days": "Sun on the place, day by day",
    "picture-sky-map": "Where in the sky the sun comes in",
    "picture-sun-calendar": "Sun on the place in the coming weeks",
    "picture-clear-day": "One day of the record",
}
DAYS_TITLE_LIT = "The sun reached the probe on {lit} of {days} recorded days."
DAYS_TITLE_SHADED = "No sun reached the probe in school hours."
DAYS_TITLE_UNDECIDED = (
    "Not decided yet: the sun seems to have reached the probe on {lit} of {days} recorded days."
)
DAYS_TITLE_NONE_YET = "Not decided yet: no sun is known to have reached the probe on {days} recorded days."
DAYS_NOTES = (
    "Bars: sun on the probe. Dots: where a clear sky would put it. Shaded rows: nothing recorded. "
    "Upright bands: sessions."
)
MAP_TITLE = "The sun comes in through the hatched part of the sky, as seen from the probe."
MAP_TITLE_MAYBE = "Not decided yet: the sun may come in through the hatched part of the sky."
MAP_TITLE_NONE_YET = "Not decided yet: no part of the sky is known to let the sun in."
MAP_TITLE_NONE = "As seen from the probe, no part of the sky that the sun passed lets it in."
MAP_NOTES = (
    "Thick lines: the sun's path on the first and last recorded day; broken lines: days to come. "
    "Coloured: where it reaches the probe. Nobody looks at the sun: look at the shadow."
)
CALENDAR_TITLE = "If the sky is clear: {sentence}"
CALENDAR_TITLE_LIT = "the sun is on the place {sessions}."
CALENDAR_SESSION = "in the {session} session from {date} on"
CALENDAR_TITLE_NONE = "no planned session meets the sun."
CALENDAR_TITLE_UNSURE = "whether a planned session meets the sun can't be told."
CALENDAR_NOTES = (
    "Bars: when the sun reaches the place; thin ends: limits that hold four times in five. "
    "Boxes: sessions, filled where they meet the sun, dotted where it can't be told."
)
CLOCKS_CHANGE = "clocks change"
DAY_TITLE_LIT = "On {date} the sun made the probe warmer by about {excess}."
DAY_TITLE_MAYBE = "Not decided yet: on {date} the sun may have made the probe warmer by about {excess}."
DAY_TITLE_SHADED = "On {date} the record shows no sun on the probe."
DAY_NOTE = "Line: the probe."
DAY_SUN_NOTE = "Hatched: sun on the probe."
DAY_AIR_NOTE = "Broken line: the air it would have shown."
DAY_SESSIONS_NOTE = "Upright bands: sessions."
NOTHING_RECORDED = "Nothing is recorded yet: put the probe out and look again tomorrow."
ELEVATION_AXIS = "elevation above the horizon"
DIRECTIONS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
