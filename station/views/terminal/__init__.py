"""The page of ``station check``: what to do first, then the tables, in 80 to 100 columns of plain text."""

from __future__ import annotations

from station.assess import Assessment
from station.views import advice, phrases, wording
from station.views.layout import heading, wrapped
from station.views.terminal import basis, cards, effects

NARROWEST, WIDEST = 80, 100
INDENT = "    "


def page(assessment: Assessment, name: str = "", width: int = NARROWEST) -> str:
    """Return the whole page.

    Parameters
    ----------
    assessment : Assessment
        What was found.
    name : str
        The recording's name; the place's name where there is none.
    width : int
        Columns of the console; kept between 80 and 100.
    """
    width = min(max(width, NARROWEST), WIDEST)
    parts = [
        _head(assessment, name, width),
        _first(assessment, width),
        cards.latest(assessment, width),
        cards.sessions(assessment, width),
        effects.teams(assessment, width),
        effects.after_coaching(assessment, width),
        effects.thermometers(assessment, width),
        effects.common(assessment, width),
        basis.probe(assessment, width),
        basis.budget(assessment, width),
        basis.bands(assessment, width),
        basis.problems(assessment.frames.problems, width),
        wrapped(wording.FOOT, width),
    ]
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def _head(assessment: Assessment, name: str, width: int) -> list[str]:
    rows, sessions = assessment.readings, assessment.sessions
    name = name or assessment.settings.site.name
    if sessions.empty:
        title = wording.TITLE_EMPTY.format(name=name)
    else:
        title = wording.TITLE.format(
            name=name,
            sessions=phrases.counted(len(sessions), wording.SESSION, wording.SESSIONS),
            days=phrases.days(sessions["date"].iloc[0], sessions["date"].iloc[-1]),
        )
    numbers = {n for n in rows["thermometer"] if n}
    counts = wording.TITLE_COUNTS.format(
        cards=phrases.counted(len(rows), wording.CARD, wording.CARDS),
        teams=phrases.counted(len(assessment.teams), wording.TEAM, wording.TEAMS),
        thermometers=phrases.counted(len(numbers), wording.THERMOMETER, wording.THERMOMETERS),
        samples=f"{len(assessment.samples):,}",
    )
    return [*heading(title), *wrapped(counts, width), *wrapped(wording.SIGNS, width)]


def _first(assessment: Assessment, width: int) -> list[str]:
    lines = heading(wording.DO_FIRST)
    for i, item in enumerate(advice.what_to_do(assessment), start=1):
        lines += wrapped(item.sentence, width, f"{i:2d}. ", INDENT)
        for detail in item.details:
            lines += wrapped(detail, width, INDENT, INDENT)
        lines += [f"{INDENT}    {line}" for line in item.lines]
    return lines
