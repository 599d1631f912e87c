"""Every sentence of the class screen and the lessons, for a teacher to change or translate.

Words in braces are filled in and may be moved but not renamed. Nothing here praises or ranks.
"""

from __future__ import annotations

# The bar at the foot of the class screen
REHEARSAL = "Rehearsal with an invented class"
BAR = "For the teacher"
STEP = "Step {n} of 7"
SHORT_STEP = "{n} of 3"
NEXT, BACK = "Go on →", "← Back"
LAST = "That was the last step."
PRINT = "Print"
WHY = "Why this question: {why}"

# 1
PREDICT = "Same air, same minute: will all get the same number?"
PREDICT_ASK = "Hands up for: all the same."
PREDICT_HANDS_ONE = "1 hand up for: all the same."
PREDICT_HANDS = "{n} hands up for: all the same."
# 2
DOTS = "How far apart?"
DOTS_SAY = "{n} cards, from {low} to {high}: {apart} apart."
DOTS_SAME = "{n} cards, and every one says {value}."
DOTS_ONE = "One card, {value}."
DOTS_NONE = "No card can be shown yet."
WAITING_ONE = "1 card waits for a second look."
WAITING = "{n} cards wait for a second look."
BLANK_ONE = "1 card has no number on this scale."
BLANK = "{n} cards have no number on this scale."
HOLLOW = "Open ring: a card with one scale blank, not counted."
# 3
OURS = "Which number is our number?"
OURS_VOTE = "Look at the dots. Then vote with your hands."
OURS_SAY = "{value}: the number on most cards ({on} of {counted}). The middle one is {middle}."
OURS_SAME = "{value}: the number on most cards ({on} of {counted}), and the middle one too."
OURS_NO_AGREEMENT = "No number is common enough for our rule. The middle one is {middle}."
OURS_FEW = "Our rule needs six full cards; there are {counted}. The middle one is {middle}."
OURS_NONE = "There is no full card yet."
OURS_LABEL, MIDDLE_LABEL = "our number", "middle one"
# 4
MARKS = "How fine can we read?"
MARKS_SAY = "The tube is only marked every {mark}: half a mark either way is wiggle room."
MARK_ONE, MARK_HALF, MARK_MANY = "degree", "half degree", "{n} degrees"
# 5
PROMISE = "What can this thermometer promise?"
PROMISE_SAY = "Its sheet says: within {promise} either way. That is the wide stripe."
PROMISE_BASIS = "Within {promise} either way ({basis}). That is the wide stripe."
PROMISE_NONE = "We have no sheet for this kind of thermometer, so we can't draw its stripe."
# 6
PROBE = "What does the probe say?"
PROBE_SAY = "Our best idea of the air temperature: {value}, give or take {expanded}."
PROBE_WIDE = "Its stripe is wider than the thermometers' own, so it can't settle much today."
PROBE_DOUBT = "With care: {kinds}."
PROBE_NONE = "The probe has no value for this session: {kinds}. Our number stands without it."
PROBE_NONE_PLAIN = "There is no value from the probe for this session. Our number stands without it."
PROBE_LABEL = "probe"
# 7
Q_EXPLAINED = "Three teams, three numbers, nobody is wrong. Why?"
Q_EXPLAINED_SAY = "Every dot lies within half a mark and the thermometer's promise of the probe."
Q_EXPLAINED_WHY = (
    "every dot shown lies within promise and half a mark of the probe, the probe can judge that, and there "
    "are three numbers or more"
)
Q_NUMBER = "Number {number} again: what would you test?"
Q_NUMBER_SAY = "Number {number} leans {way} in many hands. Is it the tube, or how it is read?"
Q_NUMBER_PLATE_SAY = "The two scales of number {number} don't fit each other in many hands."
Q_NUMBER_WHY = "thermometer {number} was out today, and its own finding is clear or worth a look"
Q_WEEKS = "Dots of week 1 and of this week: what changed?"
Q_WEEKS_SAY = "On average a dot lay {then} from the middle in week 1, and lies {now} from it this week."
Q_WEEKS_WHY = (
    "the dots lie much nearer to the middle than in week 1, or much further; 20 cards or more in both"
)
Q_TOGETHER = "Most dots and the probe are apart. What would you test first?"
Q_TOGETHER_SAY = "When nearly all dots are off the same way, think of what they share."
Q_TOGETHER_WHY = "more than 70 % of the cards lie beyond promise and half a mark on one side of the probe"
Q_OPEN = "One more pair goes out now. Where will its dot fall?"
Q_OPEN_SAY = "Show the place with a finger, and say why."
Q_OPEN_WHY = "none of the other questions fits today's data"
WARM, COOL = "warm", "cool"
WEEK_1, THIS_WEEK = "week 1", "this week"
THE_OTHERS = "the others"
THINNED = "{label}, 1 in {n}"
NUMBER_LABEL = "number {number}"

# Lessons: what all share
PARTS = ("1 Guess", "2 Picture", "3 Number", "4 Talk")
FROM_CLASS = "From our own cards: {what}."
FROM_DEMO = "From an invented class: {what}."
SWITCH_DEMO, SWITCH_CLASS = "Invented class", "Our class"
TOO_FEW = "Our own cards are too few for this picture: {what}. The invented class has one."
WHAT_SESSION = "{n} cards of {session}"
WHAT_CARDS = "{n} cards of {sessions} sessions"
WHAT_WAIT = "cards that wait for a second look left out"
WHAT_CLEAR = "sessions with a doubt about sun, clock or date left out"
YOUR_GUESS = "Our guess:"

