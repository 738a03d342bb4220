"""The drawer's handle section: how far round, against the hand it is for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.trade import handle

ELLIPSE = Source(
    "Way round an ellipse by the arithmetic-geometric mean, Abramowitz and Stegun 17.6", "published"
)
HANDS = Source("Palm to handle oval, girths of 85 to 110 mm, glove of 3 to 5 mm", "common practice")
GRIP = Source(
    "Journal of Hand Therapy 16 (2003) 337: firmest grip on a round of 33 mm, 104 mm girth", "secondary"
)
RATIO = Source("MATEC Web of Conferences 119 (2017) 01044: oval grips best at 1 to 1.25", "secondary")

ROWS = 10


@dataclass(frozen=True, slots=True)
class _Section:
    """A section with the formula it was worked by; `inside` takes across and down from the back, m."""

    girth_m: float
    area_m2: float
    formula: str
    inside: Callable[[float, float], bool]


def _oval(height: float, width: float, widest: float, egg: bool) -> _Section:
    girth = handle.egg_girth(height, width, widest)
    area = handle.ellipse_area(height, width)

    def inside(across: float, down: float) -> bool:
        middle = widest * height
        half = middle if down < middle else height - middle
        return (2 * across / width) ** 2 + ((down - middle) / half) ** 2 <= 1

    h, w = 1000 * height, 1000 * width
    if egg:
        back, front = 2 * widest * h, 2 * (1 - widest) * h
        formula = f"half the ellipse {back:.1f} × {w:.1f} and half of {front:.1f} × {w:.1f}"
    else:
        formula = f"P = 4a·E(e), a = {max(h, w) / 2:.2f} mm, b = {min(h, w) / 2:.2f} mm"
    return _Section(girth, area, f"{formula} = {1000 * girth:.2f} mm", inside)


def _octagon(height: float, width: float, corner: float | None) -> _Section:
    girth, area = handle.octagon(height, width, corner)
    high, wide = handle.octagon_corners(height, width, corner)

    def inside(across: float, down: float) -> bool:
        if abs(across) > width / 2 or not 0 <= down <= height:
            return False
        if not (high and wide):
            return True
        over = (width / 2 - abs(across)) / wide, min(down, height - down) / high
        return sum(over) >= 1

    h, w, a, b = (1000 * each for each in (height, width, high, wide))
    formula = f"2({h:.1f} − 2·{a:.2f}) + 2({w:.1f} − 2·{b:.2f}) + 4·√({a:.2f}² + {b:.2f}²)"
    return _Section(girth, area, f"{formula} = {1000 * girth:.2f} mm", inside)


def _rectangle(height: float, width: float, radius: float) -> _Section:
    girth, area = handle.rectangle(height, width, radius)

    def inside(across: float, down: float) -> bool:
        if abs(across) > width / 2 or not 0 <= down <= height:
            return False
        past = max(0.0, abs(across) - width / 2 + radius), max(0.0, radius - min(down, height - down))
        return past[0] ** 2 + past[1] ** 2 <= radius**2 or 0.0 in past

    h, w, r = (1000 * each for each in (height, width, radius))
    formula = f"2({h:.1f} + {w:.1f}) − (8 − 2π)·{r:.2f} = {1000 * girth:.2f} mm"
    return _Section(girth, area, formula, inside)


def _draw(height: float, width: float, section: _Section) -> tuple[str, ...]:
    """Draw the outline; a character is taken as twice as high as it is wide."""
    step = max(height / ROWS, width / 22)
    rows, columns = max(3, round(height / step)), max(4, round(2 * width / step))

    def filled(row: int, column: int) -> bool:
        return section.inside((column + 0.5 - columns / 2) * width / columns, (row + 0.5) * height / rows)

    def letter(row: int, column: int) -> str:
        if not filled(row, column):
            return " "
        beside = ((row - 1, column), (row + 1, column), (row, column - 1), (row, column + 1))
        return " " if all(0 <= r < rows and 0 <= c < columns and filled(r, c) for r, c in beside) else "#"

    lines = ["   " + "".join(letter(row, column) for column in range(columns)) for row in range(rows)]
    lines[0] = f"{lines[0]:<{columns + 6}}back"
    lines[rows // 2] = f"{lines[rows // 2]:<{columns + 6}}{1000 * height:.1f} high"
    lines[-1] = f"{lines[-1]:<{columns + 6}}edge side"
    return (*(line.rstrip() for line in lines), f"   {1000 * width:.1f} wide".rstrip())


def _advice(given: Given, girth_m: float) -> tuple[dict[str, float | str], list[str], list[str]]:
    """Return what is advised for the palm: found, working, cautions."""
    palm, glove = given.maybe("palm"), given.word("glove") or "none"
    if palm is None:
        return {}, [], []
    oval = handle.advised_oval(palm)
    if oval is None:
        return {}, [], [f"no oval is known for a palm of {1000 * palm:.0f} mm (75 to 98): try it in the hand"]
    plain = handle.ellipse_girth(*oval)
    advised = plain + handle.GLOVE_M[glove]
    high, wide, round_mm, more = (1000 * each for each in (*oval, plain, handle.GLOVE_M[glove]))
    working = [
        f"palm {1000 * palm:.0f} mm: oval {high:.0f} × {wide:.0f}, {round_mm:.1f} mm round",
        f"glove {glove}: {round_mm:.1f} + {more:.0f} = {1000 * advised:.1f} mm",
    ]
    cautions = []
    if not handle.GIRTHS_IN_USE_M[0] <= advised <= handle.GIRTHS_IN_USE_M[1]:
        cautions.append(
            "the table for palms goes below the usual 85 to 110 mm: two habits, let the hand decide"
        )
    return {"advised-girth": advised, "over-advised": girth_m - advised}, working, cautions


def _section(given: Given) -> Answer:
    height, width, form = given.number("height"), given.number("width"), given.word("form")
    if form == "octagon":
        section = _octagon(height, width, given.maybe("corner"))
    elif form == "rectangle":
        section = _rectangle(height, width, given.maybe("radius") or 0.0)
    else:
        widest = (given.maybe("widest") or 0.4) if form == "egg" else 0.5
        section = _oval(height, width, widest, form == "egg")
    advised, advice, cautions = _advice(given, section.girth_m)
    ratio = height / width
    least, most = handle.HEIGHT_TO_WIDTH
    if not least - 1e-9 <= ratio <= most + 1e-9:
        cautions.append(
            f"height is {ratio:.2f} of the width; usual is {least:g} to {most:g} (common practice)"
        )
    if not advised and not handle.GIRTHS_IN_USE_M[0] <= section.girth_m <= handle.GIRTHS_IN_USE_M[1]:
        cautions.append("outside the usual girths of 85 to 110 mm (common practice)")
    return Answer(
        {"girth": section.girth_m, "area": section.area_m2, "height-to-width": ratio, **advised},
        cautions=tuple(cautions),
        working=(section.formula, f"area = {1e6 * section.area_m2:.1f} mm²", *advice),
        figure=_draw(height, width, section),
    )


def _size(name: str, says: str, fills_from: tuple[str, ...]) -> Field:
    return Field(
        name,
        "length",
        says,
        unit="mm",
        hard=("1 mm", "200 mm"),
        likely=("12 mm", "50 mm"),
        fills_from=fills_from,
    )


HANDLE_SECTION = Calculator(
    name="handle-section",
    title="Handle section and the hand",
    purpose="How far round the handle is at one place, and whether that suits the palm",
    fields=(
        _size("height", "from the back to the edge side", ("handle-height",)),
        _size("width", "across", ("handle-width",)),
        Field(
            "form",
            "choice",
            "the section's form (rectangle: with rounded corners)",
            default="ellipse",
            choices=("ellipse", "egg", "octagon", "rectangle"),
        ),
        Field(
            "widest",
            "share",
            "egg: where it is widest, from the back",
            unit="%",
            default="40 %",
            hard=("5 %", "95 %"),
            likely=("30 %", "50 %"),
        ),
        Field(
            "corner",
            "length",
            "octagon: what a 45° corner takes off each face (empty: as in the regular one)",
            unit="mm",
            optional=True,
            hard=("0 mm", "100 mm"),
        ),
        Field(
            "radius", "length", "rectangle: its corners", unit="mm", default="4 mm", hard=("0 mm", "100 mm")
        ),
        Field(
            "palm",
            "length",
            "palm across the knuckles, thumb aside",
            unit="mm",
            optional=True,
            hard=("40 mm", "150 mm"),
            likely=("75 mm", "98 mm"),
            fills_from=("palm-width",),
        ),
        Field("glove", "choice", "worn when it is used", default="none", choices=("none", "thin", "thick")),
    ),
    results=(
        Result("girth", "length", "the way round", unit="mm", digits=1),
        Result("area", "area", "of the section", unit="mm²", digits=0),
        Result("height-to-width", "number", "how much higher than wide", digits=2),
        Result("advised-girth", "length", "for this palm and glove", unit="mm", digits=1),
        Result("over-advised", "length", "girth over the advised one (minus: under)", unit="mm", digits=1),
    ),
    work=_section,
    sources=(ELLIPSE, HANDS, GRIP, RATIO),
    valid="any size for girth and area; the advice for palms of 75 to 98 mm",
    example=Example(
        given={"height": "32 mm", "width": "24 mm", "palm": "95 mm", "glove": "thin"},
        found={"girth": 88.4, "advised-girth": 91.4, "over-advised": -3.0},
        source=Source("32 × 24 oval is 88.4 mm round; palms of 91 to 98 mm, glove + 3 mm", "common practice"),
        within=0.1,
    ),
)

CALCULATORS: tuple[Calculator, ...] = (HANDLE_SECTION,)
