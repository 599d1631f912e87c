"""Every sentence about sun and shade that a person reads, for a teacher to change or translate.

Words in braces are filled in and may be moved but not renamed.
"""

from __future__ import annotations

HEADING = "Is the place shaded?"
SHADED = (
    "Shaded: on {clear} of {days} recorded days the sun was out, and it did not reach the "
    "probe in school hours."
)
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
FORECAST_UNSURE = "Can't tell for {sessions}: the sun's path leaves the part of the sky that was recorded."
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
WROTE = "Wrote {n} pictures into {directory}."

PICTURE_DAYS = "picture-sun-days"
DAYS_TITLE_SUNLIT = (
    "The sun reached the probe on {lit} of {days} recorded days; each bar is one span, each row a day."
)
DAYS_TITLE_SHADED = "No row shows sun inside the school day."
DAYS_TITLE_UNDECIDED = "What the record shows so far: each bar is a span of sun, each row a day."
DAYS_NOTES = (
    "Bars: sun on the probe. Grey rows: nothing recorded. Pale bands: where a clear sky would "
    "put the sun. Vertical lines: sessions."
)
MAP_TITLE = "The sun comes in here: seen from the probe, with the sun's path on some dates."
MAP_TITLE_NONE = "Seen from the probe, no part of the sky that the sun passed lets it in."
MAP_NOTES = (
    "Hatched: openings found. Thick path: recorded days. Thin path: days to come. Nobody looks "
    "at the sun: look at the shadow."
)
CALENDAR_TITLE = "Sun on the place under a clear sky, day by day; {sentence}"
CALENDAR_TITLE_LIT = "from {date} the {session} session is in it."
CALENDAR_TITLE_NONE = "no planned session is in it."
CALENDAR_NOTES = "Hatched: expected sun; dots: possible. The step is the clock change. Thick lines: sessions."
DAY_TITLE_SUNLIT = "On {date} the probe was about {excess} warmer while the sun reached it."
DAY_TITLE_SHADED = "On {date}, the clearest recorded day, no sun reached the probe."
DAY_NOTES = (
    "Line: the probe. Hatched stripe: sun on the probe. Dashed: the air it would have shown, "
    "drawn between the shaded minutes."
)
NOTHING_RECORDED = "Nothing is recorded yet: put the probe out and look again tomorrow."
ELEVATION_AXIS = "elevation of the sun, degrees"
AZIMUTH_AXIS = "direction"
DIRECTIONS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
CLOCK_AXIS = "clock"
SCHOOL_DAY = "school day"
