"""Sentences of the frame: navigation, refusals, times."""

from __future__ import annotations

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
REHEARSAL_LABEL = "Rehearsal"
REHEARSAL = "Rehearsal with Larch Lane, an invented class. Nothing you do here touches your own book."
NOTE_TITLE = "One thing first"
NOT_FOUND = "There is no such page."
BACK = "Back"
SAVE = "Save"
CONTINUE = "Continue"
OFFLINE = "The program does not answer. What has a tick is safe; keep this page open and start it again."

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
