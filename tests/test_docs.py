"""README and DEVELOPERS.md say what the code does, or these tests fail."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from station.cli import VERBS
from station.reference import faults, flags
from station.settings.keys import KEYS

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text("utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text("utf-8")


def test_ci_runs_the_readme_s_test_command_word_for_word():
    commands = [line.strip() for line in README.splitlines() if line.strip().endswith("-m pytest")]
    assert commands, "README has no test command"
    assert commands[0] in (ROOT / ".ci" / "run").read_text("utf-8").splitlines()


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_is_told_of(verb):
    assert f"station {verb}" in README


@pytest.mark.parametrize("key", KEYS, ids=lambda k: f"{k.section}.{k.name}")
def test_every_setting_is_told_of(key):
    assert f"`{key.section}.{key.name}`" in DEVELOPERS


@pytest.mark.parametrize(
    "name", [*flags.CHECKS, *faults.LEAVES_NONE, "step", "sun", "away", "logged_too_seldom"]
)
def test_every_flag_and_fault_is_told_of(name):
    assert f"`{name}`" in DEVELOPERS


def test_the_readme_s_example_is_what_the_command_prints():
    example = re.search(r"<!-- example: station (.*?) -->\n```text\n(.*?)```", README, re.DOTALL)
    words = example.group(1).split()
    done = subprocess.run(
        [sys.executable, "-m", "station", *words],
        cwd=ROOT,
        capture_output=True,
        check=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONUTF8": "1"},
    )
    printed = done.stdout.splitlines()
    shown = [line for line in example.group(2).splitlines() if line.strip() not in ("", "…")]
    assert len(shown) > 20
    assert [line for line in shown if line not in printed] == []


def test_the_readme_s_python_runs():
    code = re.search(r"```python\n(.*?)```", README, re.DOTALL).group(1)
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_names_of_modules_in_the_map_exist():
    for path in re.findall(r"^\| `(station/[\w./]+)` \|", DEVELOPERS, re.MULTILINE):
        assert (ROOT / path).exists(), path
