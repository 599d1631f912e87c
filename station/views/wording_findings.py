"""The words of every finding: to the teacher, to the pupils, what looks alike, what to do.

Words in braces are filled in and may be moved but not renamed: ``{who}`` a team or a thermometer, ``{cards}``
"6 of 56 cards", ``{size}`` a difference with its unit. Nothing here points at anybody: a finding is a
reason to look together.
"""

from __future__ import annotations

from typing import NamedTuple


class Words(NamedTuple):
    """One kind of finding: in a table, to the teacher, what to do, to the pupils, what looks alike."""

    short: str
    seen: str
    do: str
    say: str
    alike: str


FINDINGS: dict[str, Words] = {
    "scales_swapped": Words(
        "C and F swapped",
        "{who} seems to write Celsius in Fahrenheit's place and the other way round, in {cards}.",
        "Look at the card together: which number stands beside which letter?",
        "Two numbers, two letters: let's put each number beside its letter.",
        "One scale written twice looks alike, but has two equal numbers.",
    ),
    "same_scale_twice": Words(
        "one scale twice",
        "{who} seems to read one scale for both numbers, in {cards}.",
        "Point at both scales on the thermometer and let them find the letters C and F.",
        "The tube has two ladders beside it. Let's climb each one once.",
        "Swapped scales look alike, but then the two numbers differ.",
    ),
    "scale_missing": Words(
        "one scale blank",
        "A scale is blank in {cards}; the other one is used.",
        "Leave it blank: indoors only a matching number could be invented.",
        "One of the two numbers is missing. Next time let's read both before we leave the thermometer.",
        "Nothing else looks alike.",
    ),
    "minus_dropped": Words(
        "minus missing",
        "{who} seems to leave out the minus below zero, in {cards}.",
        "Ask on which side of 0 the column ended; Fahrenheit below 32 means Celsius below 0.",
        "Is the column above or below the zero? Let's look at that number again.",
        "Counting upwards from 0 looks alike. Near −1 °C nobody can tell, so nothing is said there.",
    ),
    "digits_transposed": Words(
        "digits swapped?",
        "Two digits seem to have changed places for {who}, in {cards}.",
        "Ask whoever typed the card before asking who wrote it.",
        "Let's read the card aloud while somebody else types it.",
        "A number one numbered mark off looks alike; the card on paper tells.",
    ),
    "copied_last_session": Words(
        "same as last time",
        "{who} has the numbers of the session before although the air changed, in {cards}.",
        "Ask whether the new card was filled in from the old one.",
        "These are the numbers of last time. Let's read the tube once more today.",
        "Steady weather looks alike, so only sessions whose air had changed count.",
    ),
    "wrong_half_day": Words(
        "other half-day?",
        "The piles of {who} look crossed: the cards of each half of the day fit the other half much better.",
        "Look at the piles before anything else; if they were crossed, type them again under their own half. "
        "Nothing was moved.",
        "The two piles of cards may have changed places. Let's sort them again.",
        "A clock an hour off looks alike, but lasts for days.",
    ),
    "wrong_date": Words(
        "other date?",
        "{cards} of {who} fit {where} better, where these teams have no card.",
        "Look at the dates on the cards; correct the date if it is so. Nothing was moved.",
        "Which day does your card say? Let's look together.",
        "Single odd cards look alike; here they fit one other day, on which their team has none.",
    ),
    "wrong_thermometer_number": Words(
        "number in doubt",
        "A thermometer number stands twice in one session, or is one at rest, in {cards}.",
        "Ask which thermometer it was; the number is the question, not the reading.",
        "Two cards have the same number. Which thermometer did you carry?",
        "Two teams that shared one thermometer look alike.",
    ),
    "counted_wrong_way": Words(
        "counted the other way",
        "{who} seems to count from the numbered mark downwards where the column stands above it, or upwards "
        "where it stands below, in {cards}.",
        "Let them put a finger on the two numbered marks about the column and count from the lower one.",
        "Which two numbers is the column between? Let's count from the smaller one.",
        "Midway between two numbered marks a number ten off looks alike; below zero, a missing minus.",
    ),
    "ten_off": Words(
        "a numbered mark off",
        "{who} seems to start from the next numbered mark, one mark too far, in {cards}.",
        "Let them name the numbered marks above and below the column before counting.",
        "Which numbered mark is just below the column? Let's start counting there.",
        "Digits that changed places look alike; the card on paper tells.",
    ),
    "small_marks": Words(
        "small marks as 1",
        "{who} seems to count the small marks as 1 degree where each is worth 2, in {cards}.",
        "Count the small marks between two numbered ones together and work out what one is worth.",
        "How many small steps are there from 40 to 60? So how much is one step?",
        "A slipped scale plate looks alike, but is off by one amount and follows the thermometer.",
    ),
    "converted_not_read": Words(
        "F worked out from C",
        "{who} seems to work out Fahrenheit from Celsius instead of reading it: the two match exactly in "
        "{cards}, more often than two readings do.",
        "Say that two readings that differ a little are worth more than two that match.",
        "Two readings of one column may differ a bit, and that is what we want to see. Let's read F first.",
        "Very careful readers look alike, but do not match this often.",
    ),
    "rounded": Words(
        "rounds to 5 and 10",
        "{who} seems to stop at the numbered or half-way marks: {ends} in {cards}, more often than the air "
        "does.",
        "Let them read to the smallest mark, and half a mark where the column stands between two.",
        "The small marks are there for us too. Which of them is the column nearest to?",
        "Days near 5, 10 or 15 °C look alike; each session's own air is allowed for.",
    ),
    "same_numbers": Words(
        "cards alike",
        "Cards look alike more often than chance would have it. This is said of the whole class only.",
        "Let everyone cover the card until all have written.",
        "We need everyone's own number, even if it is different. Cover your card until all have written.",
        "Steady weather makes cards alike too; the class's own rate is allowed for.",
    ),
    "read_too_soon": Words(
        "read before it stood",
        "{who} seems to read before the column stands still: {cards} lie above the class, the middle one by "
        "{size}, and the colder the air is against the classroom, the more.",
        "Give a longer wait, until two looks a minute apart give the same number.",
        "The column was still travelling. Let's wait until it has stood still for a whole minute.",
        "A warmed bulb looks alike, but comes by fits and starts; a thermometer that reads high does so in "
        "any air and in any hands.",
    ),
    "bulb_warmed": Words(
        "bulb warmed",
        "{who} now and then has a column well above everybody's on both scales, in {cards}: as if the bulb "
        "had been warmed.",
        "Show how to hold the thermometer by its top, away from breath and body.",
        "The bulb feels every warm hand. Let's hold it at the top and not breathe on it.",
        "Reading too soon looks alike, but grows with the cold; sun comes at one hour, walls at one place.",
    ),
    "eye_line": Words(
        "leans by a steady amount",
        "{who} reads {size} {side} the class with whatever thermometer, on both scales, in {cards}: as if "
        "the eye were not level with the column.",
        "Watch the eye, not the number: level with the column's end. Which way it leans depends on whether "
        "the marks are behind or in front of the tube.",
        "Move your eye up and down and watch the number change. Let's read it with the eye level.",
        "Warm thermometers look alike; this stays with the team while thermometers change.",
    ),
    "in_the_sun": Words(
        "in the sun?",
        "The column of {who} stands well above, on both scales, in {cards}: as if it had been in the sun.",
        "Look at the shadow at that time of day, never at the sun.",
        "Can you see your shadow here? Then the thermometer can feel the sun too.",
        "Reading too soon and a warmed bulb look alike; sun comes at one hour on clear days.",
    ),
    "warm_surface": Words(
        "warm or cold surface?",
        "The column of {who} is off on both scales, in {cards}: as if it had touched a wall or the ground.",
        "Hang thermometers free of walls, metal and ground.",
        "Let's hang it where only air touches it.",
        "A warmed bulb looks alike above, a wet bulb below.",
    ),
    "wet_bulb": Words(
        "wet bulb?",
        "The column of {who} stands below, on both scales, in {cards}: as if the bulb had been wet.",
        "Dry the bulb and wait a few minutes.",
        "A wet bulb cools like wet skin. Let's dry it and wait.",
        "A cold surface looks alike; drying the bulb tells.",
    ),
    "thermometer_offset": Words(
        "reads {side}",
        "{who} reads {size} {side} ({limits}) in the hands of {teams}, {cards}.",
        "Check it in the bucket beside others; let it rest if it stays so, or keep it and know it.",
        "This thermometer leans {warm}, whoever holds it. What would you test?",
        "A team that leans looks alike; this follows the number through the teams.",
    ),
    "scale_plate_slipped": Words(
        "scales apart",
        "The two scales of {who} disagree by {size} (C minus F, in degrees Celsius) in the hands of {teams}, "
        "{cards}.",
        "Look whether a scale plate has slipped; until then use the scale that agrees with the others.",
        "These two ladders stand beside one column but don't agree. Which one has moved?",
        "A team that miscounts F looks alike; this follows the number through the teams.",
    ),
    "column_separated": Words(
        "changed on {day}",
        "{who} changed by {size} from {day} on ({cards}).",
        "Look for a gap in the column and let it rest; rejoin only by cooling or a gentle tap, no flame.",
        "Something happened to this thermometer. Do you see a gap in its column?",
        "A held bulb or sun look alike for single cards; this stays with the number.",
    ),
    "probe_fault": Words(
        "probe in doubt",
        "Nearly all teams miss the probe by the same amount: think of the probe and its place.",
        "See that the probe hangs at its place, dry and free.",
        "Today our probe may be the odd one. How could we find out?",
        "A clock in doubt or sun look alike.",
    ),
    "clock_shift": Words(
        "clock in doubt",
        "From {first} to {last} the probe's record fits the class {amount} {way}: was the laptop's clock "
        "turned?",
        "Nothing was shifted, and these sessions have no verdict. If the clock was off, add this to "
        "station.toml:",
        "Our computer's clock may have been off. The air knows better.",
        "Crossed piles of cards look alike, for one day only; sun on the probe fits no other hour.",
    ),
    "unexplained": Words(
        "not explained",
        "Nothing that is known explains {cards} of {who}.",
        "Look at the card again; one reading alone needs no reason.",
        "Let's look at that number again.",
        "Anything that happens once looks alike.",
    ),
}

