"""Which side of a step of the host's clock was right, and what that means for the stamps.

The logger notes stretches of the clock without a step, with the size of the step between neighbours. Here
each stretch gets the shift to add to its stamps and the half-width of what is still open.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

#: What the clock said this many times longer than anything else in the chain is taken as right ...
_LONGER = 2.0
#: ... if it lasts at least this long, s.
_LONG_S = 3600.0
#: Clocks that differ by less than this say the same: a step away and back leaves some drift, microseconds.
_SAME = 1_000_000
#: What arrival times leave open in any case, s (see ``station.line.timebase``).
ARRIVAL_S = 0.1


@dataclass(frozen=True)
class Span:
    """A stretch of the host's clock without a step, times in microseconds UTC as the clock told them.

    ``step`` is how far the clock jumped at its start, None where the stretch before is of another run.
    """

    start: int
    end: int
    step: int | None
    confirmed: bool


@dataclass(frozen=True)
class Placement:
    """What to add to the stamps of a stretch, the half-width of what is open [both microseconds], and why."""

    shift: int
    half_width: int
    basis: str


def place(spans: Sequence[Span]) -> list[Placement]:
    """Return the placement of each span, in order.

    Within a chain of spans joined by known steps, a span that the system called synchronised is right, else
    what the clock said for much longer than anything else; the others follow by the steps between. Where
    nothing decides, stamps stay as they are and the half-width covers every other span's claim.
    """
    result: list[Placement] = []
    chain: list[Span] = []
    for span in spans:
        if chain and span.step is None:
            result += _chain(chain)
            chain = []
        chain.append(span)
    return result + (_chain(chain) if chain else [])


def _chain(spans: list[Span]) -> list[Placement]:
    around = round(ARRIVAL_S * 1e6)
    if len(spans) == 1:
        return [Placement(0, around, "no step")]
    claims = [0]  # how far each span's clock is ahead of the first one's
    for span in spans[1:]:
        claims.append(claims[-1] + (span.step or 0))
    confirmed = [i for i, span in enumerate(spans) if span.confirmed]
    lengths = [
        sum((s.end - s.start) / 1e6 for s, other in zip(spans, claims, strict=True) if _same(other, claim))
        for claim in claims
    ]
    longest = max(range(len(spans)), key=lengths.__getitem__)
    whole = sum((span.end - span.start) / 1e6 for span in spans)
    rest = whole - lengths[longest]
    if confirmed:
        return [
            Placement(claims[near] - claims[i], around, "the clock was synchronised")
            for i in range(len(spans))
            for near in [min(confirmed, key=lambda j: abs(j - i))]
        ]
    if lengths[longest] >= _LONG_S and lengths[longest] >= _LONGER * rest:
        return [Placement(claims[longest] - claim, around, "the longer side") for claim in claims]
    return [
        Placement(
            0, around + max(abs(other - claim) for other in claims), "nothing tells which side was right"
        )
        for claim in claims
    ]


def _same(claim: int, other: int) -> bool:
    return abs(claim - other) < _SAME
