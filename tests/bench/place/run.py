"""Score the survey of the place on invented sites whose sun is known.

    python tests/bench/place/run.py --sites 300           reporting seeds, prints the tables
    python tests/bench/place/run.py --sites 40 --tune     tuning seeds

Thresholds were chosen on tuning seeds only; figures are reported from the others.
"""

from __future__ import annotations

import argparse
import sys
import time
import warnings
from collections.abc import Callable
from functools import partial
from multiprocessing import Pool
from pathlib import Path

import numpy as np
import pandas as pd

sys.path.insert(0, str(Path(__file__).parent))
import baselines
import generator
import scorer
from generator import Case, cases

from station.place.forecast import WIDE_MIN
from station.place.places import survey_places
from station.place.survey import Survey, survey

TUNING = (0, 50_000)
REPORTING = (68_000_000, 68_500_000)
WAYS: dict[str, Callable[[Case], Survey]] = {
    "probe alone": lambda c: survey(c.probe, c.site, c.school, c.sessions),
    "with weather.csv": lambda c: survey(c.probe, c.site, c.school, c.sessions, weather=c.weather),
    "with a probe in the open": lambda c: (
        survey_places(
            {"": c.probe, "open": c.open_probe}, {"": "place", "open": "open"}, c.site, c.school, c.sessions
        ).place
    ),
}


def three(values: pd.Series) -> str:
    """Median, mean and tenth percentile."""
    v = pd.Series(values).dropna()
    return f"{v.median():.2f} / {v.mean():.2f} / {v.quantile(0.1):.2f} (n {len(v)})" if len(v) else "-"


def scored(case: Case, way: str) -> dict[str, object]:
    """Return the scores of one site, with the processor's seconds."""
    warnings.simplefilter("ignore")
    begin = time.process_time()
    found = WAYS[way](case)
    seconds = time.process_time() - begin
    return scorer.score(case, found) | {"seconds": seconds}


def detection(lit: list[Case], shaded: list[Case], way: str, jobs: int = 1) -> pd.DataFrame:
    """Run one way over all sites and print its figures."""
    with Pool(jobs) as pool:
        table = pd.DataFrame(pool.map(partial(scored, way=way), lit + shaded, chunksize=4))
    seconds = table["seconds"].mean()
    on, off = table[table["sunlit"]], table[~table["sunlit"]]
    big = on[on["big"]]
    windows = big[big["kind"] != "all day"]
    print(f"\n## {way}: median / mean / p10; {seconds:.2f} s of processor a site")
    print("recurring F1, excess >= 3.5      ", three(big["recurring_f1"]))
    print("  the same without all-day sun   ", three(windows["recurring_f1"]))
    print("per-day F1, excess >= 3.5        ", three(big["day_f1"]))
    print("per-day F1, all lit sites        ", three(on["day_f1"]))
    print("recurring F1, all lit sites      ", three(on["recurring_f1"]))
    print("verdict on lit sites             ", on["verdict"].value_counts().to_dict())
    for name, part in (
        ("under 2 degC", on[on["clear_excess"] < 2]),
        ("2 degC and more", on[on["clear_excess"] >= 2]),
    ):
        print(f"  of these with an excess of {name}", part["verdict"].value_counts().to_dict())
    missed = on[on["verdict"] == "shaded"]
    print(f"  called shaded: {len(missed)}; of these lit on most clear days of the record: "
          f"{int(missed['lit_when_clear'].sum())}")  # fmt: skip
    print("verdict on shaded sites          ", off["verdict"].value_counts().to_dict())
    door = off[off["troubles"].str.contains("door")]
    print("  of these with a door           ", door["verdict"].value_counts().to_dict())
    only = off[off["only"]]
    print("  of these school days only      ", only["verdict"].value_counts().to_dict())
    print(f"false minutes a day, shaded sites {off['false_min'].mean():.2f}")
    for name, part in (("excess >= 3.5", big), ("all lit", on)):
        edges = np.concatenate([np.array(e, float) for e in part["edges"]])
        print(f"edges within 5 / 10 min, {name}: {np.mean(edges <= 5):.2f} / {np.mean(edges <= 10):.2f}")
    carried = on[["carried_clear", "carried_mixed", "carried_dull"]].sum()
    print("evidence by clear, mixed and dull days", (carried / carried.sum()).round(2).tolist(),
          "of days", on[["days_clear", "days_mixed", "days_dull"]].sum().tolist())  # fmt: skip
    print("excess, estimate over truth      ", three(on["excess_ratio"]))
    print(on.groupby("kind")[["recurring_f1", "day_f1"]].mean().round(2).T.to_string())
    return table


