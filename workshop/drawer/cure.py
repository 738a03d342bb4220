"""The drawer's cure: when each mark of a glue opens and shuts in the shop's own air."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from workshop import measure
from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.drawer.wording import plain
from workshop.errors import ShopError
from workshop.trade import cure

RULE = Source(
    "Times about double for every 10 °C colder, by adhesive makers' guidance; 52 kJ/mol gives that near room "
    "temperature",
    "secondary",
)
ENERGY = Source(
    "Amine-cured epoxy, activation energy 55 to 60 kJ/mol: Thermochimica Acta 447(2), 167-177 (2006), "
    "abstract"
)
AGE = Source("Equivalent age over a record of temperatures, as in ASTM C1074", "from memory")
FLOOR = Source("Below 10 to 13 °C a cure stands still, above about 40 °C a cup runs away", "common practice")
MARKS = Source("The marks of each class are typical windows; your label decides", "common practice")

_EXAMPLE_AIR = "18 °C, or 0 h 20 °C; 6 h 10 °C"
_LONGEST_AIR = 4000
_MOST_SPANS = 200
_LAST_TEMPERATURE = re.compile(r"[-−+]?\d[\d.,]*\s{0,3}(?:°\s?|deg\s?)?[CFKcfk]$")
_HOUR_AND_MINUTE = re.compile(r"(\d{1,2})[:.](\d{2})(?::(\d{2}))?$")


@dataclass(frozen=True, slots=True)
class _Mark:
    """A mark as stored: ages at the label's temperature (s)."""

    id: str
    says: str
    opens_s: float
    shuts_s: float | None
    late: str


@dataclass(frozen=True, slots=True)
class _Adhesive:
    """A store entry, read. says: its note and warning."""

    title: str
    says: tuple[str, ...]
    rule: cure.CureRule
    marks: tuple[_Mark, ...]


def find_adhesive(entries: Sequence[Mapping[str, Any]], word: str) -> Mapping[str, Any]:
    """Return the store entry a word names: ``slow``, ``adhesives/slow`` or its title.

    Raises ShopError with the entries there are when none fits.
    """
    wanted = plain(word.strip().removeprefix("adhesives/"))
    for entry in entries:
        if wanted in (plain(str(entry.get("id", ""))), plain(str(entry.get("title", "")))):
            return entry
    names = ", ".join(str(entry.get("id", "")) for entry in entries)
    raise ShopError(f'store "{word[:60]}" is no adhesive in the store; there are: {names}')


def _read(entry: Mapping[str, Any], key: str, kind: str, where: str, missing: str = "") -> float:
    text = entry.get(key, missing)
    if not isinstance(text, str) or not text:
        raise ShopError(f'{where}: {key} is missing; it must be text, like {key} = "45 min" or "22 °C"')
    return float(measure.read(text, kind, field=f"{where}: {key}"))


def _activation(entry: Mapping[str, Any], where: str) -> float | None:
    """Return the activation energy (J/mol); None where the entry goes by a halving instead, as clocks do."""
    if "activation" in entry:
        if "halving" in entry:
            raise ShopError(f"{where}: halving stands beside an activation; right would be one of the two")
        return _read(entry, "activation", "energy per amount", where)
    return None if "halving" in entry else cure.USUAL_ACTIVATION_J_PER_MOL


def read_adhesive(entry: Mapping[str, Any]) -> _Adhesive:
    """Return a stored adhesive with its numbers read. Raises ShopError for what cannot be read or "
    "makes no sense."""
    where = f'adhesive "{entry.get("id", "")}"'
    rule = cure.CureRule(
        _read(entry, "reference", "temperature", where),
        _read(entry, "halving", "temperature step", where, "10 K"),
        _read(entry, "floor", "temperature", where, "10 °C"),
        _read(entry, "ceiling", "temperature", where, "40 °C"),
        _activation(entry, where),
    )
    marks = []
    for mark in entry.get("mark", ()):
        at = f'{where}, mark "{mark.get("id", "")}"'
        opens = _read(mark, "opens", "time", at)
        shuts = _read(mark, "shuts", "time", at) if mark.get("shuts") else None
        if shuts is not None and shuts < opens:
            raise ShopError(f"{at}: shuts before it opens; shuts must be the later of the two")
        marks.append(
            _Mark(str(mark.get("id", "")), str(mark.get("says", "")), opens, shuts, str(mark.get("late", "")))
        )
    if not marks:
        raise ShopError(f"{where} has no mark; a cure needs at least one, with opens and shuts")
    says = tuple(str(entry[key]) for key in ("warning", "note") if entry.get(key))
    return _Adhesive(str(entry.get("title", entry.get("id", ""))), says, rule, tuple(marks))