# What goes round the words of one finding
DO = "What to do: {do}"
SAY = "To say: “{say}”"
SEEN_IN = "Seen lately {sessions}."
SEEN_PICTURE = "See {picture} (--out)."
MORE_TIME = "About {n} more sessions would settle it."
SETTLED = "Clear by now."
STATES = {
    "too early": "too early to say",
    "nothing to see": "nothing to see",
    "worth a look": "worth a look: {kinds}",
    "clear": "clear: {kinds}",
}
TOO_EARLY = "too early to say ({n} of {needed})"
TOO_EARLY_USERS = "too early to say ({n} of {needed} teams)"
NOT_APART = "can't be told apart"
OF_CARDS = "{n} of {all} cards"
ALL_CARDS = "all {n} cards"
NUMBER = "thermometer {number}"
ENDS_C, ENDS_F = "Celsius ends in 0 or 5", "Fahrenheit ends in 0"
HIGH, LOW = "high", "low"
ABOVE, BELOW = "above", "below"
WARM, COOL = "warm", "cool"
EARLIER, LATER = "earlier", "later"
HOUR, HOURS = "an hour", "{n} hours"
MINUTES = "{n} minutes"
REST_WAIT = "({n} more stand in the tables below, under “seen”: two are enough for a day.)"

# What came of coaching
AFTER = {"helped": "helped", "not yet": "not yet", "too early": "too early to say ({n} of {needed})"}
AFTER_PAIR = {"helped": "less", "not yet": "still there", "too early": AFTER["too early"]}
AFTER_FEW = "too early to say (gone in {n} cards, which chance does too)"
AFTER_WHY = {
    "coaching": "coached on {day}",
    "new pair": "a new pair since {day}",
    "one reader": "one reader since {day}",
}
AFTER_OTHER = "changed on {day}"
AFTER_TITLE = "After coaching or a new pair"
AFTER_LEAN = "{team}, {why} ({kind}): {verdict}. The lean changed by {change} ({limits})."
AFTER_SHARE = (
    "{team}, {why} ({kind}): {verdict}. Seen in {before} before and {after} after: {change} in 100 cards "
    "({limits})."
)
STATE_AFTER = "{state}; {verdict} since {day}"
AFTER_EARLY = "{team}, {why} ({kind}): {verdict}."
AFTER_NOTE = (
    "A team that only stood out by chance falls back by itself, so “helped” is said only of what was found "
    "before, from six cards after it, and only where the limits of the change leave 0 out."
)
AFTER_SAY = {
    "helped": "Your numbers and the class's now lie together. What did you change?",
    "not yet": "Let's try it together once more, and watch the tube.",
    "too early": "Keep going; in a few days we will look again.",
}
AFTER_SAY_PAIR = {
    "helped": "Your numbers and the class's lie together. How do you two read?",
    "not yet": "Let's read one together, and watch the tube.",
    "too early": AFTER_SAY["too early"],
}

