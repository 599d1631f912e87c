"""Lessons made of the class's own cards: the same air, one card or many, leaning or scattering, the swap."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd

from station.assess import Assessment
from station.record.model import Session
from station.views import phrases
from station.views.web.together import pictures, wording
from station.views.web.together.cards import (
    FEWEST_OF_SESSION,
    average,
    clear_of_doubt,
    distances,
    half_within,
)
from station.views.web.together.columns import Column, columns
from station.views.web.together.dots import FAR_C, class_dots
from station.views.web.together.lessons.scene import Floats, Needs, Scene, Unit, as_dots, quartiles

#: How many cards are averaged in the columns of one card or many.
OF_MANY = (1, 3, 6, 12)
#: Dots drawn by lot for each column.
DRAWS = 48
_SEED = 20261005
#: Fewest sessions for one card or many; fewest uses and teams of a thermometer that is shown by its number.
FEWEST_SESSIONS, FEWEST_USES, FEWEST_PAIRS = 4, 5, 4
#: Different numbers that make "same air, same number?" worth asking.
SEVERAL = 3
#: A thermometer goes along as "leaning little" below this [degC].
LITTLE_C = 0.5


def same_air(assessment: Assessment) -> Scene | Needs:
    """Show one session's cards on one scale: the latest one with several numbers."""
    cards = clear_of_doubt(assessment, distances(assessment))
    if cards.empty:
        return Needs(wording.SAME_AIR_NEED)
    kinds = cards.groupby(["date", "session"], sort=False)["value"].nunique()
    several = [key for key, n in kinds.items() if n >= SEVERAL] or list(kinds.index)
    session = Session(*several[-1])  # type: ignore[misc]
    dots = class_dots(assessment, session)
    values = [dot.value for dot in dots.dots]
    unit = Unit.of(assessment)
    mode = max(sorted(set(values)), key=values.count)
    number = wording.SAME_AIR_NUMBER.format(
        k=len(set(values)), apart=unit.reads(max(values) - min(values)), mode=unit.reads(mode)
    )
    says = f"{wording.SAME_AIR} {wording.SAME_AIR_SEE} {number}"
    what = wording.WHAT_SESSION.format(
        n=len(values), session=phrases.session_name(session.date, session.part)
    )
    return Scene(
        ask=wording.SAME_AIR_ASK.format(n=len(values)),
        picture=pictures.reveal(dots, pictures.Layers(dots=True, half=True), says),
        see=wording.SAME_AIR_SEE,
        numbers=(number,),
        more=(wording.SAME_AIR_MORE,),
        what=f"{what}, {wording.WHAT_WAIT}",
    )


def one_or_many(assessment: Assessment) -> Scene | Needs:
    """Show means of one, three, six and twelve cards of one session, drawn by lot from the cards there are.

    Against the probe what all cards share stays in; against the session's own middle it can't be seen, and
    the page says which of the two it is.
    """
    cards = clear_of_doubt(assessment, distances(assessment))
    known = cards[cards["from_probe"].notna()]
    by_probe = len(_sessions(known)) >= FEWEST_SESSIONS
    pools = _sessions(known if by_probe else cards, "from_probe" if by_probe else "from_middle")
    sizes = [n for n in OF_MANY if sum(pool.size >= n for pool in pools) >= FEWEST_SESSIONS]
    if len(sizes) < 2:
        return Needs(wording.MEAN_NEED)
    means = means_of(pools, sizes)
    unit = Unit.of(assessment)
    one, many = half_within(means[0]), half_within(means[-1])
    times = one / many if many > 0 else 1.0
    how = wording.MEAN_SHRUNK.format(times=phrases.number(times)) if times >= 1.15 else wording.MEAN_NOT
    zero = wording.MEAN_ZERO_PROBE if by_probe else wording.MEAN_ZERO_MIDDLE
    see = wording.MEAN_SEE.format(zero=zero)
    number = wording.MEAN_NUMBER.format(one=unit.apart(one), many=unit.apart(many), n=sizes[-1], how=how)
    lean = float(np.median(means[-1]))
    groups = [
        Column(
            wording.MEAN_COLUMN_ONE if n == 1 else wording.MEAN_COLUMN.format(n=n),
            as_dots(mean),
            quartiles(mean),
        )
        for n, mean in zip(sizes, means, strict=True)
    ]
    more = wording.MEAN_MORE_GONE.format(ideal=phrases.number(math.sqrt(sizes[-1])))
    if by_probe and abs(lean) > 0.5 * many:
        more = wording.MEAN_MORE_STAYS.format(n=sizes[-1], lean=unit.lean(lean))
    used = sum(pool.size for pool in pools)
    return Scene(
        ask=wording.MEAN_ASK,
        picture=columns(groups, f"{see} {number}", unit.mark, unit.sign),
        see=see,
        numbers=(number,),
        more=(more,),
        what="; ".join(
            (wording.WHAT_CARDS.format(n=used, sessions=len(pools)), wording.WHAT_WAIT, wording.WHAT_CLEAR)
        ),
    )


def means_of(pools: list[Floats], sizes: list[int], draws: int = DRAWS, seed: int = _SEED) -> list[Floats]:
    """Return, for each size, means of so many cards of one session, sessions and cards drawn by lot.

    Cards are drawn without putting back, as one session's cards are all there is; the same sessions serve
    every size, so that the columns differ by the number of cards and by nothing else.
    """
    draw = np.random.default_rng(seed)
    large = [pool for pool in pools if pool.size >= max(sizes)]
    which = draw.integers(len(large), size=draws)
    return [
        np.array([draw.choice(large[k], size=n, replace=False).mean() for k in which], dtype=np.float64)
        for n in sizes
    ]


