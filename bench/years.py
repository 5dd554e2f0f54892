"""One option-year of each kind: the program's compiled loop beside the same loop in C."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from c_year import CYear, compiler_text, find_compiler
from measure import Figure, Section, interleaved, median_ms, median_ratio
from tankful.clock import FloatArray
from tankful.model.case import Family
from tankful.model.home import Home
from tankful.model.system import Collector, Control, WaterHeater
from tankful.proof.thermosiphon import without_pump
from tankful.simulate.drive import HomeYear, home_year
from tankful.simulate.kernel import fresh_state, simulate_year
from tankful.simulate.params import Drive, Plant, Record, build_plant, empty_record
from tankful.simulate.run import drive_of, simulate

TARGET_MS = 15.0
TARGET_TO_C = 1.3
AGREEMENT = 1e-9
DIVERTED = Control("diverter", catch_up_c=45.0, sanitise_after_h=144.0, sanitise_early_h=120.0)
RESERVE = Control("reserve", catch_up_c=45.0, sanitise_after_h=144.0)
DAILY = Control("reserve", catch_up_c=45.0, sanitise_after_h=20.0)
ALWAYS = Control("always")


GUARD_C = 12.0
"""Frost guard of one heater, so warm that it runs in a mild place too."""


def guarded(collector: Collector) -> Collector:
    """The same collector with a guard that runs on many nights."""
    return replace(collector, frost_guard_c=GUARD_C)


def heaters(home: Home) -> dict[str, WaterHeater]:
    """One heater for every way of heating that the loop knows, by what the results call it."""

    def of(family: Family, control: Control = ALWAYS, **changed: Any) -> WaterHeater:
        heater = home.equipment[family].heater
        assert heater is not None
        return replace(heater, control=control, **changed)

    pump = of("heat_pump").heat_pump
    flat = of("solar_flat").collector
    assert pump is not None
    assert flat is not None
    return {
        "electric storage on spare sun": of("electric_storage", DIVERTED),
        "two elements on spare sun": of(
            "electric_storage", DIVERTED, boost_element_w=3600.0, boost_height=0.75
        ),
        "panels of its own": of("electric_storage", RESERVE, has_direct_panels=True),
        "heat pump, always on": of("heat_pump"),
        "heat pump, element beside it": of(
            "heat_pump", heat_pump=replace(pump, backup_below_c=40.0)
        ),
        "heat pump on spare sun, second model": of(
            "heat_pump", DIVERTED, heat_pump=replace(pump, model="carnot", min_share=0.3)
        ),
        "gas storage": of("gas_storage"),
        "flat plate, electric boost": of("solar_flat"),
        "flat plate, often guarded": of("solar_flat", DAILY, collector=guarded(flat)),
        "flat plate without a pump": of("solar_flat", DAILY, collector=without_pump(flat)),
        "tubes, electric boost": of("solar_tube"),
        "flat plate, gas behind it": of("solar_gas"),
    }


YearFunction = Callable[[Plant, Drive, FloatArray, FloatArray, Record], None]


@dataclass(frozen=True, eq=False)
class Inputs:
    """One heater's year, ready for either loop."""

    plant: Plant
    drive: Drive
    start_c: float
    layers: int

    @classmethod
    def of(cls, heater: WaterHeater, year: HomeYear) -> Inputs:
        """What the program itself hands to its loop."""
        drive = drive_of(heater, year)
        plant = build_plant(heater, layers=year.layers, step_s=year.clock.step_s)
        return cls(plant, drive, heater.setpoint_c, year.layers)

    def run(self, function: YearFunction, record: Record) -> Record:
        """The year from the set point, into ``record``."""
        function(self.plant, self.drive, np.full(self.layers, self.start_c), fresh_state(), record)
        return record


def largest_difference(ours: Record, theirs: Record) -> float:
    """Largest difference of any value of any series, over the largest value of its series."""
    worst = 0.0
    for a, b in zip(ours, theirs, strict=True):
        worst = max(worst, float(np.abs(a - b).max() / max(np.abs(b).max(), 1e-300)))
    return worst


def measure_years(home: Home) -> Section:
    """Time every kind. RuntimeError when the two loops do not agree."""
    year = home_year(home)
    sun = year.absorbed_w_per_m2
    others = {other(c): w for c, w in sun.items() for other in (guarded, without_pump)}
    year = replace(year, absorbed_w_per_m2={**sun, **others})
    compiler = find_compiler()
    in_c = CYear.build(compiler) if compiler else None
    figures: list[Figure] = []
    worst = 0.0
    for label, heater in heaters(home).items():
        inputs = Inputs.of(heater, year)
        figures.append(_loop_figure(label, inputs, in_c))
        figures.append(_whole_figure(label, heater, year))
        if in_c is not None:
            records = (empty_record(year.clock.n_steps), empty_record(year.clock.n_steps))
            ours, theirs = inputs.run(simulate_year, records[0]), inputs.run(in_c.run, records[1])
            worst = max(worst, largest_difference(ours, theirs))
    if not worst <= AGREEMENT:
        raise RuntimeError(f"the loop in C differs by {worst:.1e}, more than {AGREEMENT:.0e}")
    return Section("A year of one option", figures, _notes(year, compiler, worst))


def _notes(year: HomeYear, compiler: str | None, worst: float) -> list[str]:
    notes = [f"{year.clock.n_steps:,} steps, {year.layers} layers, one core."]
    if compiler is None:
        notes.append("The loop in C was skipped: no C compiler was found on this machine.")
    else:
        notes.append(
            f"The same loop in C: `bench/year.c` by {compiler_text(compiler)}. Largest relative "
            f"difference of any series at any step: {worst:.1e} "
            f"(more than {AGREEMENT:.0e} fails)."
        )
    return notes


def _loop_figure(label: str, inputs: Inputs, in_c: CYear | None) -> Figure:
    record = empty_record(inputs.drive.draw_kg.size)
    loops: dict[str, Callable[[], object]] = {"ours": lambda: inputs.run(simulate_year, record)}
    if in_c is not None:
        loops["C"] = lambda: inputs.run(in_c.run, record)
    seconds = interleaved(loops)
    ours_ms = median_ms(seconds["ours"])
    if in_c is None:
        return Figure(f"{label}: loop", ours_ms, "ms", most=TARGET_MS)
    return Figure(
        f"{label}: loop",
        ours_ms,
        "ms",
        reference=f"the same in C, {median_ms(seconds['C']):.3g} ms",
        ratio=median_ratio(seconds["ours"], seconds["C"]),
        most=TARGET_MS,
        most_ratio=TARGET_TO_C,
    )


def _whole_figure(label: str, heater: WaterHeater, year: HomeYear) -> Figure:
    """With the control's arrays before, the grid and both ledgers after."""
    seconds = interleaved({"whole": lambda: simulate(heater, year)})
    return Figure(f"{label}: control, loop, grid, ledgers", median_ms(seconds["whole"]), "ms")
