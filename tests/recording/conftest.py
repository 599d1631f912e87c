"""A folder to write files into, and what most of these tests read."""

from __future__ import annotations

from zoneinfo import ZoneInfo

import pytest

from station import recording

CHICAGO = ZoneInfo("America/Chicago")


READING = "date,session,team,thermometer,celsius,fahrenheit"


ALL = {
    "probe": (
        "time,celsius\n2026-10-05T14:00:00Z,12.5\n2026-10-05T14:00:30.250000Z,-0.0625\n"
        "2026-10-06T14:00:00Z,85\n"
    ),
    "probe-tree": "time,celsius\n2026-10-05T14:00:00Z,12\n",
    "weather": "time,celsius\n2026-10-05T14:00:00Z,11.11111111111111\n",
    "readings": (
        f"{READING},time,waited,note\n"
        '2026-10-05,morning,Alder,7,"12,5",54F,09:05,5,"said ""windy"", twice"\n'
        "2026-10-05,afternoon,Silver Birch,blue,−3,absent,,,\n"
        "2026-10-05,afternoon,Silver Birch,,,broken,14:05:30,2.5,ä\n"
    ),
    "coaching": "team,date,topic\nAlder,2026-10-26,eye line\n",
    "pairs": "team,date,change\nAlder,2026-10-19,new pair\n",
    "edits": (
        "at,by,table,row,column,old,new,reason\n"
        '2026-10-05T20:00:00.500000Z,teacher,readings,2,celsius,"1,5","12,5",typing slip\n'
    ),
    "decisions": (
        "date,session,class_value,reason\n2026-10-05,morning,12.5,\n2026-10-05,afternoon,,no agreement\n"
    ),
    "sessions": "date,session,held,reason,shadow,air\n2026-10-05,morning,yes,,faint,leaves\n",
    "shadow": "time,shadow\n2026-10-05T14:00:00Z,yes\n",
    "opening": "azimuth,elevation\n205,5\n235,26.5\n",
    "rejected": 'time,line,reason\n2026-10-05T14:00:00Z,"T=ERR, ""x""",no number\n',
    "checks": (
        "date,kind,thermometer,scale,reader,reference,reading\n"
        "2026-10-01,bucket,7,celsius,1,12.5,13\n2026-10-01,ice,8,celsius,2,0,\n"
    ),
}  # fmt: skip


@pytest.fixture
def folder(tmp_path):
    def make(**files):
        for name, content in files.items():
            path = tmp_path / (name.replace("__", "-") + ".csv")
            path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return tmp_path

    return make


def read_probe(folder, content, zone=CHICAGO):
    frames = recording.read(folder(probe=content), zone)
    return frames.probe, [str(problem) for problem in frames.problems]


def utc(frame):
    return [f"{at:%Y-%m-%d %H:%M:%S}" for at in frame["time"]]