def leaning(assessment: Assessment) -> Scene | Needs:
    """Show two thermometers by number: the one that leans most, and one that scatters and leans little."""
    table = _by_number(distances(assessment))
    if len(table) < 2:
        return Needs(wording.LEAN_NEED)
    unit = Unit.of(assessment)
    lean = max(table, key=lambda number: (abs(float(np.median(table[number]))), number))
    rest = {number: values for number, values in table.items() if number != lean}
    level = {n: v for n, v in rest.items() if abs(float(np.median(v))) < LITTLE_C * unit.factor} or rest
    wide = max(level, key=lambda number: (average(level[number] - np.median(level[number])), number))
    leans, scatter = float(np.median(table[lean])), average(level[wide] - np.median(level[wide]))
    number = wording.LEAN_NUMBER.format(a=lean, lean=unit.lean(leans), b=wide, scatter=unit.apart(scatter))
    groups = [
        Column(wording.NUMBER_LABEL.format(number=n), as_dots(table[n]), quartiles(table[n]))
        for n in (lean, wide)
    ]
    return Scene(
        ask=wording.LEAN_ASK,
        picture=columns(groups, f"{wording.LEAN_SEE} {number}", unit.mark, unit.sign),
        see=wording.LEAN_SEE,
        numbers=(number,),
        more=(wording.LEAN_MORE,),
        what=wording.WHAT_CARDS.format(
            n=table[lean].size + table[wide].size, sessions=len(_sessions(distances(assessment)))
        ),
    )


def swap(assessment: Assessment) -> Scene | Needs:
    """Show the thermometer that leans most in the hands of its pairs, and the same pairs with other tubes."""
    cards = distances(assessment)
    numbered = cards[cards["thermometer"] != ""] if len(cards) else cards
    tubes = _by_number(numbered, FEWEST_PAIRS + 1)
    if not tubes:
        return Needs(wording.SWAP_NEED)
    number = max(tubes, key=lambda n: (abs(float(np.median(tubes[n]))), n))
    mine = numbered["thermometer"] == number
    pairs = set(numbered.loc[mine, "pair"])
    others = numbered[~mine & numbered["pair"].isin(pairs)]
    with_it = tubes[number]
    without = others.groupby("pair")["from_middle"].median().to_numpy(np.float64)
    if without.size < FEWEST_PAIRS + 1:
        return Needs(wording.SWAP_NEED)
    unit = Unit.of(assessment)
    lean, rest = float(np.median(with_it)), float(np.median(without))
    what = wording.SWAP_OPEN
    if abs(lean - rest) > max(LITTLE_C * unit.factor, 2 * _doubt(with_it)):
        what = wording.SWAP_TUBE
    elif abs(rest) > LITTLE_C * unit.factor and rest * lean > 0:
        what = wording.SWAP_PAIR
    found = wording.SWAP_NUMBER.format(
        number=number, with_it=unit.lean(lean), without=unit.lean(rest), what=what
    )
    see = wording.SWAP_SEE.format(number=number)
    groups = [
        Column(wording.NUMBER_LABEL.format(number=number), as_dots(with_it), quartiles(with_it)),
        Column(wording.SWAP_OTHERS, as_dots(without), quartiles(without)),
    ]
    return Scene(
        ask=wording.SWAP_ASK.format(number=number, n=len(pairs)),
        picture=columns(groups, f"{see} {found}", unit.mark, unit.sign),
        see=see,
        numbers=(found,),
        more=(wording.SWAP_MORE,),
        what=wording.WHAT_CARDS.format(n=int(mine.sum()) + len(others), sessions=len(_sessions(numbered))),
    )


def of_number(assessment: Assessment, number: str, scales: bool = False) -> tuple[tuple[float, ...], ...]:
    """Return the dots of one thermometer and of all others: from the middle, or between the two scales."""
    if scales:
        rows = assessment.readings[assessment.readings["two_scale_difference"].notna()]
        rows = rows[rows["two_scale_difference"].abs() <= FAR_C]
        values = rows["two_scale_difference"] * Unit.of(assessment).factor
    else:
        rows = distances(assessment)
        values = rows["from_middle"]
    mine = (rows["thermometer"] == number).to_numpy(bool)
    cards = values.to_numpy(np.float64)
    return as_dots(cards[mine]), as_dots(cards[~mine])


def _by_number(cards: pd.DataFrame, pairs: int = FEWEST_PAIRS) -> dict[str, Floats]:
    """Return the distances of each thermometer that enough pairs used often enough."""
    if cards.empty:
        return {}
    return {
        str(number): rows["from_middle"].to_numpy(np.float64)
        for number, rows in cards[cards["thermometer"] != ""].groupby("thermometer")
        if len(rows) >= FEWEST_USES and rows["pair"].nunique() >= pairs
    }


def _sessions(cards: pd.DataFrame, column: str = "from_middle") -> list[Floats]:
    """Return the distances of each session that has enough cards, in the order of time."""
    if cards.empty:
        return []
    return [
        rows[column].to_numpy(np.float64)
        for _, rows in cards.groupby(["date", "session"], sort=False)
        if len(rows) >= FEWEST_OF_SESSION
    ]


def _doubt(values: Floats) -> float:
    """Return the standard error of a median: 1.25 s / sqrt(n) (normal theory, large n)."""
    return 1.25 * float(values.std(ddof=1)) / math.sqrt(values.size)
