"""The plan as ``station.toml``: only what a teacher would know and type."""

from __future__ import annotations

from station.scenario.plan import ClassPlan

_DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def settings_text(plan: ClassPlan) -> str:
    """Return the text of ``station.toml``; nothing in it tells what is planted."""
    site, school, probe, box = plan.site, plan.school, plan.probe_as_stated, plan.box
    lines = [
        "[site]",
        f'name = "{site.name}"',
        f"latitude = {site.latitude:g}" if site.latitude is not None else "",
        f"longitude = {site.longitude:g}" if site.longitude is not None else "",
        f"elevation = {site.elevation_m:g}",
        f'timezone = "{site.zone.key}"',
        "",
        "[school]",
        f'first = "{school.first}"',
        f'last = "{school.last}"',
        "weekdays = [" + ", ".join(f'"{_DAYS[day]}"' for day in school.weekdays) + "]",
        f'day = {{ start = "{school.day_start:%H:%M}", end = "{school.day_end:%H:%M}" }}',
        "closed = [" + ", ".join(f'"{date}"' for date in sorted(school.closed)) + "]",
        f'class_scale = "{school.class_scale}"',
        f'class_rule = "{school.class_rule}"',
        "",
        "[probe]",
        f'name = "{probe.name}"',
        f"accuracy = {probe.accuracy_c:g}",
        f"resolution = {probe.resolution_c:g}",
        f"correction = {probe.correction_c:.1f}",
        f"time_constant = {probe.time_constant_s:g}",
        "",
        "[sessions]",
        f"indoor = {plan.sessions.indoor_c:g}",
        f'thermometers = "{plan.sessions.thermometers}"',
    ]
    lines += [
        f'{part.name} = {{ start = "{part.start:%H:%M}", minutes = {part.minutes:g} }}'
        for part in plan.sessions.parts
    ]
    for team in plan.teams:
        lines += ["", "[[teams]]", f'name = "{team.name}"']
    lines += [
        "",
        "[box]",
        f"celsius_division = {box.celsius_division:g}",
        f"fahrenheit_division = {box.fahrenheit_division:g}",
        f"celsius_numbered = {box.celsius_numbered:g}",
        f"fahrenheit_numbered = {box.fahrenheit_numbered:g}",
        f'liquid = "{box.liquid}"',
        f"lowest = {box.lowest_c:g}",
        f"highest = {box.highest_c:g}",
        f'scale = "{box.scale}"',
        f"time_constant = {box.time_constant_s:g}",
    ]
    if box.accuracy_c is not None:
        lines.append(f"accuracy = {box.accuracy_c:.1f}")
    return "\n".join(line for i, line in enumerate(lines) if line or (i and lines[i - 1])) + "\n"
