import datetime as dt
import re
import threading
from dataclasses import replace
from pathlib import Path

import matplotlib as mpl
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.figure import Figure

from station.assess import Assessment
from station.findings.changes import Change
from station.findings.clock import Shift
from station.findings.kinds import GROUPS, Finding
from station.record.model import Session
from station.views import phrases, plots, wording
from station.views.plots import style
from station.views.plots.decimate import columns

FIRST = dt.date(2026, 10, 5)
EVERY = ["whole", "without_probe", "without_readings", "tangled", "with_hostile_name", "unchecked_probe"]


def words(figure: Figure) -> str:
    return " ".join(
        text.get_text().replace("\n", " ")
        for holder in (figure, *figure.axes)
        for text in holder.findobj(mpl.text.Text)
    )


@pytest.mark.parametrize("name", EVERY)
@pytest.mark.parametrize(
    "picture", [*plots.PICTURES.values(), *plots.EVIDENCE.values()], ids=[*plots.PICTURES, *plots.EVIDENCE]
)
def test_every_picture_of_every_recording_has_a_sentence(
    picture: object, name: str, request: pytest.FixtureRequest
) -> None:
    figure = picture(request.getfixturevalue(name))  # type: ignore[operator]
    sentence = figure.texts[0].get_text()
    assert len(sentence) > 20
    assert "nan" not in sentence
    figure.canvas.draw()


def test_files_are_written_and_equal_input_gives_equal_svg(whole: Assessment, tmp_path: Path) -> None:
    before = dict(mpl.rcParams)
    first = plots.write(whole, tmp_path)
    assert {path.suffix for path in first} == {".png", ".svg"}
    again = tmp_path / "again"
    again.mkdir()
    plots.write(whole, again)
    for path in first:
        if path.suffix == ".svg":
            assert path.read_bytes() == (again / path.name).read_bytes()
            assert b"<dc:date>" not in path.read_bytes()
        else:
            assert path.read_bytes().startswith(b"\x89PNG")
    assert dict(mpl.rcParams) == before


def shown(assessment: Assessment, **parts: object) -> Assessment:
    return replace(assessment, findings=replace(assessment.findings, **parts))


def of(assessment: Assessment, team: str, kind: str) -> Assessment:
    rows = assessment.readings
    mine = tuple(int(i) for i in rows.index[(rows["team"] == team) & rows["indication"].notna()])
    finding = Finding(kind, GROUPS[kind], team, "clear", 0.99, mine, (), 0, 1.0)
    return shown(assessment, teams={**assessment.findings.teams, team: (finding,)})


@pytest.mark.parametrize(
    ("kind", "name"),
    [
        ("read_too_soon", "picture-gap"),
        ("bulb_warmed", "picture-gap"),
        ("eye_line", "picture-grid"),
        ("scales_swapped", "picture-slips"),
        ("rounded", "picture-last-digit"),
        ("converted_not_read", "picture-last-digit"),
    ],
)
def test_a_finding_calls_for_its_picture_which_names_it(whole: Assessment, kind: str, name: str) -> None:
    found = of(whole, "Fir", kind)
    assert name in plots.called_for(found)
    figure = plots.EVIDENCE[name](found)
    assert "Fir" in words(figure)
    assert figure.axes
    figure.canvas.draw()


def test_coaching_a_step_and_a_clock_call_for_theirs(whole: Assessment) -> None:
    day = FIRST + dt.timedelta(days=7)
    change = Change("Fir", day, "coaching", "eye_line", "helped", -0.8, -1.1, -0.5)
    rows = whole.readings
    uses = tuple(int(i) for i in rows.index[(rows["thermometer"] == "2") & (rows["date"] >= day)])
    step = Finding("column_separated", "thermometer", "2", "clear", 0.99, uses, (), 0, 1.4)
    found = shown(
        whole,
        changes=(change,),
        thermometers={**whole.findings.thermometers, "2": (step,)},
        clock=(Shift(FIRST, FIRST + dt.timedelta(days=2), -60.0, 0.99, 30.0),),
    )
    called = plots.called_for(found)
    assert {"picture-coaching", "picture-steps", "picture-clock"} <= set(called)
    for name, text in (
        ("coaching", "helped"),
        ("steps", "Thermometer 2 changed by +1.4"),
        ("clock", "−60 min"),
    ):
        figure = plots.EVIDENCE[f"picture-{name}"](found)
        assert text in words(figure)
        figure.canvas.draw()


