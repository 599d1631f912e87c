"""Write recordings/larch-lane* and the truth beside the tests: ``python tests/scenario/make_recordings.py``.

The committed files are the authority; run this only to change the scenario itself.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

from station.cli.demo import demo
from station.scenario.larch_lane import larch_lane
from station.scenario.play import play

ROOT = Path(__file__).resolve().parents[2]
TRUTH = Path(__file__).with_name("larch-lane-truth.json")


def truth() -> dict[str, Any]:
    """Return what is planted in Larch Lane, row by row and as a whole."""
    scenario = play(larch_lane())
    plan, rows = scenario.plan, scenario.truth.copy()
    rows.insert(0, "line", scenario.frames.readings["line"])
    for name in ("air_c", "column_c", "excess_c", "sun_c"):
        rows[name] = rows[name].round(3)
    rows["true_date"] = rows["true_date"].astype(str)
    records = rows.astype(object).where(rows.notna(), None).to_dict("records")
    return {
        "teams": {
            team.name: {"bias_c": team.bias_c, "kinds": [plant.kind for plant in team.plants]}
            for team in plan.teams
        },
        "thermometers": {
            tube.number: {"offset_c": tube.offset_c, "plate_f": tube.plate_f} for tube in plan.tubes
        },
        "probe": {
            "offset_c": plan.probe.offset_c,
            "troubles": [[t.kind, t.start.isoformat(), t.end.isoformat()] for t in plan.probe.troubles],
            "clock": [[t.start.isoformat(), t.end.isoformat(), t.shift_minutes] for t in plan.probe.clock],
        },
        "crossed_days": [str(date) for date in plan.crossed_days],
        "misdated": [[team, str(true), str(typed)] for team, true, typed in plan.misdated],
        "rows": records,
    }


if __name__ == "__main__":
    for name, options in (("larch-lane", []), ("larch-lane-school-days", ["--school-days"])):
        folder = ROOT / "recordings" / name
        shutil.rmtree(folder, ignore_errors=True)
        demo.main([str(folder), *options], standalone_mode=False)
    content = truth()
    rows = ",\n".join(json.dumps(row) for row in content.pop("rows"))
    head = json.dumps(content, indent=1)
    TRUTH.write_text(head[:-2] + f',\n "rows": [\n{rows}\n]}}\n', encoding="utf-8")
