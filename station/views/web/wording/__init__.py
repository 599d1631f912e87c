"""Every sentence of the pages, for a teacher to change or translate; one file a part of the day.

Words in braces are filled in and may be moved but not renamed. No word of blame has a place here.
"""

from station.views.web.wording.day import *  # noqa: F403
from station.views.web.wording.desk import *  # noqa: F403
from station.views.web.wording.frame import *  # noqa: F403
from station.views.web.wording.together import *  # noqa: F403