def read_air(text: str) -> tuple[tuple[float, float], ...]:
    """Return a record of temperatures (s since mixing, K) from one temperature or a list.

    Grammar: ``18 °C``, or ``0 h 20 °C; 6 h 10 °C``: the time since mixing and the temperature from then on,
    parted by ``;``. A first part without a time is from the mixing on. Raises ShopError for anything else.
    """
    if len(text) > _LONGEST_AIR or text.count(";") >= _MOST_SPANS:
        raise ShopError(f"air is too long; at most {_MOST_SPANS} temperatures, like {_EXAMPLE_AIR}")
    record = []
    for place, part in enumerate(piece.strip() for piece in text.split(";")):
        match = _LAST_TEMPERATURE.search(part)
        since, temperature = (part[: match.start()].strip(), match.group()) if match else ("", part)
        if place and not since:
            raise ShopError(
                f'air: "{part[:40]}" does not say from when; put the time since mixing before it, like '
                "6 h 10 °C"
            )
        air = measure.read(
            temperature, "temperature", unit="°C", field="air", example=_EXAMPLE_AIR, negative=True
        )
        since_s = float(measure.read(since, "time", field="air", example=_EXAMPLE_AIR)) if since else 0.0
        record.append((since_s, float(air)))
    cure.check_record(record)
    return tuple(record)


def read_mixed_at(text: str, now_s: float) -> datetime:
    """Return when the glue was mixed, as an aware time in the shop's own zone.

    ``09:00`` is today's, by the present time handed in; ISO with a date as it stands, local unless it
    says its zone; nothing, or ``now``, is now. Raises ShopError for anything else.
    """
    now = datetime.fromtimestamp(now_s, UTC).astimezone()
    word = text.strip()
    if word.lower() in ("", "now"):
        return now
    clock = _HOUR_AND_MINUTE.fullmatch(word)
    try:
        if clock:
            hour, minute, second = (int(part or 0) for part in clock.groups())
            # Through a zoneless time, so that the shop's zone at that hour counts, not the present one.
            plain = datetime(now.year, now.month, now.day, hour, minute, second)  # noqa: DTZ001
            return plain.astimezone()
        if len(word) > 40 or "-" not in word:
            raise ValueError
        return datetime.fromisoformat(word).astimezone()
    except (ValueError, OverflowError):
        raise ShopError(
            f'mixed-at "{word[:40]}" is no time; write 09:00 for today, or 2026-01-31 09:00'
        ) from None


def say_duration(time_s: float) -> str:
    """Return a duration in words for a sentence: ``"45 min"``, ``"5 h 20 min"``, ``"3 d 4 h"``."""
    minutes = round(time_s / 60)
    if minutes < 60:
        return f"{minutes} min"
    hours, minutes = divmod(minutes, 60)
    if hours < 48:
        return f"{hours} h {minutes} min" if minutes else f"{hours} h"
    days, hours = divmod(round(time_s / 3600), 24)
    return f"{days} d {hours} h" if hours else f"{days} d"


def _say_moment(mixed: datetime, after_s: float) -> tuple[str, datetime]:
    """Return a time of day, with its day when it is another one than the mixing's."""
    try:
        moment = (mixed.astimezone(UTC) + timedelta(seconds=after_s)).astimezone()
    except (OverflowError, ValueError):
        raise ShopError(
            f"mixed-at and air lead past the end of the calendar ({say_duration(after_s)} after mixing)"
        ) from None
    shown = _to_minute(moment)
    return shown.strftime("%H:%M" if shown.date() == mixed.date() else "%a %Y-%m-%d %H:%M"), moment


