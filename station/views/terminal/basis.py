"""What the rest stands on: the probe's record, the budget of a reference, the bands, rows not used."""

from __future__ import annotations

from collections.abc import Sequence

from station.assess import Assessment
from station.comparison.band import band_for
from station.record.model import Problem
from station.reference.faults import LEAVES_NONE
from station.views import phrases, wording
from station.views.layout import heading, table, wrapped

FAULTS_SHOWN = 10
PROBLEMS_SHOWN = 5


def probe(assessment: Assessment, width: int) -> list[str]:
    """Return the probe's record: how long, how much of it was used, and its troubles."""
    lines = heading(wording.PROBE_TITLE)
    samples = assessment.samples
    if samples.empty:
        return [*lines, wording.PROBE_NO_RECORD]
    zone = assessment.settings.site.zone
    first, last = (samples["time"].iloc[i].tz_convert(zone) for i in (0, -1))
    lines += wrapped(
        wording.PROBE_TEXT.format(
            name=assessment.settings.probe().name, first=phrases.moment(first), last=phrases.moment(last),
            samples=f"{len(samples):,}", unused=f"{int((~assessment.probe.usable).sum()):,}",
        ),
        width,
    )  # fmt: skip
    if assessment.probe.logged_too_seldom:
        every = phrases.minutes(assessment.probe.typical_interval_s / 60.0)
        lines += wrapped(wording.PROBE_TOO_SELDOM.format(every=every), width)
    if assessment.probe.away:
        lines += wrapped(wording.PROBE_AWAY.format(n=len(assessment.probe.away)), width)
    faults = assessment.probe.faults
    if not faults:
        return [*lines, wording.PROBE_NO_FAULTS]
    # the latest, and first of all those that leave no reference
    urgent = sorted(faults, key=lambda f: (f.kind in LEAVES_NONE, f.start), reverse=True)
    shown = sorted(urgent[:FAULTS_SHOWN], key=lambda f: f.start)
    cells = [
        (
            phrases.moment(f.start.astimezone(zone)), phrases.moment(f.end.astimezone(zone)),
            phrases.kind(f.kind),
        )
        for f in shown
    ]  # fmt: skip
    lines += table(wording.PROBE_COLUMNS, cells, words=(0, 1, 2), width=width)
    if len(faults) > len(shown):
        lines.append(wording.PROBE_MORE.format(n=len(faults) - len(shown)))
    return lines


def budget(assessment: Assessment, width: int) -> list[str]:
    """Return the budget of the latest session that has a reference."""
    if not assessment.budgets:
        return []
    session = max(assessment.budgets, key=list(assessment.budgets).index)
    reference = assessment.budgets[session]
    budget = reference.budget
    cells = [
        (
            wording.BUDGET_LINES.get(line.name, phrases.kind(line.name)),
            phrases.number(line.contribution, 2),
            f"{round(100.0 * line.share)} %",
        )
        for line in budget.lines()
    ]
    note = wording.BUDGET_NOTE.format(
        u=phrases.degrees(budget.u, 2), k=phrases.number(budget.coverage_factor(), 2),
        dof=wording.BUDGET_DOF_MANY if budget.dof > 1000 else f"{budget.dof:.0f}",
        expanded=phrases.degrees(reference.expanded_c, 2),
    )  # fmt: skip
    title = wording.BUDGET_TITLE.format(session=phrases.session_name(session.date, session.part))
    return [*heading(title), *table(wording.BUDGET_COLUMNS, cells), *wrapped(note, width)]


def bands(assessment: Assessment, width: int) -> list[str]:
    """Return each band that was used and what it rests on."""
    used: dict[tuple[float, str], set[str]] = {}
    rows = assessment.readings[assessment.readings["band"].notna()]
    pairs = rows[["thermometer", "indication", "band"]].drop_duplicates(["thermometer", "band"])
    for number, value, _ in pairs.itertuples(index=False):
        band = band_for(assessment.settings.thermometer(number), value)
        if band is not None:
            used.setdefault((band.half_width_c, band.basis), set()).add(number)
    if not used:
        return []
    everybody = set(rows["thermometer"])
    lines = heading(wording.BANDS_TITLE)
    for (half_width, basis), numbers in sorted(used.items()):
        whom = _whom(assessment, numbers, everybody)
        sentence = wording.BAND.format(half_width=phrases.degrees(half_width), whom=whom, basis=basis)
        lines += wrapped(sentence, width, "", "    ")
    return lines


def _whom(assessment: Assessment, numbers: set[str], everybody: set[str]) -> str:
    if numbers == everybody:
        return wording.BANDS_ALL
    order = [n for n in assessment.thermometers["number"] if n in numbers]
    named = wording.BANDS_NUMBERS.format(numbers=phrases.listed(order, 8))
    return named if "" not in numbers else wording.BANDS_AND_UNNUMBERED.format(numbers=named)


def problems(found: Sequence[Problem], width: int, more: str = wording.PROBLEMS_MORE) -> list[str]:
    """Return the first rows that were not used as written, with file and line; ``more`` counts the rest."""
    if not found:
        return []
    lines = heading(wording.PROBLEMS_TITLE)
    for problem in found[:PROBLEMS_SHOWN]:
        lines += wrapped(str(problem), width, "", "    ")
    if len(found) > PROBLEMS_SHOWN:
        lines.append(more.format(n=len(found) - PROBLEMS_SHOWN))
    return lines