def test_cards_that_show_what_was_coached_are_marked_before_and_after(whole: Assessment) -> None:
    change = Change("Fir", FIRST + dt.timedelta(days=7), "coaching", "scales_swapped", "not yet")
    marked = plots.before_and_after(shown(of(whole, "Fir", "scales_swapped"), changes=(change,)))
    plain = plots.before_and_after(shown(whole, changes=(change,)))

    def diamonds(figure: Figure) -> int:
        colour = mpl.colors.to_rgba(style.ACCENT)
        marks = [c for c in figure.axes[0].collections if _is_scatter(c)]
        return sum(len(c.get_offsets()) for c in marks if tuple(c.get_facecolor()[0]) == colour)

    assert diamonds(marked) > 10
    assert diamonds(plain) == 0


def test_pictures_of_findings_that_are_not_there_are_not_written(whole: Assessment) -> None:
    assert plots.called_for(whole) == ["picture-grid"]  # for the warm thermometer


def test_the_grid_shows_each_pair_of_team_and_thermometer_once(whole: Assessment) -> None:
    figure = plots.team_thermometer_grid(whole)
    cells = sum(len(c.get_offsets()) for c in figure.axes[0].collections if _is_scatter(c))
    rows = whole.readings
    used = rows[rows["rest"].notna() & ~rows["slip"].astype(bool)]
    assert cells == len(used[["team", "thermometer"]].drop_duplicates())
    told = re.search(
        r"Thermometer 4 \(\+1\.[789]\s°C\) lies on one side with (\d+) of (\d+) teams", words(figure)
    )
    assert told is not None
    users = used.loc[used["thermometer"] == "4", "team"].nunique()
    assert (int(told[1]), int(told[2])) == (users, users)


def test_last_digits_are_shares_of_all_cards(whole: Assessment) -> None:
    figure = plots.last_digits(of(whole, "Fir", "rounded"))
    heights = [patch.get_height() for patch in figure.axes[0].patches]
    assert sum(heights) == pytest.approx(200.0)  # the team's shares and everybody else's


def test_last_digits_of_a_class_that_writes_fahrenheit_are_its_own(whole: Assessment) -> None:
    rows = whole.readings.assign(celsius=float("nan"))
    figure = plots.last_digits(replace(of(whole, "Fir", "rounded"), readings=rows))
    assert "Fahrenheit ends in 0" in words(figure)
    heights = [patch.get_height() for patch in figure.axes[0].patches]
    assert sum(heights) == pytest.approx(200.0)


def test_no_dot_of_a_doubted_session_is_drawn_about_coaching(whole: Assessment) -> None:
    change = Change("Fir", FIRST + dt.timedelta(days=7), "coaching", "eye_line", "helped", -0.8, -1.1, -0.5)
    coached = shown(whole, changes=(change,))
    noted = whole.sessions.assign(notes=[(*notes, "sun") for notes in whole.sessions["notes"]])

    def count(assessment: Assessment) -> int:
        figure = plots.before_and_after(assessment)
        return sum(len(c.get_offsets()) for c in figure.axes[0].collections if _is_scatter(c))

    rows = whole.readings
    assert count(coached) == int(((rows["team"] == "Fir") & rows["error_without_offset"].notna()).sum())
    assert count(replace(coached, sessions=noted)) == 0


def test_the_session_shown_is_the_latest_that_nothing_puts_in_doubt(whole: Assessment) -> None:
    notes = [*whole.sessions["notes"].iloc[:-1], ("sun",)]
    text = words(plots.session_dots(replace(whole, sessions=whole.sessions.assign(notes=notes))))
    before = whole.sessions.iloc[-2]
    assert phrases.session_name(before["date"], before["session"]) in text


def test_errors_by_team_are_not_shown_before_they_can_be_told_from_thermometers(tangled: Assessment) -> None:
    figure = plots.errors_by_team(tangled)
    assert not figure.axes
    assert "can't be told apart" in words(figure)


