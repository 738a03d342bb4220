"""The drawer's air: when the shop's own damp settles on a cold blade."""

from __future__ import annotations

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.trade import air

PRESSURE = Source("Sonntag 1990, vapour pressure over water and over ice", "published")
STANDARD = Source("ISO 8502-4 and its users: steel at least 3 °C above the dew point", "secondary")
HUMIDITY = Source("Bare steel rusts from about 60 to 65 % humidity, fast above 80 %", "common practice")

SAFE_MARGIN_K = 3.0
DAMP, WET = 0.60, 0.80


def _risk(margin_K: float, at_steel: float, settles: str) -> str:
    if margin_K <= 0:
        return f"wet: {settles} settles on the steel now; dry it, warm it and oil it"
    if margin_K < SAFE_MARGIN_K:
        return f"high: less than 3 °C above the {settles} point; warm the steel before it is left bare"
    if at_steel >= WET:
        return "high: damp enough at the steel to rust overnight; oil it"
    if at_steel >= DAMP:
        return "raised: bare steel will rust within days; oil or wax what waits"
    return "low: dry enough for bare steel, fingerprints aside"


def _dew(given: Given) -> Answer:
    air_K, humidity = given.number("air"), given.number("humidity")
    dew_K, frost_K = air.dew_point(air_K, humidity), air.frost_point(air_K, humidity)
    steel = given.maybe("steel")
    steel_K = air_K if steel is None else steel
    settles_K = dew_K if frost_K is None else frost_K
    at_steel = air.surface_humidity(air_K, humidity, steel_K)
    found: dict[str, float | str] = {
        "dew-point": dew_K,
        **({} if frost_K is None else {"frost-point": frost_K}),
        "margin": steel_K - settles_K,
        "humidity-at-steel": min(at_steel, 1.0),
        "rust-risk": _risk(steel_K - settles_K, at_steel, "dew" if frost_K is None else "frost"),
    }
    t, dew_C, steel_C, settles_C = (each - air.ZERO_C_K for each in (air_K, dew_K, steel_K, settles_K))
    working = [
        f"g = ln({humidity:.3f}) + 17.62·{t:.1f}/(243.12 + {t:.1f})",
        f"dew point = 243.12·g/(17.62 − g) = {dew_C:.2f} °C",
    ]
    cautions = []
    if frost_K is not None:
        working.append(f"over ice: frost point = {frost_K - air.ZERO_C_K:.2f} °C")
        cautions.append("below 0 °C frost comes before dew: the margin is measured to the frost point")
    working.append(f"margin = {steel_C:.1f} − {settles_C:.1f} °C = {steel_C - settles_C:.1f} °C")
    assumed = ("the steel is as warm as the air",) if steel is None else ()
    return Answer(found, cautions=tuple(cautions), working=tuple(working), assumed=assumed)


DEW_POINT = Calculator(
    name="dew-point",
    title="Will damp settle on the steel",
    purpose="Whether a cold blade, anvil or vise will sweat in this air, and how near it is",
    fields=(
        Field(
            "air",
            "temperature",
            "temperature of the air",
            unit="°C",
            hard=("-45 °C", "60 °C"),
            likely=("-5 °C", "45 °C"),
            fills_from=("air",),
        ),
        Field(
            "humidity",
            "humidity",
            "relative humidity of the air",
            unit="%",
            hard=("1 %", "100 %"),
            likely=("10 %", "95 %"),
            fills_from=("humidity",),
        ),
        Field(
            "steel",
            "temperature",
            "temperature of the steel, when it is not the air's",
            unit="°C",
            optional=True,
            hard=("-45 °C", "60 °C"),
            likely=("-10 °C", "45 °C"),
        ),
    ),
    results=(
        Result("dew-point", "temperature", "below this, dew settles", unit="°C", digits=1),
        Result("frost-point", "temperature", "below this, frost settles", unit="°C", digits=1),
        Result("margin", "temperature step", "how far the steel is above it", unit="°C", digits=1),
        Result("humidity-at-steel", "humidity", "humidity of the air at the steel", unit="%", digits=0),
        Result("rust-risk", "text", "what that means for bare steel"),
    ),
    work=_dew,
    sources=(PRESSURE, STANDARD, HUMIDITY),
    valid="air and steel from -45 to 60 °C; humidity as a hygrometer reads it (over water)",
    example=Example(
        given={"air": "20 °C", "humidity": "50 %", "steel": "8 °C"},
        found={"dew-point": 9.27, "margin": -1.27},
        source=Source(
            "Handbook psychrometric relations at 101.325 kPa: 20 °C, 50 % gives 9.27 °C", "computed"
        ),
        within=0.1,
    ),
    cautions=("a blade in paper or tape rusts at less: damp is held against it",),
)

CALCULATORS: tuple[Calculator, ...] = (DEW_POINT,)
