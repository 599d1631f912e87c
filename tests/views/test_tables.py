from pathlib import Path

import pandas as pd
import pytest

from station.assess import Assessment
from station.views import tables

HOSTILE = '=HYPERLINK("x")'


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "＝"])
def test_a_text_that_looks_like_a_formula_is_neutralised(start: str) -> None:
    assert tables.harmless(f"{start}1+1") == f"'{start}1+1"


@pytest.mark.parametrize("cell", ["Elm", "7", "", "a=b", -1.5, 3, None])
def test_other_cells_stay_as_they_are(cell: object) -> None:
    assert tables.harmless(cell) == cell


def test_no_written_text_cell_starts_a_formula(with_hostile_name: Assessment, tmp_path: Path) -> None:
    for path in tables.write(with_hostile_name, tmp_path):
        frame = pd.read_csv(path, dtype=str, keep_default_na=False)
        for name in frame:
            for cell in frame[name]:
                if cell.startswith(("=", "+", "@", "-")):
                    float(cell)  # only a number may begin so
    teams = pd.read_csv(tmp_path / "table-teams.csv")
    assert f"'{HOSTILE}" in set(teams["team"])


def test_numbers_stay_numbers(whole: Assessment, tmp_path: Path) -> None:
    tables.write(whole, tmp_path)
    found = pd.read_csv(tmp_path / "table-readings.csv")
    assert len(found) == len(whole.readings)
    assert (found["error_c"] < 0).any()
    pd.testing.assert_series_equal(
        found["error_c"], whole.readings["error"], check_names=False, atol=1e-4, rtol=0
    )


def test_files_begin_with_a_byte_order_mark_and_never_take_the_name_of_an_input(
    whole: Assessment, tmp_path: Path
) -> None:
    for path in tables.write(whole, tmp_path):
        assert path.read_bytes().startswith(b"\xef\xbb\xbf")
        assert path.name.startswith("table-")


def test_problems_keep_file_and_line(whole: Assessment, tmp_path: Path) -> None:
    tables.write(whole, tmp_path)
    found = pd.read_csv(tmp_path / "table-problems.csv")
    assert list(found.loc[0, ["file", "line"]]) == ["readings.csv", 400]


def test_outside_is_never_counted_by_team(whole: Assessment) -> None:
    found = tables.tables(whole)
    assert "verdict" in found["table-readings"]
    for name in ("table-teams", "table-segments", "table-thermometers"):
        assert not any("outside" in c or "inside" in c or "verdict" in c for c in found[name].columns)


def test_every_check_of_the_record_is_counted(whole: Assessment) -> None:
    found = tables.tables(whole)["table-probe-flags"].set_index("check")
    assert list(found.index) == ["all", "gross_range", "spike", "rate", "step", "stuck", "gap"]
    assert (found.sum(axis=1) == len(whole.samples)).all()
    beyond = int((whole.samples["celsius"] > 60).sum())
    assert beyond > 0
    assert found.loc["gross_range", "fail"] == beyond
    assert found.loc["all", "fail"] >= beyond
