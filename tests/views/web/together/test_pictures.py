"""Drawings: escaped, inside their frame, labels apart, the same for the same input."""

from __future__ import annotations

import re

import pytest

from station.record.model import Session
from station.views.web.together.columns import Column, columns
from station.views.web.together.dots import class_dots
from station.views.web.together.paper import NARROW, WIDE, Scale, apart, fit
from station.views.web.together.pictures import Layers, reveal
from station.views.web.together.svg import Drawing, number

from ...conftest import FIRST

MORNING = Session(FIRST, "morning")


def test_words_cannot_become_marks():
    drawing = Drawing(10, 10, '"><script>', "wide")
    drawing.text(1, 1, "<script>alert(1)</script>&")
    assert "<script>" not in str(drawing.markup())
    assert "&lt;script&gt;alert(1)&lt;/script&gt;&amp;" in str(drawing.markup())


@pytest.mark.parametrize(
    ("value", "text"), [(1.0, "1"), (-0.04, "0"), (12.345, "12.3"), (123456.0, "123456")]
)
def test_coordinates_are_short(value, text):
    assert number(value) == text


@pytest.mark.parametrize("paper", [WIDE, NARROW], ids=lambda p: p.name)
def test_a_scale_rises_and_keeps_what_is_beyond_at_its_end(paper):
    scale = Scale(0.0, 20.0, 1.0, "°C")
    assert scale.y(0.0, paper) == paper.bottom > scale.y(5.0, paper) > scale.y(20.0, paper) == paper.top
    assert scale.y(99.0, paper) == paper.top


def test_a_scale_holds_its_values_and_has_few_numbers():
    for values in ([0.0], [-7.5, 3.0], [60.0, 99.0], []):
        scale = fit(values, 1.0, "°C")
        assert all(scale.holds(value) for value in values)
        assert 2 <= len(scale.numbered()) <= 7


def test_labels_are_moved_apart_and_keep_their_order():
    placed = apart([100.0, 104.0, 300.0], 50.0, 0.0, 400.0)
    assert placed[1] - placed[0] >= 49.9
    assert placed[2] == 300.0
    assert apart([104.0, 100.0], 50.0, 0.0, 400.0)[0] > apart([104.0, 100.0], 50.0, 0.0, 400.0)[1]


def marks(whole, **layers):
    return str(
        reveal(class_dots(whole, MORNING, with_probe=layers.get("probe", False)), Layers(**layers), "x")
    )


def test_each_step_adds_its_own_marks(whole):
    assert 'class="dot' not in marks(whole)
    dots = marks(whole, dots=True)
    shown = len(class_dots(whole, MORNING).dots)
    assert len(re.findall(r'class="dot[" ]', dots)) == 2 * shown  # in both formats
    assert "stripe" not in dots
    assert marks(whole, dots=True, half=True).count("stripe half") == 2 * shown
    assert "probe" not in marks(whole, dots=True, half=True, promise=True, ours=True)
    assert marks(whole, dots=True, probe=True).count("probe-mark") == 2
    assert marks(whole, dots=True) == dots


def test_the_first_scale_gives_nothing_away(whole):
    numbers = [int(n.replace("\u2212", "-")) for n in re.findall(r">([\u22120-9]+)</text>", marks(whole))]
    values = [dot.value for dot in class_dots(whole, MORNING).dots]
    assert min(numbers) % 10 == max(numbers) % 10 == 0
    assert min(numbers) < min(values)
    assert max(numbers) > max(values)


@pytest.mark.parametrize("n", [1, 14, 40])
def test_dots_of_a_column_stay_in_it(n):
    picture = str(columns([Column("a", tuple(0.0 for _ in range(n))), Column("b", (1.0,))], "x", 1.0, "°C"))
    wide = re.search(r'class="drawing wide".*?</svg>', picture, re.DOTALL)[0]
    at = [float(x) for x in re.findall(r'class="dot small" cx="([\d.]+)"', wide)]
    middle = (WIDE.left + WIDE.width) / 2
    assert all(WIDE.left < x < middle for x in at[:n])
    assert len(set(at[:n])) == n


def test_a_large_group_says_how_it_was_thinned():
    picture = str(columns([Column("the others", tuple(float(v) for v in range(-50, 51)))], "x", 1.0, "°C"))
    assert "the others, 1 in 3" in picture
