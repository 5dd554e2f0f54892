"""Write the tables of docs/accuracy.md: what steps, layers and the built-in year get wrong.

Run ``python bench/accuracy.py [name=weather-file ...]``; it takes a minute. Only what stands
between the markers of the file is written anew. The table of weather holds the files that ship
inside pvlib and those named.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from statistics import fmean

import pvlib

from tankful.casefile.load import check_text
from tankful.casefile.resolve import resolve
from tankful.model.home import Home
from tankful.proof.every_system import Bought, bought, every_system, held
from tankful.proof.weather_year import built_from, measures
from tankful.simulate.drive import HomeYear, home_year
from tankful.site.weather_file import read_weather_file

ROOT = Path(__file__).parents[1]
SAMPLE = ROOT / "examples" / "01-sample-home.toml"
PAGE = ROOT / "docs" / "accuracy.md"
PLACES = {"sample home": "2480", "cold (Cooma)": "2630", "tropical (Darwin)": "0800"}
HELD_MIN, DEFAULT_MIN, FINEST_MIN = 15, 5, 1
LAYERS = (8, 12, 16, 24)
SEEDS = (1, 2, 3, 4)
SHIPPED = {
    "Miami (TMY2)": "12839.tm2",
    "Greensboro (TMY3)": "723170TYA.CSV",
    "Sand Point, Alaska (TMY3)": "703165TY.csv",
}

Results = dict[str, Bought]


def home_at(postcode: str, step_min: int) -> tuple[Home, HomeYear]:
    """The sample home in some place, on a step."""
    text = SAMPLE.read_text(encoding="utf-8").replace('"2480"', f'"{postcode}"')
    home = resolve(check_text(f"{text}\n[simulation]\nstep_min = {step_min}\n", SAMPLE))
    return home, home_year(home)


def by_step(postcode: str) -> dict[str, Results]:
    """Each step with everything but the draws held through a quarter hour, and each as the
    program runs it."""
    home, coarse = home_at(postcode, HELD_MIN)
    systems = every_system(home)
    results = {}
    for step_min in (FINEST_MIN, DEFAULT_MIN, HELD_MIN):
        results[f"held {step_min}"] = bought(home, held(home, coarse, step_min), systems)
        own, year = home_at(postcode, step_min)
        results[f"own {step_min}"] = bought(own, year, every_system(own))
    return results


def by_layers(postcode: str) -> dict[str, Results]:
    """Each number of layers at the default step."""
    home, year = home_at(postcode, DEFAULT_MIN)
    systems = every_system(home)
    return {str(n): bought(home, replace(year, layers=n), systems) for n in LAYERS}


def table(
    places: dict[str, dict[str, Results]],
    base: str,
    others: dict[str, str],
    value: Callable[[Bought], float],
    heading: str,
) -> str:
    """One row a system: the base's value in each place, and what the others differ by."""
    columns = [f"{place}: {heading} | {' | '.join(others)}" for place in places]
    lines = [
        f"| system | {' | '.join(columns)} |",
        f"|---|{'---:|' * len(places) * (1 + len(others))}",
    ]
    for name in next(iter(places.values()))[base]:
        cells = []
        for results in places.values():
            least = value(results[base][name])
            cells.append(f"{least:,.0f}")
            cells += [f"{value(results[key][name]) / least - 1.0:+.1%}" for key in others.values()]
        lines.append(f"| {name} | {' | '.join(cells)} |")
    return "\n".join(lines)


def weather_table(files: dict[str, Path]) -> str:
    """The built-in year beside each file, as a mean over some seeds."""
    lines = [
        "| file | panels, kWh | built-in | heat pump, kWh | built-in | diverter, from the grid | "
        "built-in | spread of a day's surplus, kWh | built-in | raggedness | built-in |",
        f"|---|{'---:|' * 10}",
    ]
    for name, path in files.items():
        weather = read_weather_file(path)
        found = measures(weather)
        built = [measures(built_from(weather, seed)) for seed in SEEDS]

        def change(of: str, found=found, built=built) -> str:
            return f"{fmean(getattr(each, of) for each in built) / getattr(found, of) - 1.0:+.1%}"

        share = fmean(each.diverter_grid_share for each in built)
        cells = [
            f"{found.pv_kwh:,.0f} | {change('pv_kwh')}",
            f"{found.heat_pump_kwh:,.0f} | {change('heat_pump_kwh')}",
            f"{found.diverter_grid_share:.1%} | {share:.1%}",
            f"{found.day_spread_kwh:.1f} | {change('day_spread_kwh')}",
            f"{found.raggedness:.2f} | {change('raggedness')}",
        ]
        lines.append(f"| {name} | {' | '.join(cells)} |")
    return "\n".join(lines)


def write_tables(page: Path, tables: dict[str, str]) -> None:
    """Put each table between its markers. ValueError where the page has none for it."""
    text = page.read_text(encoding="utf-8")
    for name, body in tables.items():
        start, end = f"<!-- {name} -->", f"<!-- end of {name} -->"
        pattern = re.compile(f"{re.escape(start)}.*?{re.escape(end)}", re.DOTALL)
        if not pattern.search(text):
            raise ValueError(f"{page.name} has no place for the table of {name}")
        text = pattern.sub(lambda _, new=f"{start}\n\n{body}\n\n{end}": new, text)
    page.write_text(text, encoding="utf-8")


def main() -> None:
    shipped = Path(pvlib.__file__).parent / "data"
    files = {name: shipped / file for name, file in SHIPPED.items()}
    files |= {name: Path(path) for name, path in (each.split("=", 1) for each in sys.argv[1:])}
    steps = {place: by_step(postcode) for place, postcode in PLACES.items()}
    layers = {place: by_layers(postcode) for place, postcode in PLACES.items()}
    finest = f"{FINEST_MIN} min"
    held_steps = {"5 min": "held 5", "15 min": "held 15"}
    write_tables(
        PAGE,
        {
            "steps, energy": table(
                steps, "held 1", held_steps, lambda each: each.kwh, f"kWh, {finest}"
            ),
            "steps, cost": table(
                steps, "held 1", held_steps, lambda each: each.cost, f"money, {finest}"
            ),
            "steps, whole program": table(
                steps,
                "own 1",
                {"5 min": "own 5", "15 min": "own 15"},
                lambda each: each.kwh,
                f"kWh, {finest}",
            ),
            "weather": weather_table(files),
            "layers": table(
                layers,
                "12",
                {f"{n}": str(n) for n in LAYERS if n != 12},
                lambda each: each.kwh,
                "kWh, 12",
            ),
        },
    )


if __name__ == "__main__":
    main()