SAME_AIR = "Same air, same minute, same number?"
SAME_AIR_ASK = "{n} pairs read in the same air. How many different numbers will there be?"
SAME_AIR_SEE = "Each dot is one pair's card."
SAME_AIR_NUMBER = "{k} different numbers, {apart} apart. The number on most cards is {mode}."
SAME_AIR_MORE = (
    "What could make two honest readers differ? Sort your ideas: the air, the thermometer, the reader."
)
SAME_AIR_NEED = "one session with six cards or more"

MEAN = "One card, or the mean of many?"
MEAN_ASK = "Which comes nearer to the air: one card, or the mean of twelve? Draw how far each would scatter."
MEAN_SEE = "Each dot: some cards of one session drawn by lot, and how far their mean lies from {zero}."
MEAN_ZERO_PROBE, MEAN_ZERO_MIDDLE = "the probe", "that session's middle"
MEAN_COLUMN_ONE, MEAN_COLUMN = "1 card", "{n} cards"
MEAN_NUMBER = "Half of the dots lie within {one} for one card and within {many} for {n}: {how}."
MEAN_SHRUNK = "{times} times narrower"
MEAN_NOT = "hardly narrower"
MEAN_MORE_STAYS = "All {n} together still lean {lean}. More cards don't take that away: all cards share it."
MEAN_MORE_GONE = "If the scatter were by chance alone, it would be {ideal} times narrower."
MEAN_NEED = "four sessions with six cards or more"

LEAN = "Leaning or scattering?"
LEAN_ASK = "One thermometer always reads a bit warm. Another jumps about. Which is easier to mend?"
LEAN_SEE = "Each dot: a card with this thermometer, against the middle of its session."
LEAN_NUMBER = (
    "Number {a} leans {lean} in any hand. Number {b} scatters: {scatter} from its middle on average."
)
LEAN_MORE = "Take a lean off, and it is gone. What helps against scatter?"
LEAN_NEED = "two thermometers with a number, each used five times or more by four teams"

EYE = "Where must the eye be?"
EYE_ASK = "The column stands still. Can the number change when only your eye moves?"
EYE_SEE = "The line of sight goes through the top of the column to the marks {side}."
EYE_SIDES = {"behind": "behind it", "front": "in front of it"}
EYE_LABEL = "Move the eye"
EYE_LEVEL = "Eye level: it reads {value}."
EYE_LOW = "Eye {angle}° too low: it reads {value}, {error} {way}."
EYE_HIGH = "Eye {angle}° too high: it reads {value}, {error} {way}."
EYE_TOO_WARM, EYE_TOO_COOL = "too warm", "too cool"
EYE_NUMBER = "At 30° the mark is {shift} off: {error} on this tube."
EYE_MORE = "How can two pairs of eyes make sure that one is level?"
EYE_WHAT = "drawn with {gap} between column and marks and {degree} a degree"
EYE_SOURCE = "Drawing: {what}."

WAITING_TITLE = "When does the column stand still?"
WAITING_ASK = "Carried from {indoor} indoors into {outdoor}. After how many minutes would you read it?"
WAITING_SEE = "The column falls fast at first, then slower and slower."
WAITING_SEE_RISE = "The column rises fast at first, then slower and slower."
WAITING_NUMBER = "After {minutes} it is within half a degree. After one minute it is still {left} off."
WAITING_MORE = "Why is the last half degree the longest? Who read too early would get which number?"
WAITING_WHAT = "the middle card of {session}, and thermometers that need {tau} for most of the way"
WAITING_WHAT_BOX = "an example of 5 °C outdoors, and thermometers that need {tau} for most of the way"
WAITING_AXIS = "min"
WAITING_STANDS = "stands"

SWAP = "Does it go with the tube, or with the pair?"
SWAP_ASK = "Number {number} leans. {n} pairs swap it for another one. What will move?"
SWAP_SEE = "First: the same pairs with number {number}. Second: these pairs with other tubes."
SWAP_NUMBER = "With number {number} they lean {with_it}; with other tubes {without}. It goes with {what}."
SWAP_TUBE, SWAP_PAIR, SWAP_OPEN = "the tube", "the pairs", "neither for sure"
SWAP_MORE = "Do it yourselves: two pairs, two tubes, four cards. Write your guess before you swap."
SWAP_OTHERS = "other tubes"
SWAP_NEED = "one thermometer with a number, used by five teams or more"

BUCKET = "All in one bucket: will they agree?"
BUCKET_ASK = (
    "All thermometers hang in one bucket of stirred water. Will all columns stand at the same height?"
)
BUCKET_SEE = "Each mark: one thermometer against the middle of the box. Stripe: what it can promise."
BUCKET_NUMBER = "{inside} of {n} stand within their promise, {apart} from lowest to highest."
BUCKET_BEYOND = "{number} Beyond it for sure: {numbers}."
BUCKET_MORE = "Would you mend it, put it to rest, or take its lean off each card?"
BUCKET_WHAT_CHECK = "the box check"
BUCKET_WHAT_CARDS = "worked out from all cards, as if all had hung in one bucket"
BUCKET_NEED = "thermometer numbers on the cards of three or four sessions, or a box check"

PROBE_DAY = "A day to doubt the probe"
PROBE_DAY_ASK = "The cards say about {cards}. The probe says something else. Which would you test, and how?"
PROBE_DAY_SEE = "Line: the probe through the day. Dots: the middle card of each session."
PROBE_DAY_NUMBER = "{day}: {kind}. The cards kept our number."
PROBE_DAY_MORE = "A probe can be off as well. What else could we look at to find out?"
PROBE_DAY_NEED = "a day on which the probe was in trouble while cards were written"
PROBE_DAY_WHAT = "{day}"
PROBE_DAY_ABOVE, PROBE_DAY_BELOW = "probe {value} ↑", "probe {value} ↓"
