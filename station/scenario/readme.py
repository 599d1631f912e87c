"""What the folder of an invented class says of itself."""

from __future__ import annotations

from station.scenario.plan import ClassPlan

_TEXT = """# {title}

An invented class. Weather, probe, pupils and every slip come from a seeded generator (`station demo`); no
school, person or device is meant, and how often each slip happens is invented too.

{place}: {teams} teams and {tubes} numbered thermometers, {first} to {last}, the probe logged every
{interval} s {hours}.
"""


def readme(plan: ClassPlan, title: str) -> str:
    """Return the text of the recording's README.md; nothing in it tells what is planted."""
    school = plan.school
    return _TEXT.format(
        title=title,
        place=plan.site.name.capitalize(),
        teams=len(plan.teams),
        tubes=len(plan.tubes),
        first=school.first,
        last=school.last,
        interval=plan.probe.interval_s,
        hours=f"from {school.day_start:%H:%M} to {school.day_end:%H:%M} on school days"
        if plan.school_days_only
        else "day and night",
    )
