"""One option-year of each kind: the program's compiled loop beside the same loop in C."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from c_year import CYear, compiler_text, find_compiler
from measure import Figure, Section, interleaved, median_ms, median_ratio
from tankful.clock import FloatArray
from tankful.model.case import Family
from tankful.model.home import Home
from tankful.model.system import Control, WaterHeater
from tankful.simulate.control import allowed_input_w
from tankful.simulate.drive import HomeYear, home_year
from tankful.simulate.kernel import fresh_state, simulate_year
from tankful.simulate.params import Drive, Plant, Record, build_plant, empty_record
from tankful.simulate.run import simulate

TARGET_MS = 15.0
TARGET_TO_C = 1.3
AGREEMENT = 1e-9
DIVERTED = Control("diverter", catch_up_c=45.0, sanitise_after_h=144.0)

KINDS: tuple[tuple[Family, str, Control], ...] = (
    ("electric_storage", "electric storage on spare sun", DIVERTED),
    ("heat_pump", "heat pump, always on", Control("always")),
    ("gas_storage", "gas storage", Control("always")),
)

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
        allowed_w, catch_up_w = allowed_input_w(heater, year.clock, year.surplus_w)
        drive = Drive(
            air_c=year.air_c,
            wet_bulb_c=year.wet_bulb_c,
            around_c=year.around_c,
            cold_c=year.cold_c,
            draw_kg=year.draws.mixed_kg,
            wanted_c=year.draws.wanted_c,
            allowed_w=allowed_w,
            catch_up_w=catch_up_w,
        )
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
    compiler = find_compiler()
    in_c = CYear.build(compiler) if compiler else None
    figures: list[Figure] = []
    worst = 0.0
    for family, label, control in KINDS:
        heater = home.equipment[family].heater
        assert heater is not None
        heater = replace(heater, control=control)
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
            f"difference of any of the nine series at any step: {worst:.1e} "
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
