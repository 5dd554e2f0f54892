"""Write tests/golden/answers.json: the key numbers of the examples' answers.

Run ``python builders/record_golden_answers.py`` after a change that is meant to move
numbers, and say in CHANGELOG.md under "Numbers moved" which moved, by how much, and why.
Without such a line a difference is a fault.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from tankful import service
from tankful.model.answer import Answer
from tankful.model.system import Control

ROOT = Path(__file__).parents[1]
EXAMPLES = sorted((ROOT / "examples").glob("0[1236789]-*.toml"))
OUT = ROOT / "tests" / "golden" / "answers.json"
DECIMALS = 4


def key_numbers(answer: Answer) -> dict[str, Any]:
    """What decides an answer: the options in order, their money, energy and comfort."""
    return {
        option.id: {
            "rank": option.rank,
            "upfront": round(option.upfront.total, DECIMALS),
            "year_one": round(option.year_one.total, DECIMALS),
            "net_present_cost": round(option.net_present_cost, DECIMALS),
            "purchased_kwh": round(option.sums.purchased_kwh, DECIMALS),
            "gas_mj": round(option.sums.gas_mj, DECIMALS),
            "heat_delivered_kwh": round(option.sums.heat_delivered_kwh, DECIMALS),
            "cold_draws": option.sums.cold_draws,
            "control": settings(option.choice.control),
        }
        for option in answer.options
    }


def settings(control: Control) -> list[Any]:
    """A control as the search found it, without the words that tell it."""
    hours = [f"{window.start}-{window.end}" for window in control.windows]
    top_up = [f"{window.start}-{window.end}" for window in control.catch_up_windows]
    return [
        control.kind,
        hours,
        control.threshold_w,
        control.catch_up_c,
        top_up,
        control.setpoint_c,
    ]


def main() -> None:
    """Write the file anew."""
    answers = {path.stem: key_numbers(service.advise(path)) for path in EXAMPLES}
    OUT.write_text(json.dumps(answers, indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
