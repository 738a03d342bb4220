"""Properties of reading and writing that hold for any number and any text."""

from fractions import Fraction as F
from typing import Any

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workshop.errors import ShopError
from workshop.measure import KINDS, Preference, both, in_unit, next_preference, precise, read, show, write
from workshop.units import units_of

UNITS = [(kind, unit.short) for kind in KINDS for unit in units_of(kind)]
NUMBERS = st.fractions(min_value=F(1, 1000), max_value=10**6, max_denominator=1000)
SIZES = st.floats(min_value=1e-6, max_value=1e4)


@given(st.integers(0, 999), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_a_mixed_number_is_its_whole_and_its_fraction(whole: int, top: int, bottom: int) -> None:
    top %= bottom
    expected = (whole + F(top, bottom)) * F(254, 10000)
    for text in (f"{whole} {top}/{bottom} in", f'{whole}-{top}/{bottom}"', f"{whole} {top} / {bottom}"):
        assert read(text, "length", unit="in").value == expected


@given(st.decimals(min_value=0, max_value=10**6, places=4), st.sampled_from(UNITS))
def test_a_decimal_is_read_exactly_in_any_unit(number: Any, kind_and_unit: tuple[str, str]) -> None:
    kind, short = kind_and_unit
    if kind == "humidity" and number > 100:
        return
    point = read(f"{number} {short}", kind)
    comma = read(f"{number}{short}".replace(".", ","), kind)
    unit = next(u for u in units_of(kind) if u.short == short)
    assert point.value == comma.value == (F(number) + unit.offset) * unit.factor
    assert point.unit == short


@given(
    st.lists(
        st.tuples(st.integers(0, 999), st.sampled_from(["mm", "in", "thou", "ft", "cm"])),
        min_size=2,
        max_size=6,
    )
)
def test_a_sum_is_the_sum_of_its_parts(parts: list[tuple[int, str]]) -> None:
    texts = [f"{number} {short}" for number, short in parts]
    assert read(" + ".join(texts), "length").value == sum(read(text, "length").value for text in texts)


@given(NUMBERS, NUMBERS)
def test_a_difference_is_the_difference(first: F, second: F) -> None:
    text = f"{first.numerator}/{first.denominator} in - {second.numerator}/{second.denominator} mm"
    expected = first * F(254, 10000) - second / 1000
    assert read(text, "length", negative=True).value == expected


@given(NUMBERS, st.sampled_from([(k, u) for k, u in UNITS if k not in ("temperature", "humidity")]))
def test_the_unit_it_is_written_in_does_not_change_it(number: F, kind_and_unit: tuple[str, str]) -> None:
    kind, short = kind_and_unit
    bottom = f"{number.numerator}/{number.denominator}"
    value = read(f"{bottom} {short}", kind).value
    for other in units_of(kind):
        same = other.from_si(value)
        assert (
            read(f"{same.numerator}/{same.denominator} {other.short}", kind).value == value
            if (len(str(same.numerator)) <= 30 and len(str(same.denominator)) <= 30)
            else True
        )


@pytest.fixture(scope="module")
def registry() -> Any:
    return pint.UnitRegistry()


@given(number=st.decimals(min_value=0, max_value=10**4, places=3))
def test_as_pint_reads_where_pint_reads_right(registry: Any, number: Any) -> None:
    for unit, kind, si in (
        ("inch", "length", "m"),
        ("mm", "length", "m"),
        ("foot", "length", "m"),
        ("thou", "length", "m"),
        ("oz", "mass", "kg"),
        ("lb", "mass", "kg"),
        ("hour", "time", "s"),
        ("psi", "pressure", "Pa"),
    ):
        theirs = registry.Quantity(f"{number} {unit}").to(si).magnitude
        assert float(read(f"{number} {unit}", kind)) == pytest.approx(theirs, rel=1e-14)


# The general reader of the library answers these wrongly; ours does not.
@pytest.mark.parametrize(("text", "millimetres"), [("1 1/4 in", 31.75), ("0,5 in", 12.7), ("1½ in", 38.1)])
def test_where_the_general_reader_is_wrong(text: str, millimetres: float) -> None:
    assert in_unit(read(text, "length").value, "length", "mm") == pytest.approx(millimetres, rel=1e-15)


TEXTS = st.one_of(
    st.text(max_size=250),
    st.text(alphabet="0123456789.,/-+ '\"½¼⅞°%:;x×−″′", max_size=40),
    st.lists(
        st.sampled_from(
            [
                *"0123456789./,-+:x %°½'\"()*^²",
                "in",
                "mm",
                "thou",
                "F",
                "C",
                "h",
                "min",
                "lb",
                "oz",
                "by weight",
                "to",
                "e400",
                "1e30x",
                "nan",
                "inf",
                "$",
                "rpm",
                "1/0",
                "\u00a0",
                "\u200b",
                "\x1b",
                "HRC",
                "deg",
                "m/s",
                "kg/m³",
            ]
        ),
        max_size=20,
    ).map("".join),
)


@settings(max_examples=400)
@given(TEXTS, st.sampled_from(sorted(KINDS)), st.booleans())
def test_any_text_reads_finite_and_of_its_kind_or_is_refused(text: str, kind: str, negative: bool) -> None:
    try:
        measure = read(text, kind, unit=KINDS[kind].natural, field="pin", negative=negative)
    except ShopError as refused:
        sentence = str(refused)
        assert sentence.startswith("pin: ")
        assert sentence.isprintable()
        return
    assert isinstance(measure.value, F)
    assert abs(float(measure)) < 1e100
    assert measure.kind == kind
    assert negative or measure.value >= 0 or KINDS[kind].signed
    # What was read is written, and that reads back to much the same.
    written = write(measure.value, kind, measure.unit)
    back = read(written, kind, unit=measure.unit, negative=True)
    unit = next((u for u in units_of(kind) if u.short == measure.unit), None)
    step = unit.factor if unit else F(1, 1000)
    assert abs(back.value - measure.value) <= max(abs(measure.value) * F(1, 10**12), step)


@settings(max_examples=300)
@given(st.floats(min_value=-1e6, max_value=1e6), st.sampled_from(UNITS), st.integers(0, 6))
def test_written_reads_back_within_its_decimals(
    number: float, kind_and_unit: tuple[str, str], digits: int
) -> None:
    kind, short = kind_and_unit
    unit = next(u for u in units_of(kind) if u.short == short)
    if kind == "humidity":
        number = abs(number) % 100
    value = unit.to_si(F(number))
    if kind == "temperature" and value < 1:
        return
    back = read(write(value, kind, short, digits), kind, negative=True)
    assert abs(unit.from_si(back.value) - F(number)) <= F(1, 2 * 10**digits)
    assert back.unit == short


@given(st.floats(min_value=1e-9, max_value=1e9), st.sampled_from(UNITS))
def test_written_without_decimals_named_keeps_two_figures(
    number: float, kind_and_unit: tuple[str, str]
) -> None:
    kind, short = kind_and_unit
    unit = next(u for u in units_of(kind) if u.short == short)
    if kind == "humidity":
        number %= 100
    back = unit.from_si(read(write(unit.to_si(F(number)), kind, short), kind).value)
    assert abs(back - F(number)) <= max(F(number) / 20, F(1, 10**12))


@settings(max_examples=300)
@given(st.floats(min_value=-10, max_value=10))
def test_a_fraction_of_an_inch_reads_back_within_its_thou(metres: float) -> None:
    text = write(metres, "length", "fraction")
    back = read(text, "length", negative=True)
    inches = F(metres) / F(254, 10000)
    assert abs(back.value / F(254, 10000) - inches) * 1000 <= F(1, 20)
    if "/" in text:
        assert read(text.split(" in")[0] + " in", "length", negative=True).value % (F(254, 10000) / 64) == 0


@given(st.integers(-640, 640).filter(bool))
def test_a_64th_is_written_without_an_error(grid: int) -> None:
    text = write(float(F(grid, 64) * F(254, 10000)), "length", "fraction")
    assert "thou" not in text
    assert read(text, "length", negative=True).value == F(grid, 64) * F(254, 10000)


@given(st.floats(min_value=0, max_value=1e7))
def test_a_span_of_time_reads_back_within_its_last_unit(seconds: float) -> None:
    text = write(seconds, "time", "span")
    back = float(read(text, "time"))
    step = 0.05 if seconds < 60 else 0.5 if seconds < 3600 else 30 if seconds < 86400 else 1800
    assert abs(back - seconds) <= step + 1e-6


PREFERENCES = [
    Preference(length, temperature, mass)
    for length in ("mm", "in", "fraction", "thou")
    for temperature in ("°C", "°F")
    for mass in ("g", "oz")
]


@given(
    SIZES,
    st.sampled_from(["length", "mass", "temperature", "area", "speed", "time"]),
    st.sampled_from(PREFERENCES),
)
def test_shown_either_way_reads_back(value: float, kind: str, prefer: Preference) -> None:
    value += 1 if kind == "temperature" else 0
    first, second = both(value, kind, prefer)
    for text in (first, second):
        if text:
            back = float(read(text, kind))
            assert back == pytest.approx(value, rel=0.05, abs=5.1e-7 if kind in ("length", "area") else 0.06)


@given(st.floats(min_value=1e-4, max_value=1), st.integers(0, 4), st.sampled_from(PREFERENCES))
def test_decimals_are_kept_as_fine_in_another_unit(metres: float, digits: int, prefer: Preference) -> None:
    back = float(read(show(metres, "length", prefer, digits, unit="mm"), "length"))
    fine = 0.05 * 25.4e-6 if prefer.length == "fraction" else 0.6e-3 * 10.0**-digits
    assert abs(back - metres) <= fine + 1e-12


@given(st.floats(min_value=1e-6, max_value=1e6), st.sampled_from(UNITS))
def test_precise_keeps_six_figures(number: float, kind_and_unit: tuple[str, str]) -> None:
    kind, short = kind_and_unit
    if kind in ("humidity", "temperature"):
        return
    unit = next(u for u in units_of(kind) if u.short == short)
    back = unit.from_si(read(precise(unit.to_si(F(number)), kind, short), kind).value)
    assert float(back) == pytest.approx(number, rel=5.1e-6)


def test_one_key_goes_round_the_looks() -> None:
    look = Preference()
    seen = [look]
    while (look := next_preference(look)) != Preference():
        seen.append(look)
    assert [s.length for s in seen] == ["mm", "in", "fraction"]
    assert [s.temperature for s in seen] == ["°C", "°F", "°F"]
    assert [s.mass for s in seen] == ["g", "oz", "oz"]
    assert next_preference(Preference("thou", "°C", "g")) == Preference()
