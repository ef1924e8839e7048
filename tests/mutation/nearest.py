"""Which files are drawn from, which tests stand nearest to each, and which mistakes change nothing."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from mutation.mutant import PACKAGE, TESTS

DRAWN_FROM = (
    "physics/*.py", "billing/*.py", "billing/charges/*.py", "tariff/*.py", "clock.py", "times_of_day.py",
    "finance/cash.py", "finance/ledger.py", "year/comfort.py", "meter/reading/cleaning.py",
)  # fmt: skip
BESIDE: Mapping[str, tuple[str, ...]] = {
    "physics": ("physics", "validation/test_claims.py"),
    "billing": ("billing", "tariff"),
    "tariff": ("tariff", "billing"),
    "clock.py": ("test_clock.py", "validation/test_claims.py", "billing/charges"),
    "times_of_day.py": ("test_times_of_day.py", "test_clock.py", "tariff"),
    "finance/cash.py": ("finance/test_cash.py", "validation/test_claims.py", "finance/test_cashflow.py"),
    "finance/ledger.py": ("finance/test_ledger.py", "finance/test_offers.py"),
    "year/comfort.py": ("year/test_comfort.py",),
    "meter/reading/cleaning.py": ("meter/reading/test_reading.py", "meter/reading"),
}
UNCOMPILED = ("physics",)  # whose sources go into the compiled code


def files() -> list[str]:
    """Files that are drawn from."""
    found = {path for pattern in DRAWN_FROM for path in PACKAGE.glob(pattern) if path.name != "__init__.py"}
    return sorted(path.relative_to(PACKAGE).as_posix() for path in found)


def nearest_to(file: str) -> tuple[str, ...]:
    """Tests nearest to a file, the nearest first: one of its own name, then those of its room."""
    own = [
        path.relative_to(TESTS).as_posix()
        for path in TESTS.rglob(f"test_{Path(file).stem}.py")
        if Path(file).parts[0] in path.relative_to(TESTS).parts
    ]
    beside = next(tests for room, tests in BESIDE.items() if file == room or file.startswith(f"{room}/"))
    return tuple(dict.fromkeys([*own, *beside]))


BY_KWH = (
    "return [Part(line.label, line.kind, line.unit, sums[line.row], line.price, line.tax, "
    "None if line.money_row < 0 else sums[line.money_row]) for line in rows.lines]"
)
# Mistakes that no test can notice, by file, statement and what became of it; the reason is why nothing changes.
EQUIVALENT: Mapping[tuple[str, str, str], str] = {
    (
        "physics/space_step.py",
        "return pick(now.by_boiler > 0.5, home.boiler_flow_c, clamp(flow, home.floor_c, ceiling))",
        "return pick(now.by_boiler > 0.55, home.boiler_flow_c, clamp(flow, home.floor_c, ceiling))",
    ): "by_boiler is 0 or 1",
    (
        "physics/space_step.py", "capacity = pick(now.by_boiler > 0.5, home.boiler_kw, capacity)",
        "capacity = pick(now.by_boiler >= 0.5, home.boiler_kw, capacity)",
    ): "by_boiler is 0 or 1",
    (
        "meter/reading/cleaning.py", "below = values < -1e-09", "below = values <= -1e-09",
    ): "no reading is the negative of that very number",
    **dict.fromkeys(
        (
            ("billing/charge.py", BY_KWH, BY_KWH.replace("line.money_row < 0", wrong))
            for wrong in ("line.money_row <= 0", "line.money_row < 1")
        ),
        "rows of money stand behind those of energy, so that none is the first",
    ),
    (
        "billing/check.py", "if off < BANDS_ALIKE * theirs:", "if off <= BANDS_ALIKE * theirs:",
    ): "no bill differs by just that share: the two are floats of other sums",
    (
        "physics/step.py",
        "after = State(rooms.end_air_c, rooms.end_fabric_c, water.hot_c, water.cold_c, water.hot_share, pick(water.missing_kwh > 1e-06, 1.0, 0.0), grid.stored_kwh, min(state.coldest_room_c, air), max(state.peak_import_kw, grid.bought), short.air_k, short.fabric_k, given.emitter_k, cold_h, max(state.longest_cold_h, cold_h), max(state.most_below_k, missing))",
        "after = State(rooms.end_air_c, rooms.end_fabric_c, water.hot_c, water.cold_c, water.hot_share, pick(water.missing_kwh > 1e-06, 1.1, 0.0), grid.stored_kwh, min(state.coldest_room_c, air), max(state.peak_import_kw, grid.bought), short.air_k, short.fabric_k, given.emitter_k, cold_h, max(state.longest_cold_h, cold_h), max(state.most_below_k, missing))",
    ): "whether it is being reheated is only asked as more than a half",
    (
        "physics/space_step.py",
        "capacity = pick(now.by_boiler > 0.5, home.boiler_kw, capacity)",
        "capacity = pick(now.by_boiler > 0.55, home.boiler_kw, capacity)",
    ): "by_boiler is 0 or 1",
    (
        "physics/step.py",
        "out = pick(sun + filled < TINY, out, 0.0)",
        "out = pick(sun + filled <= TINY, out, 0.0)",
    ): "no charge is just that number",
    (
        "physics/water_step.py",
        "left = fits - heat + pick(now.immersion_allowed > 0.5, missing - immersion, 0.0)",
        "left = fits - heat + pick(now.immersion_allowed >= 0.5, missing - immersion, 0.0)",
    ): "immersion_allowed is 0, 1 or 2",
    (
        "physics/hot_water.py",
        "gone = left < TINY",
        "gone = left <= TINY",
    ): "no share that is left is just that number",
    (
        "physics/water_step.py",
        "beside = pick(now.immersion_allowed > 1.5, 1.0, pick(capacity < TINY, 1.0, 0.0))",
        "beside = pick(now.immersion_allowed > 1.6500000000000001, 1.0, pick(capacity < TINY, 1.0, 0.0))",
    ): "immersion_allowed is 0, 1 or 2",
    (
        "physics/water_step.py",
        "target, difference, boiler = (now.water_target_c, home.water_difference_k, now.by_boiler > 0.5)",
        "target, difference, boiler = (now.water_target_c, home.water_difference_k, now.by_boiler >= 0.5)",
    ): "by_boiler is 0 or 1",
    (
        "billing/matching.py",
        "return 'without tax' if abs(ratio * (1.0 + tax) - 1.0) < SAME_PRICE else ''",
        "return 'without tax' if abs(ratio * (1.0 + tax) - 1.0) <= SAME_PRICE else ''",
    ): "no ratio of two prices is off by just that share",
    (
        "finance/cash.py", "below[0] |= bool(running[0] <= least and below[1])",
        "below[0] |= bool(running[0] < least and below[1])",
    ): "no first amount is just a thousand-millionth of the largest sum",
    (
        "finance/ledger.py", "exact = round(float(credit.years or 0.0) * MONTHS_A_YEAR)",
        "exact = round(float(credit.years or 1.0) * MONTHS_A_YEAR)",
    ): "a credit without a payment has years: its section asks for one of the two",
    (
        "billing/charges/energy_lines.py", "if kwh.ndim == 1:", "if False:",
    ): "the matrix product of the other branch gives the sums of one home as well",
    (
        "billing/charges/netting.py", "key = np.searchsorted(starts, np.arange(axis.steps), side='right') - 1",
        "key = np.searchsorted(starts, np.arange(axis.steps), side='right') + 1",
    ): "a number is a name of its interval here, and only which steps share it counts",
    (
        "billing/bill.py", "NO_QUANTITIES = np.zeros(12)", "NO_QUANTITIES = np.zeros(13)",
    ): "it holds the place of quantities that are put in with the load, and no one reads it before",
}  # fmt: skip
