"""Small-scale technology certificates against worked cases."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from tankful.money.certificates import (
    estimated_ten_year_certificates,
    pv_certificates,
    water_heater_certificates,
)
from tankful.proof.check import Claim, published_rows


def claims() -> Iterator[Claim]:
    """Every claim about certificates."""
    for row in published_rows("pv_certificates"):
        kw, zone, year = float(row["kw"]), int(row["zone"]), int(row["install_year"])
        yield Claim(
            id=f"certificates-pv-{kw:g}-kw-zone-{zone}-{year}",
            claim=f"{kw:g} kW of panels in zone {zone}, installed in {year}: certificates",
            source=row["source"],
            basis="published",
            expected=float(row["certificates"]),
            tolerance=0.0,
            unit="certificates",
            compute=partial(pv_certificates, kw, zone, year),
        )
    yield Claim(
        id="certificates-heat-pump-2026",
        claim="Estimate for a heat pump with a 180 L tank in zone 3, installed in 2026",
        source="Trade example of about 14 (weak: an informal page); the estimate takes the "
        "scheme's least saving, so up to 15 % below is allowed (judgement)",
        basis="common practice",
        expected=13.0,
        tolerance=1.0,
        unit="certificates",
        compute=lambda: water_heater_certificates(
            estimated_ten_year_certificates("heat_pump", 3, 180.0), 2026
        ),
    )
    yield Claim(
        id="certificates-after-2030",
        claim="10 kW of panels in zone 3, installed in 2031: certificates",
        source="The scheme ends on 31 December 2030: Renewable Energy (Electricity) Act 2000 "
        "(from memory); years left = 2031 - year of installation",
        basis="from memory",
        expected=0.0,
        tolerance=0.0,
        unit="certificates",
        compute=partial(pv_certificates, 10.0, 3, 2031),
    )