def _to_minute(moment: datetime) -> datetime:
    return (moment + timedelta(seconds=30)).replace(second=0, microsecond=0)


def _notices(adhesive: _Adhesive, record: Sequence[tuple[float, float]], mixed_K: float) -> list[str]:
    floor, ceiling = adhesive.rule.floor_K, adhesive.rule.ceiling_K
    if mixed_K > ceiling:
        raise ShopError(
            f"air at mixing is {mixed_K - 273.15:.0f} °C, over the ceiling of {ceiling - 273.15:.0f} "
            "°C: the cup would "
            "run away, and no rule holds; mix cooler"
        )
    notices = []
    cold = min(air_K for _, air_K in record)
    if cold < floor:
        notices.append(
            f"{cold - 273.15:.0f} °C is below the floor of {floor - 273.15:.0f} °C: it does not cure "
            "there, and that "
            "time does not count. Warm the work."
        )
    if max(air_K for _, air_K in record) > ceiling:
        notices.append(
            f"Above {ceiling - 273.15:.0f} °C the rule is not known to hold; that time is counted as at "
            f"{ceiling - 273.15:.0f} °C. For a warm cure go by the label."
        )
    return notices


def _night(mark: _Mark, opens: datetime, shuts: datetime) -> str | None:
    """Return a notice when a window that must not be missed lies wholly in the night."""
    awake = [
        opens + timedelta(minutes=15 * step) for step in range(int((shuts - opens).total_seconds() / 900) + 1)
    ]
    if all(moment.hour >= 22 or moment.hour < 6 for moment in awake[:200]):
        return (
            f"{mark.says or mark.id} is open from {_to_minute(opens):%a %H:%M} to "
            f"{_to_minute(shuts):%a %H:%M}, in the night. "
            f"Late: {mark.late}"
        )
    return None


def _cure(given: Given) -> Answer:
    if given.now is None:
        raise ShopError("the present time is not known; give mixed-at with its date")
    adhesive = read_adhesive(
        find_adhesive(given.stores["adhesives"].get("adhesive", ()), given.word("store"))
    )
    record = read_air(given.word("air"))
    mixed = read_mixed_at(given.word("mixed-at"), given.now)
    notices = [
        *_notices(adhesive, record, record[0][1]),
        *(f"{adhesive.title}: {say}" for say in adhesive.says),
    ]
    found: dict[str, float | str] = {"mixed": mixed.strftime("%a %Y-%m-%d %H:%M")}
    if record[0][1] >= adhesive.rule.floor_K:
        found["factor"] = 1 / cure.rate(record[0][1], adhesive.rule)
    working = _working(adhesive, record)
    never = f"not while it stays below {adhesive.rule.floor_K - 273.15:.0f} °C"
    times = cure.marks_scaled(
        [(mark.opens_s, mark.shuts_s) for mark in adhesive.marks], record, adhesive.rule
    )
    for mark, (opens_s, shuts_s) in zip(adhesive.marks, times, strict=True):
        moments = []
        ends = [("opens", opens_s)] + ([] if mark.shuts_s is None else [("shuts", shuts_s)])
        for end, after_s in ends:
            if after_s is None:
                found[f"{end} {mark.id}"] = never
                continue
            found[f"{end} {mark.id}"], moment = _say_moment(mixed, after_s)
            found[f"{end}-after {mark.id}"] = after_s
            moments.append(moment)
        found[f"window {mark.says or mark.id}"] = _window(found, mark.id)
        if len(moments) == 2 and mark.late:
            night = _night(mark, *moments)
            notices += [night] if night else []
    return Answer(found, tuple(notices), tuple(working), ("the joint is as warm as the air",))


