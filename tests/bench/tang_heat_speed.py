"""How long the creep of heat takes to work out, beside scipy's integrator on the same cells.

Run it as ``python tests/bench/tang_heat_speed.py``; it prints both times, both peaks and the ratio.
"""

from __future__ import annotations

import statistics
import sys
import time
from itertools import pairwise

import numpy as np
from scipy.integrate import solve_ivp

from workshop.trade.steel_heat import STEFAN, ZERO_C, carbon_steel
from workshop.trade.tang_heat import Heat, Tang, creep, lay_out, least_distance, longest_rise

TANG = Tang(0.018, 0.004, 0.090, 0.030, 0.0045)
HEAT = Heat(0.030, 0.012, 650 + ZERO_C, 20.0, 5.0, 20 + ZERO_C)


def by_scipy(method: str) -> float:
    """Peak at the shoulder, °C, with scipy on the very cells the calculator uses."""
    layout = lay_out(TANG, HEAT)
    bar = layout.bar
    widths, sections, girths = (np.array(one) for one in (bar.width_m, bar.section_m2, bar.girth_m))
    resist = widths / 2 / sections
    hot = np.zeros(len(widths), bool)
    hot[layout.first : layout.last] = True
    joint, edge = 1 / (resist[:-1] + resist[1:]), hot[:-1] != hot[1:]
    near = 1 / np.where(hot[:-1], resist[1:], resist[:-1])
    grid, heat = np.arange(1600.0), np.array(carbon_steel().capacity[:1600])
    air = HEAT.air_K

    def rate(now: float, t: np.ndarray, driven: bool) -> np.ndarray:
        if driven:
            t = np.where(hot, air + (HEAT.target_K - air) * min(1.0, now / HEAT.rise_s), t)
        k = 54 - 0.0333 * ((t[:-1] + t[1:]) / 2 - ZERO_C)
        flow = k * (np.where(edge, near, joint) if driven else joint) * np.diff(t)
        gain = np.append(flow, 0.0) - np.insert(flow, 0, 0.0)
        lost = HEAT.film_W_m2K * (t - air) + HEAT.emissivity * STEFAN * (t**4 - air**4)
        change = (gain - girths * widths * lost) / (np.interp(t, grid + 0.5, heat) * widths * sections)
        return np.where(hot, 0.0, change) if driven else change

    temperatures, peak = np.full(len(widths), air), 0.0
    left, right = layout.shoulder - 1, layout.shoulder
    pull, push = sections[left] / widths[left], sections[right] / widths[right]
    stops = (0.0, HEAT.rise_s, HEAT.rise_s + HEAT.hold_s, HEAT.rise_s + HEAT.hold_s + 60.0)
    banded = {"lband": 1, "uband": 1} if method == "LSODA" else {}
    for number, (start, end) in enumerate(pairwise(stops)):
        driven = number < 2
        done = solve_ivp(
            rate, (start, end), temperatures, method, args=(driven,), rtol=1e-4, atol=1e-2, **banded
        )
        peak = max(peak, float(((done.y[left] * pull + done.y[right] * push) / (pull + push)).max()))
        temperatures = done.y[:, -1]
        if driven:
            temperatures[hot] = air + (HEAT.target_K - air) * min(1.0, end / HEAT.rise_s)
    return peak - ZERO_C


def timed(work, times: int = 9):
    """Return the middle of several times, in seconds, and the last answer."""
    answer, took = work(), []
    for _ in range(times):
        start = time.perf_counter()
        answer = work()
        took.append(time.perf_counter() - start)
    return statistics.median(took), answer


def say(line: str) -> None:
    """Print one line."""
    sys.stdout.write(f"{line}\n")


def main() -> None:
    """Print the comparison."""
    cells = len(lay_out(TANG, HEAT).middles_m)
    mine, result = timed(lambda: creep(TANG, HEAT))
    say(f"plain Python, {cells} cells, {len(result.course.times_s) - 1} steps")
    say(f"  peak {result.peak_K - ZERO_C:.2f} °C in {mine * 1e3:.1f} ms")
    for method in ("LSODA", "BDF"):
        theirs, peak = timed(lambda method=method: by_scipy(method), 3)
        say(f"scipy solve_ivp {method}, same cells: peak {peak:.2f} °C in {theirs * 1e3:.1f} ms")
        say(f"  ratio plain Python / scipy {mine / theirs:.2f}")
    took, longest = timed(lambda: longest_rise(TANG, HEAT, 200 + ZERO_C), 3)
    say(f"longest heat {longest:.1f} s in {took * 1e3:.0f} ms")
    took, least = timed(lambda: least_distance(TANG, HEAT, 200 + ZERO_C), 3)
    say(f"least distance {least * 1e3:.2f} mm in {took * 1e3:.0f} ms")


if __name__ == "__main__":
    main()
