"""Slips: kept as given, honest about what has changed since, offered again by name."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from workshop.build import changes
from workshop.build.blade import Blade, Value
from workshop.drawer import registry
from workshop.drawer.run import work_out
from workshop.shelf import slips
from workshop.shelf.shelf import Shelf
from workshop.shelf.shop_file import Shop


def with_pin(blade: Blade, text: str, now: datetime) -> Blade:
    return changes.write_down(blade, "pin-diameter", Value(text, "length"), "Pin", now)


@pytest.fixture
def kept(shelf: Shelf, blade: Blade, now: datetime) -> Blade:
    drill = registry.calculator("pin-drill")
    blade = with_pin(blade, "5/32 in", now)
    worked = work_out(drill, {"clearance": "0.004"}, shelf.store, taken=slips.fills(drill, blade))
    return changes.keep_slip(blade, slips.slip_of(worked, "1", "H1", now), now)


def test_a_slip_keeps_what_was_given_with_units_and_where_from(kept: Blade) -> None:
    slip = kept.slips["1"]
    assert slip.given == {"pin": "5/32 in", "clearance": "0.004 in"}
    assert slip.assumed == {"set": "inch"}
    assert slip.taken == {"pin": ("pin-diameter", "5/32 in")}
    # 5/32 in + 0.004 in = 0.16025 in; #20 is 0.161 in (ASME B94.11M, Machinery's Handbook)
    assert slip.found["drill"] == ("#20", "")
    assert slip.extra["working"]


def test_a_slip_says_when_what_it_was_worked_from_has_changed(kept: Blade, now: datetime) -> None:
    slip = kept.slips["1"]
    assert slips.stale(slip, kept) == ()
    assert slips.stale(slip, with_pin(kept, "0.15625 in", now)) == ()
    assert slips.stale(slip, with_pin(kept, "4 mm", now)) == ("pin-diameter was 5/32 in and is now 4 mm",)
    assert "taken back" in slips.stale(slip, replace(kept, values={}))[0]


def test_it_comes_back_from_disk_the_same(shelf: Shelf, kept: Blade) -> None:
    shelf.change(kept.key, lambda _: kept)
    assert Shelf(shelf.folder, registry.NAMES).blade(kept.key).slips == kept.slips


def test_last_time_is_offered_with_the_blades_name(kept: Blade, now: datetime) -> None:
    drill = registry.calculator("pin-drill")
    offered = slips.last_time([kept], drill, {})
    assert (offered["clearance"].text, offered["clearance"].where) == ("0.004 in", "last time, Heron")
    assert "pin" not in offered  # that knife's own pin
    later = replace(kept.slips["1"], at=now + timedelta(days=1), given={"clearance": "0.002 in"})
    wren = replace(kept, name="Wren", slips={"1": later})
    assert slips.last_time([kept, wren], drill, {})["clearance"].where == "last time, Wren"


def test_last_time_counts_only_for_the_same_wood(shelf: Shelf, blade: Blade, now: datetime) -> None:
    swing = registry.calculator("wood-swing")
    worked = work_out(swing, {"species": "black walnut", "width": "30"}, shelf.store)
    kept = changes.keep_slip(blade, slips.slip_of(worked, "1", "", now), now)
    assert slips.last_time([kept], swing, {"species": "Black Walnut"})["width"].text == "30 mm"
    assert slips.last_time([kept], swing, {"species": "teak"}) == {}


def test_the_shops_air_fills_what_the_blade_does_not_know(blade: Blade, now: datetime) -> None:
    shop = Shop(air_K=285.15, humidity=0.61, read_at=now)
    dew = registry.calculator("wood-moisture")
    found = slips.fills(dew, blade, shop)
    assert {name: one.text for name, one in found.items()} == {"air": "12.0 °C", "humidity": "61 %"}
    assert all(one.where.startswith(slips.SHOP_AIR) for one in found.values())
    damp = changes.write_down(blade, "humidity", Value("48 %", "humidity"), "Humidity", now)
    assert slips.fills(dew, damp, shop)["humidity"].text == "48 %"


def test_last_time_counts_only_for_what_the_blade_in_hand_is_of(
    shelf: Shelf, blade: Blade, now: datetime
) -> None:
    swing = registry.calculator("wood-swing")
    walnut = replace(blade, choices={**blade.choices, "wood": "black walnut"})
    worked = work_out(swing, {"width": "31"}, shelf.store, taken=slips.fills(swing, walnut))
    kept = changes.keep_slip(walnut, slips.slip_of(worked, "1", "", now), now)
    stands = {name: one.text for name, one in slips.fills(swing, walnut).items()}
    assert slips.last_time([kept], swing, stands)["width"].text == "31 mm"
    teak = replace(blade, choices={**blade.choices, "wood": "teak"})
    stands = {name: one.text for name, one in slips.fills(swing, teak).items()}
    assert slips.last_time([kept], swing, stands) == {}


def test_a_choice_that_was_changed_is_named(shelf: Shelf, blade: Blade, now: datetime) -> None:
    swing = registry.calculator("wood-swing")
    walnut = replace(blade, choices={**blade.choices, "wood": "black walnut"})
    worked = work_out(swing, {"width": "31"}, shelf.store, taken=slips.fills(swing, walnut))
    slip = slips.slip_of(worked, "1", "", now)
    assert slips.stale(slip, walnut) == ()
    teak = replace(blade, choices={**blade.choices, "wood": "teak"})
    assert slips.stale(slip, teak) == ("wood was black walnut and is now teak",)