def _window(found: Mapping[str, float | str], mark_id: str) -> str:
    """Return a mark's window in words: "22:51 to 02:51, 9 h 22 min to 13 h 23 min after mixing"."""
    ends = [f"{end} {mark_id}" for end in ("opens", "shuts")]
    moments = " to ".join(dict.fromkeys(str(found[end]) for end in ends if end in found))
    after = [found.get(end.replace(" ", "-after ", 1)) for end in ends]
    lengths = " to ".join(say_duration(one) for one in after if isinstance(one, float))
    return f"{moments}, {lengths} after mixing" if lengths else moments


def _working(adhesive: _Adhesive, record: Sequence[tuple[float, float]]) -> list[str]:
    """Return each temperature's factor by the rule, and beside it the literature's."""
    rule = adhesive.rule
    lines = []
    for since_s, air_K in record:
        start = "" if len(record) == 1 else f"from {say_duration(since_s)}: "
        speed = cure.rate(air_K, rule)
        if speed == 0:
            lines.append(f"{start}{air_K - 273.15:.1f} °C is below the floor: nothing ages")
            continue
        slow, fast = (1 / cure.arrhenius(air_K, rule.reference_K, energy) for energy in (55e3, 60e3))
        lines.append(
            f"{start}{_rule_in_words(rule, air_K)} = ×{1 / speed:.2f} on the label's times "
            f"(by 55 to 60 kJ/mol ×{slow:.2f} to ×{fast:.2f})"
        )
    return lines


def _rule_in_words(rule: cure.CureRule, air_K: float) -> str:
    """Return the rule with a temperature's numbers put in."""
    if rule.activation_J_per_mol is None:
        return f"2^(({rule.reference_K - 273.15:g} − {air_K - 273.15:.1f}) / {rule.halving_K:g})"
    return (
        f"exp({rule.activation_J_per_mol:.0f} / 8.314 × "
        f"(1/{min(air_K, rule.ceiling_K):.2f} − 1/{rule.reference_K:.2f}))"
    )


CURE = Calculator(
    name="cure",
    title="Cure",
    purpose="When each mark of a glue opens and shuts in the shop's air, before it is mixed",
    fields=(
        Field("store", "word", "which adhesive of the store", default="slow", alike=True),
        Field(
            "air",
            "text",
            "the shop's temperature, or a list of time since mixing and temperature from then on: "
            "0 h 20 °C; 6 h 10 °C",
            fills_from=("air",),
        ),
        Field(
            "mixed-at",
            "text",
            "when it was or will be mixed: 09:00, or 2026-01-31 09:00; now when empty",
            optional=True,
        ),
    ),
    results=(
        Result("mixed", "text", "when it was mixed"),
        Result("factor", "number", "by how much the label's times are stretched at the mixing", "", 2),
        Result("window", "text", "window:", family=True),
        Result("opens", "text", "opens:", family=True, data_only=True),
        Result("shuts", "text", "shuts:", family=True, data_only=True),
        Result("opens-after", "time", "opens after mixing:", "min", 0, family=True, data_only=True),
        Result("shuts-after", "time", "shuts after mixing:", "min", 0, family=True, data_only=True),
    ),
    work=_cure,
    sources=(RULE, ENERGY, AGE, FLOOR, MARKS),
    valid="From the adhesive's floor (10 to 13 °C) to its ceiling (about 40 °C); 8 to 15 g in a cup, a "
    "thin film is slower",
    example=Example(
        given={"store": "slow", "air": "12 °C", "mixed-at": "2026-01-31 09:00"},
        found={"factor": 2.102},
        source=Source(
            "By hand: exp(52000/8.314 × (1/285.15 − 1/295.15)) = exp(0.7431) = 2.102 against a 22 °C label",
            "computed",
        ),
    ),
    stores=("adhesives",),
    cautions=(
        "The marks are typical; the label's own times, and its full cure, decide. Press the witness "
        "blob before "
        "you trust a clock.",
        "A large batch in one cup heats itself and sets sooner; it can smoke and burn. Nitrile gloves, "
        "fresh air.",
    ),
    needs_now=True,
)

CALCULATORS: tuple[Calculator, ...] = (CURE,)
