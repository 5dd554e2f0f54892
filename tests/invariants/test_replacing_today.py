"""What may replace today's heater, and what the answer says where something may not."""

from __future__ import annotations

from pathlib import Path

from tankful import service
from tankful.advice.options import build_options
from tankful.model.home import Home

HOME = 'as_of = 2026-11-25\n[place]\npostcode = "2600"\n[people]\ncount = 3\n'
QUOTE = '[[quotes]]\nfamily = "heat_pump"\ncop = 5\n'


def home(folder: Path, text: str) -> Home:
    path = folder / "case.toml"
    path.write_text(HOME + text, encoding="utf-8")
    return service.load_home(path)


def test_a_quoted_heat_pump_is_offered_beside_todays(tmp_path: Path) -> None:
    heater = '[heater]\nkind = "heat_pump"\n'
    options, _ = build_options(home(tmp_path, heater + QUOTE))
    new = next(option for option in options if option.id == "heat-pump-new-timed")
    today = next(option for option in options if option.id == "heat-pump-timed")
    assert new.heater.heat_pump != today.heater.heat_pump
    assert (new.parts, today.parts) == (("heat_pump",), ())
    unquoted, _ = build_options(home(tmp_path, heater))
    assert not any(option.id.startswith("heat-pump-new") for option in unquoted)


def test_todays_collectors_without_an_off_peak_circuit_say_so(tmp_path: Path) -> None:
    text = (
        '[heater]\nkind = "solar_flat"\n[electricity]\noff_peak_circuit = false\n'
        "[constraints]\nno_roof_work = true\n"
    )
    _, excluded = build_options(home(tmp_path, text))
    assert {"solar-off-peak", "solar-thermal"} <= {item.id for item in excluded}
