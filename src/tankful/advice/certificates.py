"""Certificates of a part: from the quote, or a careful estimate that says so; and other rebates."""

from __future__ import annotations

from tankful.data.store import cite
from tankful.model.case import SOLAR_THERMAL
from tankful.model.home import Home
from tankful.model.result import Assumption
from tankful.money.certificates import estimated_ten_year_certificates, water_heater_certificates


def certificate_count(home: Home, name: str) -> int:
    """Certificates the household may sell for this part, installed on the day of advice.

    Zero outside Australia, and for parts that earn none. Solar heaters have zones of their own.
    """
    part = home.equipment[name]
    if part.certificates is not None:
        return part.certificates
    place = home.place
    zone = place.swh_zone if part.family in SOLAR_THERMAL else place.ashp_zone
    if zone is None or part.heater is None:
        return 0
    ten_years = estimated_ten_year_certificates(part.family, zone, part.heater.tank_l)
    return water_heater_certificates(ten_years, home.as_of.year)


def estimated_certificates(home: Home) -> tuple[Assumption, ...]:
    """The certificate counts that no quote gave, as assumptions."""
    note = cite("ess-d17-minimum-saving")
    return tuple(
        Assumption(
            f"quotes[{name}].certificates",
            count,
            "certificates",
            f"careful estimate from the scheme's minimum saving; the register's number of a "
            f"model is usually higher; {note}",
        )
        for name, part in home.equipment.items()
        if part.certificates is None and (count := certificate_count(home, name)) > 0
    )


def certificate_value(home: Home, name: str) -> float:
    """What those certificates are worth to the household."""
    return certificate_count(home, name) * home.case.wishes.certificate_price


def rebate_note(home: Home) -> tuple[str, ...]:
    """That rebates of the state are not counted where an Australian home says nothing of any.

    A rebate that is given counts as an answer, also one of nothing.
    """
    case = home.case
    asked = [*case.quotes, case.more_panels]
    if home.place.country != "AU" or any("rebate" in part.model_fields_set for part in asked):
        return ()
    return (
        "Rebates of the state or council are not counted, as none is given; there may be one, and "
        "it can change which option is cheapest. Ask the state's energy office before ordering, "
        "and give the amount with the quote.",
    )