# The causes of one reading
CAUSES = {
    "scales_swapped": "C and F swapped",
    "same_scale_twice": "one scale twice",
    "scale_missing": "one scale blank",
    "minus_dropped": "minus missing",
    "digits_transposed": "digits swapped",
    "copied_last_session": "as last time",
    "wrong_half_day": "typed under the other half-day",
    "wrong_date": "typed under another date",
    "wrong_thermometer_number": "thermometer number in doubt",
    "counted_wrong_way": "counted the other way",
    "ten_off": "a numbered mark off",
    "small_marks": "small marks as 1",
    "converted_not_read": "F worked out from C",
    "rounded": "rounded to 5 or 10",
    "read_too_soon": "read before it stood",
    "bulb_warmed": "bulb warmed",
    "eye_line": "eye line",
    "in_the_sun": "sun",
    "warm_surface": "wall or ground",
    "wet_bulb": "wet bulb",
    "thermometer_offset": "the thermometer reads off",
    "scale_plate_slipped": "the thermometer's scales are apart",
    "column_separated": "the thermometer changed",
    "unexplained": "not explained",
}
ONE_CAUSE = "{kind} ({percent})"
TWO_CAUSES = "{kinds} ({percent})"
CANT_TELL = "can't tell: {kinds}"
OVER_99 = "over 99 %"
PERCENT = "{n} %"
OR = "{head} or {last}"
SIDE_OF = {"celsius side": "{kind}, Celsius", "fahrenheit side": "{kind}, Fahrenheit"}

