"""Interest arithmetic against textbook tables and hand-worked cases."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from tankful.money import finance
from tankful.proof.check import Claim

TABLES = "Compound interest tables of engineering economics textbooks"
BY_HAND = "Definition in engineering economics textbooks, worked by hand"
FIVE = [-1000.0] + [300.0] * 5
TWELVE = [-2400.0] + [400.0] * 12


def claims() -> Iterator[Claim]:
    """Every claim about interest."""
    yield from _tables()
    yield from _worth()
    yield from _payback_and_costs()


def _claim(
    name: str,
    claim: str,
    source: str,
    expected: float,
    tolerance: float,
    unit: str,
    relation: Callable[[], float | None],
) -> Claim:
    return Claim(
        id=f"finance-{name}",
        claim=claim,
        source=source,
        basis="published",
        expected=expected,
        tolerance=tolerance,
        unit=unit,
        compute=relation,
    )


def _tables() -> Iterator[Claim]:
    """Interest factors that textbooks tabulate."""
    yield _claim(
        "recovery-20",
        "Capital recovery factor at 5 % over 20 years",
        f"{TABLES}: 0.0802; further digits i / (1 - (1 + i)^-n)",
        0.0802426,
        1e-6,
        "1/year",
        lambda: finance.capital_recovery_factor(0.05, 20),
    )
    yield _claim(
        "recovery-10",
        "Capital recovery factor at 5 % over 10 years",
        f"{TABLES}: 0.1295; further digits i / (1 - (1 + i)^-n)",
        0.1295046,
        1e-6,
        "1/year",
        lambda: finance.capital_recovery_factor(0.05, 10),
    )
    yield _claim(
        "annuity",
        "Worth today of 1 a year at 8 % over 10 years",
        f"{TABLES}: 6.7101; further digits (1 - (1 + i)^-n) / i",
        6.710081,
        1e-5,
        "years",
        lambda: finance.annuity_pv(1.0, 0.08, 10),
    )
    yield _claim(
        "single-sum",
        "Worth today of 1 in 10 years at 8 %",
        f"{TABLES}: 0.4632; further digits (1 + i)^-n",
        0.4631935,
        1e-6,
        "-",
        lambda: finance.present_value(1.0, 0.08, 10),
    )


def _worth() -> Iterator[Claim]:
    """Worth and internal rate of two series of payments."""
    yield _claim(
        "net-present-value-5",
        "1,000 now for 300 a year over 5 years at 8 %: net present value",
        f"{BY_HAND}: sum of discounted flows",
        197.8130,
        0.001,
        "money",
        lambda: finance.net_present_value(FIVE, 0.08),
    )
    yield _claim(
        "internal-rate-5",
        "1,000 now for 300 a year over 5 years: internal rate of return",
        f"{TABLES}: 15.24 %; further digits by the root of the net present value",
        0.1523824,
        1e-6,
        "1/year",
        lambda: finance.internal_rate(FIVE),
    )
    yield _claim(
        "net-present-value-12",
        "2,400 now for 400 a year over 12 years at 5 %: net present value",
        f"{BY_HAND}: sum of discounted flows",
        1145.3007,
        0.001,
        "money",
        lambda: finance.net_present_value(TWELVE, 0.05),
    )
    yield _claim(
        "internal-rate-12",
        "2,400 now for 400 a year over 12 years: internal rate of return",
        f"{BY_HAND}: root of the net present value",
        0.1269468,
        1e-6,
        "1/year",
        lambda: finance.internal_rate(TWELVE),
    )


def _payback_and_costs() -> Iterator[Claim]:
    """Paybacks, growing payments, levelised cost and the real rate."""
    yield _claim(
        "simple-payback",
        "2,400 now for 400 a year: payback",
        f"{BY_HAND}: 2400 / 400",
        6.0,
        1e-9,
        "years",
        lambda: finance.simple_payback(TWELVE),
    )
    yield _claim(
        "discounted-payback",
        "2,400 now for 400 a year at 5 %: discounted payback, linear within a year",
        f"{BY_HAND}: running sum of discounted flows",
        7.31562,
        1e-4,
        "years",
        lambda: finance.discounted_payback(TWELVE, 0.05),
    )
    yield _claim(
        "growing-annuity",
        "400 a year growing by 3 % at 5 % over 12 years: worth today",
        f"{BY_HAND}: a / (i - g) (1 - ((1 + g) / (1 + i))^n)",
        4121.6598,
        0.001,
        "money",
        lambda: finance.growing_annuity_pv(400.0, 0.05, 0.03, 12),
    )
    yield _claim(
        "levelised",
        "4,200 over 12 years at 5 %, 320 a year, 2,600 kWh a year: cost of a kWh of heat",
        f"{BY_HAND}: (capital x recovery factor + yearly cost) / yearly heat",
        0.305333,
        1e-6,
        "money/kWh",
        lambda: finance.levelised_cost(
            4200.0, 0.05, 12, cost_per_year=320.0, output_per_year=2600.0
        ),
    )
    yield _claim(
        "real-rate",
        "7 % interest with 2.5 % inflation: real rate",
        f"{BY_HAND}: Fisher's relation (1 + n) / (1 + f) - 1",
        0.0439024,
        1e-6,
        "1/year",
        lambda: finance.real_rate(0.07, 0.025),
    )
