"""Every kind has all of its words, and no word anywhere points at anybody."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import station
from station import source
from station.assess import Assessment, cross_check
from station.findings.kinds import GROUPS
from station.views import causes, document, found, tables, terminal, wording
from station.views import wording_findings as words

ROOT = Path(station.__file__).parent
#: Said of nobody, in no file: neither in code nor in a comment.
OF_PERSONS = (
    r"innocent|culprit|accus\w*|guilty?|blam\w*|cheat\w*|\bworst\b|\bloser|careless|\blazy\b|sloppy|"
    r"(right|wrong) answer|human error|best team|bad team"
)
#: Has no place in a sentence that a person reads.
IN_SENTENCES = (
    OF_PERSONS + r"|true temperature|\bscor(e|ed|es)\b|\bgrad(e|ed|es)\b|\bfail(ed|ure)?\b|\bcalibrated\b|"
    r"\bofficial|\brank(?!ed: teams stand)|\bpenalty|\bwinn"
)
KEYS = {
    "who",
    "cards",
    "ends",
    "size",
    "side",
    "warm",
    "limits",
    "teams",
    "day",
    "where",
    "first",
    "last",
    "amount",
    "way",
}


def sentences(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for inner in value.values():
            yield from sentences(inner)
    elif isinstance(value, tuple):
        for inner in value:
            yield from sentences(inner)


def test_every_kind_has_its_words_and_no_other_has() -> None:
    assert set(words.FINDINGS) == set(GROUPS)


@pytest.mark.parametrize("kind", GROUPS)
def test_every_kind_is_told_to_teacher_and_pupils_and_from_what_looks_alike(kind: str) -> None:
    own = words.FINDINGS[kind]
    assert all(len(text) > 5 for text in own)
    assert own.say.count(" ") >= 4
    assert not re.search(r"\byou(r)? (are|were|did|made)\b|\berror\b|\bwrong\b|\bmistake", own.say.lower())
    assert "alike" in own.alike
    assert own.seen.endswith((".", "?"))
    for text in own:
        assert set(re.findall(r"{(\w+)}", text)) <= KEYS


def test_every_kind_of_a_reading_has_a_name() -> None:
    assert set(words.CAUSES) == set(GROUPS) - {"same_numbers", "probe_fault", "clock_shift"}


def test_every_picture_of_a_kind_exists() -> None:
    from station.views import plots

    assert set(found.PICTURE_OF.values()) <= set(plots.EVIDENCE) | set(plots.PICTURES)
    assert set(plots.EVIDENCE) | set(plots.PICTURES) <= set(wording.PICTURE_TITLES)


@pytest.mark.parametrize("module", [wording, words], ids=lambda module: module.__name__)
def test_no_sentence_marks_anybody(module: object) -> None:
    for name, value in vars(module).items():
        if name.isupper():
            for sentence in sentences(value):
                assert not re.search(IN_SENTENCES, sentence.lower()), (name, sentence)


@pytest.mark.parametrize(
    "path",
    [p for p in ROOT.rglob("*") if p.suffix in {".py", ".html", ".js", ".css", ".json", ".toml", ".sql"}],
    ids=lambda path: path.relative_to(ROOT).as_posix(),
)
def test_no_file_points_at_anybody(path: Path) -> None:
    text = re.sub(r"words? of blame", "", path.read_text("utf-8").lower())
    assert not re.search(OF_PERSONS, text), re.search(OF_PERSONS, text)


@pytest.fixture(scope="module", params=["larch-lane", "larch-lane-school-days"])
def checked(request: pytest.FixtureRequest) -> Assessment:
    recording = source.open(ROOT.parent / "recordings" / request.param)
    return cross_check(recording.frames, recording.settings)


def test_what_is_printed_marks_nobody_and_counts_nothing_outside_by_team(checked: Assessment) -> None:
    found_table = tables.tables(checked)["table-findings"]
    told = " ".join(str(value) for value in found_table.to_numpy().ravel())
    assert len(found_table) >= 10
    for text in (terminal.page(checked), told, " ".join(causes.causes(checked).values())):
        assert not re.search(IN_SENTENCES, text.lower()), re.search(IN_SENTENCES, text.lower())
    assert "outside" not in told
    assert not re.search(OF_PERSONS, document.text(checked))


def test_the_check_sees_what_it_looks_for() -> None:
    assert re.search(OF_PERSONS, "whom to blame")
    assert re.search(IN_SENTENCES, "your score is 3 of 5")
    assert re.search(IN_SENTENCES, "teams by rank")
    assert not re.search(IN_SENTENCES, wording.FOOT.lower())