def test_errors_by_team_show_every_error_once(whole: Assessment) -> None:
    figure = plots.errors_by_team(whole)
    marks = sum(len(c.get_offsets()) for axes in figure.axes for c in axes.collections if _is_scatter(c))
    assert marks == int(whole.readings["error"].notna().sum())
    assert all(team in words(figure) for team in whole.teams["team"])


def _is_scatter(collection: object) -> bool:
    return type(collection).__name__ == "PathCollection"


def test_a_session_shows_each_reading_and_the_reference(whole: Assessment) -> None:
    session = Session(whole.sessions["date"].iloc[0], "morning")
    figure = plots.session_dots(whole, session)
    rows = whole.readings[
        (whole.readings["date"] == session.date) & (whole.readings["session"] == session.part)
    ]
    marks = sum(len(c.get_offsets()) for c in figure.axes[0].collections if _is_scatter(c))
    assert marks == len(rows)
    assert "probe 10.0" in words(figure)


def test_no_dot_is_singled_out_where_most_are_off_the_same_way(whole: Assessment) -> None:
    session = Session(whole.sessions["date"].iloc[0], "morning")
    mine = (whole.readings["date"] == session.date) & (whole.readings["session"] == session.part)

    def shifted(n: int) -> Assessment:
        """Move the first n readings of the session far above the probe."""
        readings = whole.readings.copy()
        rows = readings.index[mine][:n]
        readings.loc[rows, ["error", "p_inside"]] = [5.0, 0.0]
        readings.loc[rows, "verdict"] = "outside"
        return Assessment(**{**vars(whole), "readings": readings})

    few, most = (words(plots.session_dots(shifted(n), session)) for n in (2, 7))
    assert "+5.0" in few
    assert wording.OFF_TOGETHER not in few
    assert "+5.0" not in most
    assert wording.OFF_TOGETHER in most


def test_a_session_without_reference_says_so(without_probe: Assessment) -> None:
    assert wording.SESSION_NO_REFERENCE in words(plots.session_dots(without_probe))


def test_the_warm_thermometer_is_named_with_its_offset(whole: Assessment) -> None:
    assert "number 4 (+1.8" in words(plots.thermometer_offsets(whole))


def test_the_probes_troubles_are_named_with_their_day(whole: Assessment) -> None:
    text = words(plots.probe_record(whole))
    assert "8 Oct: no values" in text
    assert "12 Oct: power-on value" in text


def test_a_name_in_another_script_is_drawn_without_a_warning(whole: Assessment, tmp_path: Path) -> None:
    readings = whole.readings.assign(team=whole.readings["team"].replace("Elm", "楓"))
    changed = Assessment(**{**vars(whole), "readings": readings})
    plots.save(plots.session_dots(changed), tmp_path / "a.png", "title")


def test_two_threads_draw_at_once(whole: Assessment) -> None:
    found: list[int] = []

    def draw() -> None:
        found.append(len(plots.thermometer_offsets(whole).axes))

    threads = [threading.Thread(target=draw) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found == [1, 1, 1, 1]


@given(
    st.lists(st.floats(-50, 50), min_size=1, max_size=300),
    st.integers(1, 50),
    st.integers(0, 2**32 - 1),
)
def test_columns_keep_the_extremes_of_a_record(values: list[float], count: int, start: int) -> None:
    draw = np.random.default_rng(start)
    time = np.cumsum(draw.exponential(60.0, len(values)))
    value = np.array(values)
    found = columns(time, value, count)
    assert found.low.min() == value.min()
    assert found.high.max() == value.max()
    assert found.middle.size <= count
    assert (np.diff(found.middle) > 0).all()


def test_columns_agree_with_a_plain_loop() -> None:
    draw = np.random.default_rng(3)
    time = np.sort(draw.uniform(0.0, 1000.0, 5000))
    value = draw.normal(size=5000)
    found = columns(time, value, 37)
    edges = np.linspace(time[0], time[-1], 38)
    for i in range(37):
        inside = (time >= edges[i]) & ((time < edges[i + 1]) | (i == 36))
        assert found.low[i] == value[inside].min()
        assert found.high[i] == value[inside].max()
