"""What every calculator owes, whoever declared it: one home, a worked example that holds, honest fields."""

from __future__ import annotations

import json
import math
from datetime import UTC, datetime
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules

import pytest

import workshop.drawer
from workshop import measure
from workshop.drawer import registry, run
from workshop.drawer.declare import Calculator
from workshop.errors import ShopError
from workshop.shelf.shelf import Shelf

NOW = datetime(2026, 3, 2, 9, tzinfo=UTC).timestamp()
ALL = [registry.calculator(name) for name in registry.NAMES]
every = pytest.mark.parametrize("calculator", ALL, ids=lambda one: one.name)


@pytest.fixture(scope="module")
def stores(tmp_path_factory: pytest.TempPathFactory) -> run.StoreReader:
    return Shelf(Path(tmp_path_factory.mktemp("shelf")), registry.NAMES).store


def test_the_registry_knows_each_declaration_once() -> None:
    declared: list[str] = []
    for module in iter_modules(workshop.drawer.__path__):
        found = import_module(f"workshop.drawer.{module.name}")
        declared += [one.name for one in getattr(found, "CALCULATORS", ())]
    assert sorted(declared) == sorted(registry.NAMES)


@every
def test_its_worked_example_holds(calculator: Calculator, stores: run.StoreReader) -> None:
    worked = run.work_out(calculator, calculator.example.given, stores, now=NOW, later=True)
    rows = {row.name: row for row in worked.rows}
    assert calculator.example.found
    for name, expected in calculator.example.found.items():
        value = rows[name].value
        if isinstance(expected, str):
            assert value == expected
        else:
            assert value == pytest.approx(expected, abs=calculator.example.within)


@every
def test_its_data_is_one_plain_object(calculator: Calculator, stores: run.StoreReader) -> None:
    data = run.work_out(calculator, calculator.example.given, stores, now=NOW).data()
    assert list(data) == ["calculator", "given", "assumed", "found", "cautions", "sources"]
    assert json.loads(json.dumps(data, allow_nan=False)) == data
    for part in ("given", "assumed", "found"):
        for datum in data[part].values():
            assert sorted(datum) == ["unit", "value"]
    assert data["sources"]


@every
def test_its_fields_and_results_are_declared_in_the_shop_s_own_kinds(calculator: Calculator) -> None:
    for asked in calculator.fields:
        assert asked.says
        assert asked.kind in {*run.PLAIN_KINDS, "drill", *measure.KINDS}
        kind = "length" if asked.kind == "drill" else asked.kind
        if kind in run.PLAIN_KINDS:
            assert asked.kind != "choice" or (asked.choices and asked.default in (None, *asked.choices))
            continue
        for limit in (*asked.hard, *asked.likely):
            if limit is not None:
                measure.read(limit, kind, unit=asked.unit, negative=True)
        if asked.default is not None and asked.kind != "drill":
            measure.read(asked.default, kind, unit=asked.unit, negative=True)
    for result in calculator.results:
        assert result.kind in {"text", "word", *measure.KINDS}, result.name
    assert calculator.sources
    assert calculator.valid
    assert calculator.purpose[:1].isupper()
    assert not calculator.purpose.endswith(".")
    assert len(calculator.purpose) <= 100


@every
def test_an_answer_says_what_it_assumed_and_shows_its_working(
    calculator: Calculator, stores: run.StoreReader
) -> None:
    worked = run.work_out(calculator, calculator.example.given, stores, now=NOW)
    assert set(worked.assumed).isdisjoint(worked.given)
    assert worked.answer.working
    for line in worked.answer.figure:
        assert len(line) <= 60
    assert len(worked.answer.figure) <= 12


@every
@pytest.mark.parametrize(
    "typed", ["", "nonsense", "1/0", "nan", "-5", "9**9**9", "1e400", "0", "\x1b[31m", "½½", "1" * 5000]
)
def test_bad_input_in_any_field_is_one_sentence(
    calculator: Calculator, stores: run.StoreReader, typed: str
) -> None:
    """Whatever stands in a field, the answer is finite or one sentence; never another exception."""
    for asked in calculator.fields:
        given = {**calculator.example.given, asked.name: typed}
        try:
            worked = run.work_out(calculator, given, stores, now=NOW)
        except ShopError as refused:
            said = str(refused)
            assert said
            assert "\n" not in said
            assert "\x1b" not in said
            assert len(said) < 700
            continue
        for row in worked.rows:
            assert isinstance(row.value, str) or math.isfinite(row.value)


@every
def test_units_do_not_change_an_answer(calculator: Calculator, stores: run.StoreReader) -> None:
    """Lengths typed in millimetres or in inches find the same."""
    given = dict(calculator.example.given)
    other = dict(given)
    for asked in calculator.fields:
        text = given.get(asked.name)
        if text and asked.kind == "length" and not asked.many:
            other[asked.name] = f"{float(measure.read(text, 'length', unit=asked.unit)) / 0.0254:.12f} in"
    first = {row.name: row.value for row in run.work_out(calculator, given, stores, now=NOW).rows}
    second = {row.name: row.value for row in run.work_out(calculator, other, stores, now=NOW).rows}
    for name, value in first.items():
        if isinstance(value, float):
            assert second[name] == pytest.approx(value, rel=1e-6, abs=1e-9)


def test_an_unknown_field_and_a_missing_one_are_named() -> None:
    calculator = registry.calculator("pin-drill")
    with pytest.raises(ShopError, match="pin-drill has no field 'pn'; it has: pin"):
        run.work_out(calculator, {"pn": "3 mm"}, lambda name: {})
    with pytest.raises(ShopError, match=r"pin-drill needs pin \("):
        run.work_out(calculator, {}, lambda name: {})
    with pytest.raises(ShopError, match="no calculator 'pin-dril'"):
        registry.calculator("pin-dril")


def test_what_the_blade_knows_is_taken_before_a_default_and_typing_beats_both(
    stores: run.StoreReader,
) -> None:
    calculator = registry.calculator("slot-fill")
    taken = run.taken_from(calculator, {"tang-length": "90 mm"})
    given = {name: text for name, text in calculator.example.given.items() if name != "tang-length"}
    assert run.work_out(calculator, given, stores, taken=taken).given["tang-length"] == "90 mm"
    typed = {**given, "tang-length": "80 mm"}
    assert run.work_out(calculator, typed, stores, taken=taken).given["tang-length"] == "80 mm"


def test_what_a_calculator_fills_from_is_measured_somewhere_on_the_route(tmp_path: Path) -> None:
    route = Shelf(tmp_path, registry.NAMES).route("hidden-tang")
    measured = {entry.name for step in route.steps for entry in step.records} | {"air", "humidity"}
    measured |= {choice.id for choice in route.choices}
    unknown = {
        (one.name, asked.name, name)
        for one in ALL
        for asked in one.fields
        for name in asked.fills_from
        if name not in measured
    }
    assert not unknown
