"""Which options a home is offered for the systems around its tank."""

from __future__ import annotations

import pytest

from tankful.advice.options import build_options

PLAN = """
[electricity.tariff]
supply_per_day = 1.2
usage = [{ price_per_kwh = 0.30 }]
feed_in = [{ price_per_kwh = 0.05 }]
controlled_load = { price_per_kwh = 0.20, hours = [{ start = "22:00", end = "07:00" }] }
"""


def test_work_on_the_roof_ruled_out_is_told_for_collectors_and_panels_of_its_own(place):
    at = place("[constraints]\nno_roof_work = true\n")
    assert not [name for name in at.options if "solar" in name or "dedicated" in name]
    _, excluded = build_options(at.home)
    told = {item.id: item.reason for item in excluded}
    assert "roof" in told["solar-thermal"]
    assert "roof" in told["electric-dedicated-panels"]


@pytest.mark.parametrize("kind", ["solar_flat", "solar_tube"])
def test_todays_collectors_can_be_run_otherwise_and_a_quote_stands_beside_them(place, kind):
    name = kind.replace("_", "-")
    today = f'[heater]\nkind = "{kind}"\n' + PLAN
    bare = place(today).options
    assert bare[f"{name}-electric"].parts == ("timer",)
    assert bare[f"{name}-off-peak"].parts == ("off_peak_connection",)
    assert f"{name}-new-electric" not in bare
    quoted = place(today + f'[[quotes]]\nfamily = "{kind}"\n').options
    assert quoted[f"{name}-new-electric"].parts == (kind,)


def test_a_home_on_the_controlled_load_pays_for_no_second_connection(place):
    today = '[heater]\nkind = "electric_storage"\ncontrol = "off_peak"\n' + PLAN
    assert place(today).options["solar-flat-off-peak"].parts == ("solar_flat",)
    assert "off_peak_connection" in place(PLAN).options["solar-flat-off-peak"].parts


def test_collectors_before_an_electric_continuous_heater_are_offered_where_quoted(place):
    assert "solar-inline" not in place().options
    quoted = '[[quotes]]\nfamily = "solar_inline"\n'
    assert place(quoted).options["solar-inline"].parts == ("solar_inline", "electric_circuit")
    wired = place('[heater]\nkind = "electric_continuous"\n' + quoted).options
    assert wired["solar-inline"].parts == ("solar_inline",)
    no_roof = place(quoted + "[constraints]\nno_roof_work = true\n").options
    assert "solar-inline" not in no_roof
    weak = place(quoted + "[constraints]\nweak_supply = true\n").options
    assert "solar-inline" not in weak


def test_a_home_with_an_electric_continuous_heater_needs_no_new_circuit(place):
    options = place('[heater]\nkind = "electric_continuous"\n').options
    assert options["electric-always"].parts == ("electric_storage",)
    assert options["keep"].heater.booster is not None
