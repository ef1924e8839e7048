"""A table of homes in: each year as it would be alone, whoever made the part; what is wrong with rows, told."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from simkit.case.build import vary
from simkit.case.load import read_case
from simkit.case.sample_homes import sample_file, sample_folder
from simkit.errors import CaseError, DataError
from simkit.profiles.one_home import number_of
from simkit.stock import stock as making
from simkit.stock.outcome import MISSING, Stock
from simkit.stock.stock import sweep_homes
from simkit.tariff.tariff import read_tariff
from simkit.year.simulate import simulate

PLACE = "moor_cottage"
HEAD = "name,group,home.floor_area_m2,home.loss.w_per_k,household.annual_kwh,controls.design_flow_c"
ROWS = [
    "Alder,terrace,80,140,2200,45",
    "Birch,flat,60,90,1500,40",
    "Cedar,terrace,95,180,2900,50",
    "Dogwood,detached,160,240,3900,55",
    "Elder,flat,70,110,1900,45",
]
TARIFFS = [sample_folder() / "tariffs" / f"{name}.toml" for name in ("moor_evening_peak", "moor_night_meter")]


def _table(folder: Path, rows: list[str] = ROWS, head: str = HEAD) -> Path:
    path = folder / "homes.csv"
    path.write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
    return path


def _by_name(found: Stock) -> pd.DataFrame:
    frame = found.frame().drop(columns="line").astype({"name": str, "tariff": str, "option": str, "group": str})
    return frame.sort_values(["name", "tariff", "option", "weather"], ignore_index=True)


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Stock:
    folder = tmp_path_factory.mktemp("whole")
    return sweep_homes(_table(folder), folder / "out", place=PLACE, tariffs=TARIFFS, street=True)


def test_each_year_is_what_the_home_alone_would_have(whole: Stock) -> None:
    frame = _by_name(whole)
    place = read_case(sample_file(PLACE))
    assert (whole.homes, whole.years, len(frame)) == (5, 10, 10)
    for row in ("Alder,terrace,80,140,2200,45", "Dogwood,detached,160,240,3900,55"):
        name, _, area, loss, used, flow = row.split(",")
        said = {
            "household.home_number": number_of(name),
            "home.loss": None, "home.loss.w_per_k": float(loss), "home.floor_area_m2": float(area),
            "household.annual_kwh": float(used), "controls.design_flow_c": float(flow),
        }  # fmt: skip
        for file in TARIFFS:
            tariff = read_tariff(file)
            alone = simulate(vary(place, said | {"tariff": tariff}))
            got = frame[(frame["name"] == name) & (frame["tariff"] == tariff.name)].iloc[0]
            assert got["cost"] == pytest.approx(alone.bill.total, abs=1e-9)
            assert got["import_kwh"] == pytest.approx(alone.totals["import"], rel=1e-12, abs=0.0)
            assert got["spf_h4"] == pytest.approx(alone.spf.h4, rel=1e-12, abs=0.0)
            assert got["rooms_level"] == alone.comfort.level
            assert got["loss_w_per_k"] == float(loss)


def test_homes_meet_households_of_their_own_and_are_added_up_step_by_step(whole: Stock) -> None:
    """A street's peak is that of its sum: lower than that of its homes' peaks, and here summed by hand from each alone."""
    frame = _by_name(whole)
    assert frame.groupby("name")["home_number"].nunique().eq(1).all()
    assert frame["home_number"].nunique() == len(ROWS)
    place, summed = read_case(sample_file(PLACE)), 0.0
    for row in ROWS:
        name, _, area, loss, used, flow = row.split(",")
        said = {
            "household.home_number": number_of(name), "home.loss": None, "home.loss.w_per_k": float(loss),
            "home.floor_area_m2": float(area), "household.annual_kwh": float(used),
            "controls.design_flow_c": float(flow), "tariff": read_tariff(TARIFFS[0]),
        }  # fmt: skip
        alone = simulate(vary(place, said))
        summed = summed + alone.flow("grid_import").reshape(-1, 30 // alone.axis.step_minutes).mean(axis=1)
    (load,) = [load for variant, load in whole.together.items() if variant.tariff == read_tariff(TARIFFS[0]).name]
    assert load.homes == len(ROWS)
    assert np.abs(load.watts / 1000.0 - summed).max() <= 0.0005 * len(ROWS) + 1e-9
    assert load.peak_kw < frame[frame["tariff"] == read_tariff(TARIFFS[0]).name]["peak_kw"].sum()


def test_homes_that_are_no_street_are_what_each_is_by_itself(tmp_path: Path) -> None:
    found = sweep_homes(_table(tmp_path, ROWS[:1]), tmp_path / "out", place=PLACE)
    said = {
        "home.loss": None, "home.loss.w_per_k": 140.0, "home.floor_area_m2": 80.0, "household.annual_kwh": 2200.0,
        "controls.design_flow_c": 45.0,
    }  # fmt: skip
    alone = simulate(vary(read_case(sample_file(PLACE)), said))
    (cost,) = found.frame(["cost"])["cost"]
    assert cost == pytest.approx(alone.bill.total, abs=1e-9)
    assert not found.together


def test_a_street_is_told_its_peak_together(tmp_path: Path) -> None:
    rows = [f"home {k},street,80,140,2200,45" for k in range(12)]
    street = sweep_homes(_table(tmp_path, rows), tmp_path / "out", place=PLACE, street=True, rows=5)
    (load,) = street.together.values()
    alone = street.frame(["peak_kw"])["peak_kw"]
    assert load.homes == 12
    assert load.each_kw < 0.8 * float(alone.median())
    (said,) = [one for one in street.answer().sentences if "all homes together take" in one]
    assert f"{load.each_kw:.1f} kW each" in said


def test_order_parts_and_workers_show_nowhere(whole: Stock, tmp_path: Path) -> None:
    table = _table(tmp_path, ROWS[::-1])
    parted = sweep_homes(table, tmp_path / "out", place=PLACE, tariffs=TARIFFS, street=True, rows=2, workers=2)
    assert len(parted.parts) == 3
    for variant, load in whole.together.items():
        assert np.array_equal(parted.together[variant].watts, load.watts)
    pd.testing.assert_frame_equal(_by_name(parted), _by_name(whole), check_exact=True)


def test_a_cluster_makes_the_same(whole: Stock, tmp_path: Path) -> None:
    distributed = pytest.importorskip("distributed")
    with (
        distributed.LocalCluster(
            n_workers=1, threads_per_worker=1, processes=False, dashboard_address=None, host="127.0.0.1", protocol="tcp"
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        found = sweep_homes(
            _table(tmp_path), tmp_path / "out", place=PLACE, tariffs=TARIFFS, street=True, rows=3, client=client
        )
    pd.testing.assert_frame_equal(_by_name(found), _by_name(whole), check_exact=True)


def test_the_same_table_as_parquet(whole: Stock, tmp_path: Path) -> None:
    path = tmp_path / "homes.parquet"
    pd.read_csv(whole.table).to_parquet(path)
    found = sweep_homes(path, tmp_path / "out", place=PLACE, tariffs=TARIFFS, street=True)
    pd.testing.assert_frame_equal(_by_name(found), _by_name(whole), check_exact=True)


def test_parts_that_are_there_are_kept_and_a_lost_one_is_made_again(whole: Stock, tmp_path: Path) -> None:
    table = _table(tmp_path)
    first = sweep_homes(table, tmp_path / "out", place=PLACE, tariffs=TARIFFS, rows=2)
    before = {part: part.read_bytes() for part in first.parts}
    first.parts[1].unlink()
    told: list[tuple[int, int]] = []
    again = sweep_homes(
        table, tmp_path / "out", place=PLACE, tariffs=TARIFFS, rows=2, progress=lambda *both: told.append(both)
    )
    assert again.kept == 2
    assert {part: part.read_bytes() for part in again.parts} == before
    assert told == [(2, 5), (4, 5), (5, 5)]


def test_parts_of_something_else_are_not_written_over(tmp_path: Path) -> None:
    table, out = _table(tmp_path, ROWS[:1]), tmp_path / "out"
    first = sweep_homes(table, out, place=PLACE)
    (before,) = first.frame(["cost"])["cost"]
    _table(tmp_path, ["Alder,terrace,80,280,2200,45"])
    with pytest.raises(CaseError, match=r"part-00000\.parquet was made from another table, case, tariff or version"):
        sweep_homes(table, out, place=PLACE)
    (after,) = sweep_homes(table, out, place=PLACE, force=True).frame(["cost"])["cost"]
    assert after > 1.3 * before
    (out / "part-00000.parquet").write_text("mine")
    with pytest.raises(CaseError, match="nothing is overwritten unasked"):
        sweep_homes(table, out, place=PLACE)


def test_a_killed_run_is_taken_up_again(whole: Stock, tmp_path: Path) -> None:
    table, out = _table(tmp_path), tmp_path / "out"
    code = (
        "import sys, simkit as sk\n"
        f"sk.sweep_homes({str(table)!r}, {str(out)!r}, place={PLACE!r}, tariffs=sys.argv[1:], street=True, rows=1)"
    )
    run = subprocess.Popen([sys.executable, "-c", code, *map(str, TARIFFS)])
    while run.poll() is None and not list(out.glob("part-*.parquet")):
        time.sleep(0.01)
    run.kill()
    run.wait()
    half = out / ".part-00004.parquet.a1b2c3.part"  # as a kill while a part is written leaves it
    half.write_bytes(b"PAR1")
    os.utime(half, (1.0, 1.0))
    there = len(list(out.glob("part-*.parquet")))
    found = sweep_homes(table, out, place=PLACE, tariffs=TARIFFS, street=True, rows=1)
    assert found.kept >= there >= 1
    assert not list(out.glob(".*"))
    pd.testing.assert_frame_equal(_by_name(found), _by_name(whole), check_exact=True)


def test_rows_that_are_wrong_stop_no_other_and_are_listed(tmp_path: Path) -> None:
    rows = [
        ROWS[0], "Fir,flat,60,90,1500,400", "Gean,flat,60,lots,1500,40", "Hazel,flat,60,90", "", ROWS[1],
        "Ivy,flat,60,,1500,40",
    ]  # fmt: skip
    found = sweep_homes(_table(tmp_path, rows), tmp_path / "out", place=PLACE)
    assert sorted(found.frame(["name"])["name"].astype(str)) == ["Alder", "Birch", "Ivy"]  # Ivy takes its place's loss
    listed = pd.read_csv(tmp_path / "out" / MISSING)
    assert listed["line"].tolist() == [3, 4, 5]
    for words, reason in zip(("design_flow_c", "w_per_k", "4 cells"), listed["reason"], strict=True):
        assert words in reason
    assert "3 of 6 rows could not be run" in found.answer().sentence


def test_a_row_may_name_its_own_place_and_other_options_and_weathers(tmp_path: Path) -> None:
    table = _table(tmp_path, ["moor_cottage", "nowhere"], head="place")
    (base,) = [case.base for case in [read_case(sample_file(PLACE))] for case in [case.options()[0][2]]]
    assert base is not None
    names = [option.name for _, _, option in base.options()][:2]
    found = sweep_homes(table, tmp_path / "out", options=names, weathers=2)
    frame = found.frame()
    assert sorted(set(frame["option"].astype(str))) == sorted(names)
    assert sorted(set(frame["weather"])) == [0, 1, 2]
    assert len(frame) == 6
    assert 'place "nowhere" is neither a case file beside the table nor a sample home' in found.missing[0][2]
    assert "in that and 2 other years" in found.answer().sentence


@pytest.mark.parametrize(
    ("head", "said"),
    [
        ("name,home.flor_area_m2", "floor_area_m2"),
        ("name,name", "stands there twice"),
        ("colour,home.floor_area_m2", "is not known"),
    ],
)
def test_a_head_that_is_wrong_is_refused(tmp_path: Path, head: str, said: str) -> None:
    with pytest.raises(DataError, match=said):
        sweep_homes(_table(tmp_path, ["1,2"], head=head), tmp_path / "out", place=PLACE)


def test_what_is_wrong_with_the_whole_is_one_sentence(tmp_path: Path) -> None:
    table = _table(tmp_path)
    with pytest.raises(CaseError, match="the case of its homes is missing"):
        sweep_homes(table, tmp_path / "out")
    with pytest.raises(CaseError, match="rows = 0 is not between 1 and 100,000"):
        sweep_homes(table, tmp_path / "out", place=PLACE, rows=0)
    with pytest.raises(CaseError, match="Moor night meter"):
        sweep_homes(table, tmp_path / "out", place=PLACE, tariffs=[TARIFFS[1], TARIFFS[1]])
    with pytest.raises(DataError, match="holds no row under its head"):
        sweep_homes(_table(tmp_path, []), tmp_path / "out", place=PLACE)
    (tmp_path / "file").write_text("")
    with pytest.raises(CaseError, match="is no folder"):
        sweep_homes(_table(tmp_path), tmp_path / "file", place=PLACE)


def test_tariffs_of_another_currency_are_told_of_each_row(tmp_path: Path) -> None:
    tariff = sample_folder() / "tariffs" / "estuary_flat.toml"
    found = sweep_homes(_table(tmp_path, ROWS[:1]), tmp_path / "out", place=PLACE, tariffs=[tariff])
    assert found.years == 0
    assert "is priced in EUR, and the home in GBP" in found.missing[0][2]
    assert found.answer().sentence.startswith("1 of 1 rows could not be run")


def test_a_full_disk_leaves_whole_parts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made = making.make

    def full(job, path):
        if path.name != "part-00000.parquet":
            raise CaseError("no space left on device")
        return made(job, path)

    monkeypatch.setattr(making, "make", full)
    with pytest.raises(CaseError):
        sweep_homes(_table(tmp_path), tmp_path / "out", place=PLACE, rows=2)
    monkeypatch.undo()
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["part-00000.parquet"]
    assert sweep_homes(_table(tmp_path), tmp_path / "out", place=PLACE, rows=2).kept == 1


def test_the_answer_says_what_fails_first_and_calls_nothing_cold_the_cheapest(whole: Stock) -> None:
    answer = whole.answer()
    frame = answer.tables[0].frame
    cold = whole.frame(["tariff", "rooms_level", "water_short"]).astype({"tariff": str})
    for name, row in frame.iterrows():
        mine = cold[cold["tariff"] == name]
        assert row["cold_count"] == (mine["rooms_level"] == 2).sum()
    assert frame["cheapest_count"].sum() <= ((cold["rooms_level"] == 0) & ~cold["water_short"]).sum()
    wide = _by_name(whole).pivot_table(index="name", columns="tariff", values="cost")
    best = frame["cheapest_count"].idxmax()
    for name, more in frame["home_more_cost"].items():
        assert more == pytest.approx((wide[name] - wide[best]).median(), abs=1e-9)
    assert answer.tables[1].name == "groups"
    assert answer.cautions[-1].startswith("This is an estimate, no design")
