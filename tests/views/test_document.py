import json
import math
from collections.abc import Iterator
from typing import Any

import jsonschema
import pytest

from station.assess import Assessment
from station.record.model import Session
from station.views import document


@pytest.fixture(params=["whole", "without_probe", "without_readings", "tangled", "unchecked_probe"])
def each(request: pytest.FixtureRequest) -> Assessment:
    found: Assessment = request.getfixturevalue(request.param)
    return found


def numbers(value: Any) -> Iterator[float]:
    if isinstance(value, float):
        yield value
    elif isinstance(value, dict):
        for inner in value.values():
            yield from numbers(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from numbers(inner)


def test_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(document.schema())


def test_document_fits_its_schema(each: Assessment) -> None:
    jsonschema.validate(json.loads(document.text(each)), document.schema())


def test_schema_refuses_a_missing_key_and_a_wrong_verdict(whole: Assessment) -> None:
    found = document.document(whole)
    del found["readings"][3]["p_inside"]
    with pytest.raises(jsonschema.ValidationError, match="p_inside"):
        jsonschema.validate(found, document.schema())
    found = document.document(whole)
    found["readings"][3]["verdict"] = "bad"
    with pytest.raises(jsonschema.ValidationError, match="bad"):
        jsonschema.validate(found, document.schema())


def test_every_number_is_finite(each: Assessment) -> None:
    assert all(math.isfinite(n) for n in numbers(document.document(each)))


def test_text_is_one_line_of_ascii(with_hostile_name: Assessment) -> None:
    text = document.text(with_hostile_name)
    assert text.isascii()
    assert "\n" not in text


def test_readings_keep_the_order_of_the_file_and_errors_their_sign(whole: Assessment) -> None:
    rows = document.document(whole)["readings"]
    assert [row["line"] for row in rows] == sorted(row["line"] for row in rows)
    assert len(rows) == len(whole.frames.readings)
    judged = [row for row in rows if row["error"] is not None and row["celsius"] is not None]
    assert judged
    for row in judged:
        assert row["error"] == pytest.approx(row["celsius"] - row["reference"], abs=2e-6)


def test_absent_team_has_no_value_and_no_verdict(whole: Assessment) -> None:
    row = document.document(whole)["readings"][22]
    assert (row["celsius"], row["fahrenheit"], row["error"], row["verdict"]) == (None, None, None, None)


def test_sessions_without_reference_say_why(whole: Assessment) -> None:
    rows = {(r["date"], r["session"]): r for r in document.document(whole)["sessions"]}
    missing = rows[("2026-10-08", "morning")]
    assert missing["reference"] is None
    assert missing["budget"] is None
    assert {"kind": "gap"} in missing["notes"]
    held = rows[("2026-10-05", "morning")]
    lines = held["budget"]["lines"]
    combined = math.sqrt(sum(line["u"] ** 2 for line in lines))
    assert combined == pytest.approx(held["u_reference"], abs=1e-5)
    assert sum(line["share"] for line in lines) == pytest.approx(1.0, abs=1e-4)
    reference = whole.budgets[Session(whole.sessions["date"].iloc[0], "morning")]
    assert held["budget"]["expanded"] == pytest.approx(reference.expanded_c, abs=1e-6)


def test_fault_times_carry_the_sites_offset(whole: Assessment) -> None:
    faults = document.document(whole)["probe"]["faults"]
    assert {f["kind"] for f in faults} >= {"gap", "power_on_value"}
    assert all(f["from"].endswith("-05:00") for f in faults)
    assert all(f["from"] <= f["to"] for f in faults)


def test_a_team_with_a_change_has_two_segments(whole: Assessment) -> None:
    teams = document.document(whole)["teams"]
    assert [t["team"] for t in teams] == sorted(t["team"] for t in teams)
    fir = next(t for t in teams if t["team"] == "Fir")
    assert [s["change"] for s in fir["segments"]] == [None, "coaching"]


def test_a_class_value_stays_in_the_scale_it_was_read_in(other_scale: Assessment) -> None:
    found = document.document(other_scale)
    jsonschema.validate(found, document.schema())
    first = found["sessions"][0]
    cards = other_scale.readings.iloc[:8]
    if first["class_scale"] == "fahrenheit":
        assert first["class_value"] in set(cards["fahrenheit"])
        assert first["class_value_fahrenheit"] is None
    else:
        assert first["class_value"] in set(cards["celsius"])
        assert first["class_value_fahrenheit"] in set(cards["fahrenheit"])


def test_causes_habits_and_kinds_are_those_of_the_findings(whole: Assessment) -> None:
    found = document.document(whole)
    causes = whole.findings.causes
    assert sum(len(row["mistakes"]) for row in found["readings"]) == len(causes)
    for row, kind in zip(causes["row"], causes["kind"], strict=True):
        assert kind in [cause["kind"] for cause in found["readings"][row]["mistakes"]]
    for team in found["teams"]:
        assert team["finding"] == whole.findings.team_states[team["team"]]
        assert [h["kind"] for h in team["habits"]] == [f.kind for f in whole.findings.teams[team["team"]]]
    for tube in found["thermometers"]:
        assert tube["finding"] == whole.findings.thermometer_states[tube["number"]]
    assert len(found["probe"]["clock"]) == len(whole.findings.clock)


def test_nothing_is_said_of_teams_that_can_not_be_told_from_thermometers(tangled: Assessment) -> None:
    found = document.document(tangled)
    assert found["separable"] is False


def test_outside_is_never_counted_by_team(whole: Assessment) -> None:
    for team in document.document(whole)["teams"]:
        assert set(team) == {
            "team", "readings", "bias", "bias_low", "bias_high", "spread", "finding", "habits", "segments",
            "after_coaching", "separable",
        }  # fmt: skip
