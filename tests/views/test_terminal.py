import re
from pathlib import Path

import pytest

from station.assess import Assessment
from station.views import advice, terminal, wording, wording_findings


def first(assessment: Assessment) -> str:
    return "\n".join("\n".join((item.sentence, *item.details)) for item in advice.what_to_do(assessment))


EVERY = ["whole", "without_probe", "without_readings", "tangled", "with_hostile_name", "unchecked_probe"]


@pytest.mark.parametrize("name", EVERY)
@pytest.mark.parametrize("width", [40, 80, 100, 300])
def test_the_page_keeps_to_its_width(name: str, width: int, request: pytest.FixtureRequest) -> None:
    text = terminal.page(request.getfixturevalue(name), "a class", width)
    widest = max(len(line) for line in text.splitlines())
    assert widest <= min(max(width, 80), 100) or name == "with_hostile_name"
    assert "nan" not in text.lower().split()
    assert "{" not in text


def test_what_to_do_comes_first(whole: Assessment) -> None:
    text = terminal.page(whole)
    order = [text.index(t) for t in (wording.DO_FIRST, wording.SESSIONS_TITLE, wording.TEAMS_TITLE)]
    assert order == sorted(order)


def test_the_warm_thermometer_and_the_missing_reference_are_said(whole: Assessment) -> None:
    said = first(whole)
    assert re.search(r"Thermometer 4 reads 1\.[789]\s°C high", said)
    assert "Thu 8 Oct morning" in said
    assert "power-on value" in said
    assert not any(team in said for team in whole.teams["team"])


def test_no_more_than_a_handful_is_asked_at_once(whole: Assessment) -> None:
    assert len(advice.what_to_do(whole)) <= advice.MOST


def test_teams_stand_in_the_order_of_the_alphabet(whole: Assessment) -> None:
    text = terminal.page(whole)
    block = text[text.index(wording.TEAMS_TITLE) :]
    places = [block.index(f"\n{team} ") for team in sorted(whole.teams["team"])]
    assert places == sorted(places)


def test_no_team_carries_a_count_of_verdicts(whole: Assessment) -> None:
    text = terminal.page(whole)
    block = text[text.index(wording.TEAMS_TITLE) : text.index(f"\n{wording.BOX_TITLE}\n")]
    assert "outside" not in block
    assert "inside" not in block


def test_the_page_says_when_teams_and_thermometers_can_not_be_told_apart(tangled: Assessment) -> None:
    text = terminal.page(tangled)
    assert "can't be told apart" in text
    assert "Not separable" in text


def test_the_page_says_when_the_probe_can_not_judge(unchecked_probe: Assessment) -> None:
    said = first(unchecked_probe)
    assert "can't judge this band" in said
    assert "inside (" not in terminal.page(unchecked_probe)


def test_a_recording_without_probe_says_so(without_probe: Assessment) -> None:
    text = terminal.page(without_probe)
    assert wording.PROBE_NO_RECORD in text
    assert "There is no probe record" in text
    assert "no reference" in text


def test_a_recording_without_cards_says_so(without_readings: Assessment) -> None:
    text = terminal.page(without_readings)
    assert "no cards yet" in text
    assert wording.TEAMS_TITLE not in text


def test_the_page_says_which_scale_the_class_keeps(other_scale: Assessment) -> None:
    text = terminal.page(other_scale)
    scale = other_scale.settings.school.class_scale
    assert ("In °F, the reference in °C" in text) == (scale == "fahrenheit")
    assert (" / " in text[text.index(wording.SESSIONS_TITLE) :]) == (scale == "both")


def test_every_sentence_is_used() -> None:
    root = Path(terminal.__file__).parents[2]
    source = "".join(
        path.read_text("utf-8")
        for path in root.rglob("*.py")
        if path.name not in ("wording.py", "wording_findings.py")
    )
    names = [f"wording.{name}" for name in vars(wording) if name.isupper()]
    names += [f"words.{name}" for name in vars(wording_findings) if name.isupper()]
    assert [name for name in names if not re.search(rf"\b{name}\b", source)] == []
