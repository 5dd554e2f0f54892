"""Makes the household's report, once for the PDF and the HTML."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from tankful.desk.lane import Progress

if TYPE_CHECKING:
    from tankful.desk.easel import Order
    from tankful.report.branding import Branding

BRIEF_STEPS, FULL_STEPS = 2, 5
"""What the progress counts."""


@dataclass(frozen=True)
class Printed:
    """One report in both kinds of file."""

    pdf: bytes
    html: bytes


def printed(order: Order, progress: Progress) -> Printed:
    """The report of a case, short or full; the full one with what would change the answer and with
    futures, those of the pictures where they are drawn. Raises what is wrong with case or
    branding."""
    from tankful.desk import easel
    from tankful.report.render import render_report
    from tankful.reporting import facts_of

    full = order.kind == "report"
    steps = FULL_STEPS if full else BRIEF_STEPS
    brand = _branding(order)  # its faults are told before the long work
    scene = easel.scene_at_hand(order, staged(progress, 1, steps, "the answer"))
    order = replace(order, answer=scene.answer)
    facts = facts_of(scene, easel.loaded_case(order).case)
    if full:
        easel.ground_at_hand(order, staged(progress, 2, steps, "settings at other prices"))
        flips = easel.flips_at_hand(order, staged(progress, 3, steps, "what would turn the answer"))
        futures = easel.futures_at_hand(order, staged(progress, 4, steps, "other futures"))
        facts = replace(facts, flips=flips, futures=futures)
    staged(progress, steps, steps, "charts and pages")(0, 1, "")
    made = render_report(facts, brand, short=not full)
    assert made.pdf is not None
    assert made.html is not None
    return Printed(made.pdf, made.html.encode("utf-8"))


def staged(progress: Progress, step: int, steps: int, stage: str) -> Progress:
    """Progress within one step of several, which it names."""

    def told(done: int, total: int, what: str) -> None:
        more = f": {what}" if 0 <= done < total != 1 and what else ""
        progress(done, total, f"Step {step} of {steps}, {stage}{more}")

    return told


def _branding(order: Order) -> Branding:
    from tankful.desk.store.settings import brand_file
    from tankful.reporting import read_branding

    with TemporaryDirectory(prefix="desk-") as folder:
        return read_branding(brand_file(order.brand, Path(folder)) if order.brand else None)
