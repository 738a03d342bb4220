"""What is kept of the shop itself: its air as last read, the looks of numbers, and the maker's settings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

import tomli_w

from workshop import measure
from workshop.shelf.settings import Settings, read_settings
from workshop.shelf.table import Source, Table, celsius

SCHEMA = 1
LENGTH_LOOKS = ("mm", "in", "fraction", "thou")
TEMPERATURE_LOOKS = ("°C", "°F")
MASS_LOOKS = ("g", "oz")
SET_BY_HAND = ("hours", "night", "warn")


@dataclass(frozen=True)
class Shop:
    """The shop. air_K and humidity (0..1) as last read at `read_at`; None when never.

    settings: what the maker has set by hand; the program writes them back as they stand.
    """

    air_K: float | None = None
    humidity: float | None = None
    read_at: datetime | None = None
    prefer: measure.Preference = field(default_factory=measure.Preference)
    settings: Settings = field(default_factory=Settings)
    extra: Mapping[str, Any] = field(default_factory=dict)


def read_shop(data: Mapping[str, Any], source: Source) -> Shop:
    """Return the shop as kept in its file; raises FileFault for what cannot be taken."""
    top = Table(data, source)
    top.known_schema(SCHEMA)
    air = top.table("air")
    looks = top.table("show")
    plain = measure.Preference()
    settings = read_settings(top)
    by_hand = {name: top.data[name] for name in SET_BY_HAND if name in top.data}
    return Shop(
        air_K=air.si("temperature", "temperature") if "temperature" in air.data else None,
        humidity=air.si("humidity", "humidity") if "humidity" in air.data else None,
        read_at=air.moment("read"),
        prefer=measure.Preference(
            length=looks.one_of("length", LENGTH_LOOKS, plain.length),
            temperature=looks.one_of("temperature", TEMPERATURE_LOOKS, plain.temperature),
            mass=looks.one_of("mass", MASS_LOOKS, plain.mass),
        ),
        settings=settings,
        extra={**top.rest(), **by_hand, "air": air.rest(), "show": looks.rest()},
    )


def shop_bytes(shop: Shop) -> bytes:
    """Return the shop as TOML."""
    air: dict[str, Any] = {}
    if shop.air_K is not None:
        air["temperature"] = celsius(shop.air_K)
    if shop.humidity is not None:
        air["humidity"] = measure.write(shop.humidity, "humidity", "%", 1)
    if shop.read_at is not None:
        air["read"] = shop.read_at
    looks = {"length": shop.prefer.length, "temperature": shop.prefer.temperature, "mass": shop.prefer.mass}
    extra = dict(shop.extra)
    tables = {"air": {**air, **extra.pop("air", {})}, "show": {**looks, **extra.pop("show", {})}}
    alone = {key: value for key, value in extra.items() if not isinstance(value, Mapping)}
    return tomli_w.dumps({"schema": SCHEMA, **alone, **tables, **extra}).encode("utf-8")