def simple(lit: list[Case], shaded: list[Case]) -> None:
    """Print the baselines."""
    methods = {
        "rate of change > 0.4 degC/min": baselines.by_rate,
        "probe minus region > 2 degC": lambda c: baselines.by_region(c, 2.0),
        "probe minus region > 3 degC": lambda c: baselines.by_region(c, 3.0),
    }
    print("\n## baselines: per-day F1 all lit; excess >= 3.5; false minutes a day on shaded sites")
    for name, method in methods.items():
        f, big, wrong = [], [], []
        for c in lit:
            rec = c.truth["recorded"].to_numpy()
            true = (c.truth["direct_c"] >= 1).to_numpy() & rec
            value = scorer.f1(method(c) & rec, true)
            f.append(value)
            if c.truth["clear_excess_c"].max() >= 3.5:
                big.append(value)
        for c in shaded:
            rec = c.truth["recorded"].to_numpy()
            wrong.append(
                (method(c) & rec & (c.truth["excess_c"] < 0.5).to_numpy()).sum()
                / c.truth["date"][rec].nunique()
            )
        print(f"{name:32s} {three(pd.Series(f))}; {three(pd.Series(big))}; {np.mean(wrong):.1f}")
    scores, misses = [], []
    for c in (c for c in lit if c.truth["clear_excess_c"].max() >= 3.5):
        wanted, told, rec = scorer.recurring_truth(c), baselines.by_told(c), c.truth["recorded"].to_numpy()
        scores.append(scorer.f1(told & rec, wanted & rec))
        misses += scorer.edge_misses(c, wanted, told)
    print("told all that the sun showed, excess >= 3.5: recurring F1", three(pd.Series(scores)))
    print(f"  and edges within 5 min {np.mean(np.array(misses) <= 5):.2f}")


def ahead(first_seed: int, count: int, days: int, lead: int, jobs: int = 1) -> None:
    """Forecast edges ``lead`` days after the record, against the same clock time, windows >= 3.5 degC."""
    sites: list[list[tuple[float, bool, float]]] = []
    with Pool(jobs) as pool:
        for found in pool.imap(
            partial(_edges_ahead, days=days, lead=lead), range(first_seed, first_seed + 20 * count)
        ):
            sites += [] if found is None else [found]
            if len(sites) == count:
                break
    off, inside, same = np.array([edge for site in sites for edge in site], float).reshape(-1, 3).T
    said, total = np.isfinite(off), len(off)
    near = off[said] <= 10
    bands = [np.mean([edge[1] for edge in site if np.isfinite(edge[0])] or [np.nan]) for site in sites]
    n = int(np.isfinite(bands).sum())
    print(f"\n## edges {lead} days ahead from {days} days, excess >= 3.5: {len(sites)} sites, {total} edges")
    print(f"not said: {total - said.sum()}")
    print(f"within 10 min: {near.mean():.2f}, of all edges {near.sum() / total:.2f}; "
          f"last day's clock {(same[said] <= 10).mean():.2f}; 80 % bands cover {inside[said].mean():.3f} "
          f"(standard error by sites {np.nanstd(bands) / np.sqrt(max(n, 1)):.3f})")  # fmt: skip


def _edges_ahead(seed: int, days: int, lead: int) -> list[tuple[float, bool, float]] | None:
    """Return how far off each edge was said [min; inf: not], whether its limits held, the last day's."""
    warnings.simplefilter("ignore")
    whole = generator.make(seed, True, days + lead + 1, school_only=False)
    if whole.kind == "all day" or whole.truth["clear_excess_c"].max() < 3.5 or whole.share < 0.3:
        return None
    cut = np.datetime64(whole.truth["time"].iloc[days * 1440].tz_convert(None), "us")
    stamps = whole.probe["time"].to_numpy(dtype="datetime64[us]")
    found = survey(whole.probe[stamps < cut].reset_index(drop=True), whole.site, whole.school, whole.sessions)
    target = sorted(whole.truth["date"].unique())[days + lead - 1]
    last = sorted(whole.truth["date"].unique())[days - 1]
    clear = whole.truth["clear_excess_c"].to_numpy() >= 1
    minute = (whole.truth["local"].dt.hour * 60 + whole.truth["local"].dt.minute).to_numpy()
    truth = {d: [(minute[x][a], minute[x][b - 1] + 1) for a, b in _runs(clear[x])]
             for d in (target, last) for x in [np.flatnonzero(whole.truth["date"] == d)]}  # fmt: skip
    zone = whole.site.zone
    rows = found.ahead[found.ahead["date"] == target]
    edges = []
    for k, names in enumerate((("start", "start_low", "start_high"), ("end", "end_low", "end_high"))):
        said = [[_minute(t, zone) for t in row] for row in rows[list(names)].itertuples(index=False)]
        for true in truth[target]:
            nearest = min(said, key=lambda s: abs(s[0] - true[k]), default=None)
            past = min((abs(w[k] - true[k]) for w in truth[last]), default=np.inf)
            wide = nearest is not None and nearest[2] - nearest[1] > WIDE_MIN
            if nearest is None or wide or abs(nearest[0] - true[k]) > 90:
                edges.append((np.inf, False, past))
            else:
                held = nearest[1] - 1 <= true[k] <= nearest[2] + 1
                edges.append((abs(nearest[0] - true[k]), held, past))
    return edges


