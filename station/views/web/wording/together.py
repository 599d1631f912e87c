"""Sentences for the class: together, class screen, lessons, pupils' page and table cards."""

from __future__ import annotations

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
