import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


def run(*words):
    return subprocess.run([sys.executable, *words], cwd=ROOT, capture_output=True, text=True, check=False)


@pytest.mark.parametrize(
    "words",
    [
        ("-c", "from importlinter.cli import lint_imports_command as c; c(['--no-cache'])"),
        ("-m", "mypy"),
        ("-m", "ruff", "check", "."),
        ("-m", "ruff", "format", "--check", "."),
    ],
    ids=["layers", "types", "style", "format"],
)
def test_the_house_stands(words):
    done = run(*words)
    assert done.returncode == 0, done.stdout + done.stderr


def test_no_module_is_longer_than_a_reader_s_patience():
    lengths = {str(p): len(p.read_text("utf-8").splitlines()) for p in (ROOT / "station").rglob("*.py")}
    assert {p: n for p, n in lengths.items() if n > 400} == {}


@pytest.mark.parametrize(
    "heavy", ["serial", "matplotlib", "starlette", "uvicorn", "pint", "sqlite3", "pandas"]
)
def test_import_station_stays_light(heavy):
    done = run("-c", f"import station, sys; sys.exit({heavy!r} in sys.modules)")
    assert done.returncode == 0, f"import station pulls in {heavy}"


def test_top_level_holds_what_was_agreed_and_nothing_else():
    tracked = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    ).stdout
    if not tracked:
        pytest.skip("not a git checkout")
    top = {line.split("/")[0] for line in tracked.splitlines()}
    assert {name for name in top if not name.startswith(".")} <= {
        "README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "station", "firmware_notes", "tests",
        "recordings",
    }  # fmt: skip