def sessions_ahead(first_seed: int, count: int, jobs: int = 1) -> None:
    """Brier score of sessions in 14 days across a clock change, geometry observed, 20 days of record."""
    told: list[list[tuple[float, float, bool]]] = []
    with Pool(jobs) as pool:
        for found in pool.imap(_sessions_of, range(first_seed, first_seed + 4 * count)):
            told += [] if found is None else [found]
            if len(told) == count:
                break
    done = len(told)
    chance, lit, strong = np.array([row for site in told for row in site]).T
    said = np.isfinite(chance)
    none = int((~said).sum())
    print(f"\n## sessions in 14 days across a clock change, {done} sites, {none} sessions not said")
    a, b, judged = chance[said], lit[said], strong[said] > 0
    for name, part in (("all", judged | True), ("shaded, or excess >= 3.5", judged)):
        miss = a[part] - b[part]
        base = b[part].mean()
        print(f"{name}: {part.sum()} sessions, {base:.2f} lit, Brier {np.mean(miss**2):.3f}, always the mean "
              f"{base * (1 - base):.3f}, more than 0.8 off {np.mean(np.abs(miss) > 0.8):.3f}")  # fmt: skip


def _sessions_of(seed: int) -> list[tuple[float, float, bool]] | None:
    """Return each coming session's chance, whether it was lit, and whether the site is judged sharply."""
    warnings.simplefilter("ignore")
    whole = _across(seed)
    if whole is None:
        return None
    case, days = whole
    cut = np.datetime64(case.truth["time"].iloc[days * 1440].tz_convert(None), "us")
    stamps = case.probe["time"].to_numpy(dtype="datetime64[us]")
    found = survey(case.probe[stamps < cut].reset_index(drop=True), case.site, case.school, case.sessions)
    clock = (case.truth["local"].dt.hour * 60 + case.truth["local"].dt.minute).to_numpy()
    lit = (case.truth["clear_excess_c"] >= 1).to_numpy()
    top = case.truth["clear_excess_c"].max()
    date = case.truth["date"].to_numpy()
    rows = []
    for d, name, chance in found.forecast[["date", "session", "sunlit_probability"]].itertuples(index=False):
        part = next(q for q in case.sessions.parts if q.name == name)
        start = part.start.hour * 60 + part.start.minute
        inside = (date == d) & (clock >= start) & (clock < start + part.minutes)
        if inside.any():
            rows.append((chance, float(lit[inside].sum() >= 5), bool(top < 1 or top >= 3.5)))
    return rows


def _across(seed: int) -> tuple[Case, int] | None:
    """Return a site of 34 days whose clock changes two days after the twentieth, or None where none does."""
    case = generator.make(seed, seed % 3 != 0, 34, school_only=False, change_after=22)
    offset = case.truth["local"].iloc[[0, -1]].map(lambda t: t.utcoffset())
    return (case, 20) if offset.iloc[0] != offset.iloc[1] else None


def _runs(lit: np.ndarray) -> list[tuple[int, int]]:
    return scorer.runs(lit, 10, 10)


def _minute(moment: pd.Timestamp, zone: object) -> float:
    local = moment.tz_convert(zone)
    return local.hour * 60 + local.minute + local.second / 60


def main() -> None:
    """Run what was asked for."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--sites", type=int, default=300)
    parser.add_argument("--days", type=int, default=10)
    parser.add_argument("--tune", action="store_true")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--only", choices=("detection", "ahead", "sessions", "days"))
    args = parser.parse_args()
    warnings.simplefilter("ignore")
    first_lit, first_shaded = TUNING if args.tune else REPORTING
    if args.only in (None, "detection"):
        lit, shaded = (
            cases(first_lit, args.sites, True, args.days),
            cases(first_shaded, args.sites, False, args.days),
        )
        only = sum(c.school_only for c in lit + shaded)
        print(f"# {len(lit)} lit, {len(shaded)} shaded sites of {args.days} days; {only} of school days")
        for way in list(WAYS)[:2]:
            detection(lit, shaded, way, args.jobs)
        simple(lit, shaded)
    if args.only in (None, "ahead"):
        ahead(first_lit + 200_000, args.sites // 3, 20, 14, args.jobs)
        ahead(first_lit + 300_000, args.sites // 3, 10, 14, args.jobs)
    if args.only in (None, "sessions"):
        sessions_ahead(first_lit + 400_000, args.sites // 2, args.jobs)
    if args.only in (None, "days"):
        for days in (3, 5, 20):
            part = cases(first_lit + 100_000, args.sites // 3, True, days)
            table = pd.DataFrame([scorer.score(c, WAYS["probe alone"](c)) for c in part])
            big = table[table["big"]]
            verdicts = table["verdict"].value_counts().to_dict()
            print(f"\n## {days} days: recurring F1, excess >= 3.5 {three(big['recurring_f1'])}; {verdicts}")
    if args.only in (None, "detection"):
        part = max(args.sites // 3, 3)
        detection(lit[:part], shaded[:part], list(WAYS)[2], args.jobs)


if __name__ == "__main__":
    main()
