"""Grain sizes against the printed tables and cross pairs.

Sources: ISO 6344 (P grades; two agreeing copies, secondary); ANSI B74.18 averages (two
copies, secondary, which differ by up to 1.5 %); cross pairs as printed beside them.
The values below are typed from the tables, not read from the store.
"""

import tomllib
from itertools import pairwise
from pathlib import Path

import pytest

from workshop.drawer import abrasives as drawer
from workshop.trade import abrasives

STORE = tomllib.loads(
    (Path(__file__).parents[2] / "recipes" / "stores" / "abrasives.toml").read_text(encoding="utf-8")
)
PAPERS = drawer.read_papers(STORE)

ISO_6344 = {
    12: 1815, 16: 1324, 20: 1000, 24: 764, 30: 642, 36: 538, 40: 425, 50: 336, 60: 269, 80: 201,
    100: 162, 120: 125, 150: 100, 180: 82, 220: 68, 240: 58.5, 280: 52.2, 320: 46.2, 360: 40.5,
    400: 35.0, 500: 30.2, 600: 25.8, 800: 21.8, 1000: 18.3, 1200: 15.3, 1500: 12.6, 2000: 10.3, 2500: 8.4,
}  # fmt: skip
ANSI_FIRST = {
    24: 708, 30: 632, 36: 530, 40: 425, 50: 348, 60: 265, 80: 190, 100: 140, 120: 115, 150: 92, 180: 82,
    220: 68, 240: 53, 320: 36, 360: 28, 400: 23, 500: 20, 600: 16, 800: 12.6, 1000: 10.3,
}  # fmt: skip
ANSI_SECOND = {24: 715, 30: 638, 36: 535, 40: 428, 50: 351, 60: 268, 80: 192, 100: 141}


def grain(scale, grade):
    return next(p.grain_m * 1e6 for p in PAPERS[scale] if p.grade == grade)


def test_every_p_grade():
    assert {p.grade: p.grain_m * 1e6 for p in PAPERS["P"]} == pytest.approx(
        {f"P{k}": v for k, v in ISO_6344.items()}
    )


def test_every_ansi_grade_within_what_the_two_copies_differ():
    for grade, micron in {**ANSI_FIRST, **ANSI_SECOND}.items():
        assert grain("ANSI", f"ANSI {grade}") == pytest.approx(micron, rel=0.015)


def test_both_copies_are_kept():
    kept = {p["grade"]: p["other-grain"] for p in STORE["paper"] if "other-grain" in p}
    assert kept == {f"ANSI {k}": v for k, v in ANSI_SECOND.items()}


@pytest.mark.parametrize(
    ("ansi", "p"),
    [("ANSI 400", "P800"), ("ANSI 600", "P1200"), ("ANSI 320", "P400"), ("ANSI 220", "P220")],  # secondary
)
def test_cross_pairs(ansi, p):
    assert abrasives.nearest(PAPERS["P"], grain("ANSI", ansi) / 1e6).grade == p
    assert abrasives.nearest(PAPERS["ANSI"], grain("P", p) / 1e6).grade == ansi


def test_the_two_320s_are_not_one_paper():
    assert grain("P", "P320") > 1.25 * grain("ANSI", "ANSI 320")


def test_grades_get_finer_by_number_on_every_scale():
    for scale, papers in PAPERS.items():
        sizes = [(float("".join(c for c in p.grade if c.isdigit())), p.grain_m) for p in papers]
        numbers = [number for number, _ in sizes]
        assert numbers == (sorted(numbers, reverse=True) if scale == "micron" else sorted(numbers)), scale
        assert all(a > b for (_, a), (_, b) in pairwise(sizes)), scale


def test_what_is_only_remembered_is_marked_so():
    assert {s["id"]: s["standing"] for s in STORE["scale"]} == {
        "P": "secondary",
        "ANSI": "secondary",
        "micron": "from memory",
        "stone": "from memory",
    }
