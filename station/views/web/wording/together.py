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

# Class screen; its steps and lessons have their own file, station/views/web/together/wording.py
SCREEN_LABEL = "Class screen"

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