# The class and its batches
WHOLE_CLASS = (
    "Nearly all teams miss the probe the same way on {sessions}: think of the probe, its clock, the place, "
    "the sun or the waiting time. Nobody is named from {these}."
)
SUN = (
    "The sun seems to have reached the probe on {sessions}: look at the shadow there at that hour, never at "
    "the sun. No verdicts and nobody named from {these}."
)
THIS_SESSION, THESE_SESSIONS = "this session", "these sessions"
TYPED_UNDER = "{teams}, typed under {day},"
CLOCK_LINES = ("[[clock]]", 'from = "{first}"', 'to = "{last}"', "shift_minutes = {minutes}")

# Pictures
GRID_NONE = "Teams and thermometers can't be told apart yet, so there is no grid to show."
GRID_SENTENCE = "Does it go with the thermometer or with the team?"
GRID_TUBE = (
    "Thermometer {number} ({size}) lies on one side with {n} of {all} teams: it goes with the thermometer."
)
GRID_TEAM = "{team} ({size}) lies on one side with {n} of {all} thermometers: it goes with the team."
GRID_NOTES = (
    "One cell for each team (row) with each thermometer (column). Bar: how far the middle of their readings "
    "lies from the class, upwards warm, downwards cool, 2.5 °C at most. Stripe: what thermometers promise. "
    "Diamonds: a column or a row that was found; of such a team only the readings that show it."
)
GAP_NONE = "No team was found whose cards follow the gap between classroom and air."
GAP_SENTENCE = "Does it grow with the cold outside?"
GAP_SOON = (
    "{team}: yes, by {rise} for each {gap} between classroom and air, as when a column is read on its way."
)
GAP_WARMED = "{team}: no, by fits and starts, as when a hand is near the bulb."
GAP_AXIS = "classroom warmer than the air by, °C"
GAP_NOTES = (
    "Dots: the team's readings minus the reference, thermometers' offsets and what all share taken out. "
    "Small dots: everybody else. Line: fit through the readings that show it. Diamonds: readings that show a "
    "warmed bulb. Triangle: beyond the scale. Sessions in doubt are left out."
)
SLIPS_NONE = "No team was found whose cards show one kind of slip again and again."
SLIPS_SENTENCE = (
    "Do the two scales of one card agree? Where they don't, one of them was read or written otherwise, and "
    "the same pattern comes again."
)
SLIPS_NOTES = (
    "Dot: C − (F − 32)/1.8 of one card; 0 when both scales were read off one column; a slipped plate's own "
    "difference is taken out. Stripe: what the marks explain. Diamond: a card that shows the pattern. "
    "Triangle: beyond the scale."
)
CHANGE_NONE = "No coaching or new pair after something was found is written down yet."
CHANGE_SENTENCE = "What changed after coaching or with a new pair?"
CHANGE_NAME = "{team}: {kind}"
CHANGE_NOTES = (
    "Dots: readings minus the reference, thermometers' offsets and what all share taken out. Dashed: the day "
    "of the change. Bar: where the team leans, its line the 95 % limits. Diamond or coloured triangle: a "
    "card that shows the habit. Stripe: what the thermometers promise. Sessions in doubt are left out."
)
STEP_NONE = "No thermometer was found that changed during the run."
STEP_NOTES = (
    "Dots: this thermometer's readings minus the reference, teams' leans and what all share taken out. "
    "Dashed: the first day after the change. Bars: the middle before and after."
)
DIGITS_NONE = "No team was found that stops at 5 and 10 or works Fahrenheit out."
DIGITS_SENTENCE = "Which numbers come up more often than the air makes them?"
DIGITS_AXIS = "last digit of Celsius"
DIGITS_AXIS_F = "last digit of Fahrenheit"
CONVERTED_AXIS = "F minus what C gives when worked out, °F"
DIGITS_NOTES = "Full bars: share of the team's cards. Outlined bars: everybody else in the same sessions."
CLOCK_NONE = "No clock is in doubt."
CLOCK_SENTENCE = (
    "Was the clock off from {first} to {last}? The class lies {now} from the record as stamped and {then} "
    "from it with {minutes} min added to the stamps (the middle session, without sign). Nothing was shifted."
)
CLOCK_NOTES = (
    "Circle: middle of a session's cards minus the record as stamped. Diamond: minus the record shifted. "
    "Stripe: the days in question; elsewhere the circles should lie nearer to 0 than the diamonds. Sun on "
    "the probe moves either."
)
