"""Counting the layers of a pattern-welded stack, and finding a way to a wanted count.

Two counts are kept. Nominal is trade talk: the start count times every restack. True is
what is in the bar: where two faces of like steel meet they become one layer.
"""

from __future__ import annotations

import math
import re
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from workshop.errors import ShopError

MOST_LAYERS = 10**9
"""Beyond this nobody counts; it also keeps a slip of the finger from running away."""
MOST_MOVES = 20
MOST_PIECES = 100
_LONGEST_TEXT = 120

How = Literal["stack", "turned", "fold"]


@dataclass(frozen=True, slots=True)
class Move:
    """One round: the bar cut and stacked, stacked with every second piece turned over, or folded."""

    how: How
    pieces: int

    def __str__(self) -> str:
        """Write the round the way `read_moves` reads it."""
        if self.how == "fold":
            return "f"
        return f"{self.pieces}t" if self.how == "turned" else str(self.pieces)


@dataclass(frozen=True, slots=True)
class Count:
    """Layers at one moment: trade-talk count, true count, and whether both outer faces are like steel."""

    nominal: int
    true: int
    ends_alike: bool


@dataclass(frozen=True, slots=True)
class Plan:
    """A way to a wanted count: the start stack, the rounds after it and what they give."""

    start: int
    moves: tuple[Move, ...]
    count: Count

    @property
    def welds(self) -> int:
        """Welding rounds, the first stack included."""
        return 1 + len(self.moves)


def read_moves(text: str) -> tuple[Move, ...]:
    """Read the rounds after the first weld: ``4x3``, ``f4``, ``4xf1``, ``4t`` (every second piece turned).

    Empty, ``0`` and ``none`` mean no round. Raises ShopError for anything else.
    """
    shown = text.strip()
    if shown.lower() in ("", "0", "none"):
        return ()
    if len(shown) > _LONGEST_TEXT:
        raise ShopError(f"repeats: {len(shown)} characters is too long; write the rounds like 4x3 or f4")
    moves: list[Move] = []
    for word in re.split(r"\s*[x×*,\s]\s*", shown.lower()):
        moves.extend(_read_round(word, shown))
    if len(moves) > MOST_MOVES:
        raise ShopError(f"repeats: '{shown}' is {len(moves)} rounds; at most {MOST_MOVES} can be counted")
    return tuple(moves)


def _read_round(word: str, shown: str) -> list[Move]:
    """Read one word of the rounds; a fold with a number is that many folds."""
    found = re.fullmatch(r"(f)(\d{0,3})|(\d{1,3})(t?)", word, flags=re.ASCII)
    if found is None:
        raise ShopError(
            f"repeats: '{shown}' is not a list of rounds; write 4x3 (cut and stacked by four, then by "
            "three), f4 (folded four times) or 4xf1"
        )
    if found[1]:
        folds = int(found[2]) if found[2] else 1
        if not 1 <= folds <= MOST_MOVES:
            raise ShopError(f"repeats: '{word}' is {folds} folds; give 1 to {MOST_MOVES}, like f4")
        return [Move("fold", 2)] * folds
    pieces = int(found[3])
    if not 2 <= pieces <= MOST_PIECES:
        raise ShopError(
            f"repeats: '{word}' cuts the bar into {pieces}; a restack takes 2 to {MOST_PIECES} pieces, like 4"
        )
    return [Move("turned" if found[4] else "stack", pieces)]


def write_moves(moves: Sequence[Move]) -> str:
    """Write the rounds the way `read_moves` reads them; "none" when there are none."""
    return "x".join(str(move) for move in moves) or "none"


def alternating_ends_alike(start: int) -> bool:
    """Tell whether a stack of two steels laid in turn has the same steel on both outer faces."""
    return start % 2 == 1


def after(count: Count, move: Move) -> Count:
    """Return the count after one round.

    k pieces make k·n layers, less one at each of the k − 1 welds where like steel meets
    like. That is every weld when both outer faces are alike, when every second piece is
    turned over, or when the bar is folded on itself; none when the ends differ.
    """
    k = move.pieces
    if move.how == "stack":
        merged, alike = (k - 1 if count.ends_alike else 0), count.ends_alike
    elif move.how == "turned":
        merged, alike = k - 1, count.ends_alike or k % 2 == 0
    else:
        merged, alike = k - 1, True
    return Count(k * count.nominal, k * count.true - merged, alike)


def count_layers(start: int, ends_alike: bool, moves: Sequence[Move]) -> tuple[Count, ...]:
    """Return the counts from the start stack on, one after each round.

    start: pieces in the first stack, at least 1. Raises ShopError when the count passes
    anything a bar can hold.
    """
    if start < 1:
        raise ShopError(f"start: {start} is not a stack; give the number of pieces, like 15")
    # One piece is the same steel on both faces, whatever is said of it.
    counts = [Count(start, start, ends_alike or start == 1)]
    for move in moves:
        counts.append(after(counts[-1], move))
        if counts[-1].nominal > MOST_LAYERS:
            raise ShopError(
                f"repeats: '{write_moves(moves)}' on {start} pieces passes {MOST_LAYERS:.0e} layers; "
                "give fewer rounds, like 4x3"
            )
    return tuple(counts)


def layer_thickness(thickness_m: float, layers: int) -> float:
    """Return the mean thickness of a layer in a bar of this thickness."""
    return thickness_m / layers


def shown_width(layer_m: float, bevel_rad: float) -> float:
    """Return how wide a layer shows on a bevel at this angle to the layers (above 0 to 90°)."""
    if not 0 < bevel_rad <= math.pi / 2:
        raise ShopError("bevel: the angle must be over 0° and at most 90°, like 3.2°")
    return layer_m / math.sin(bevel_rad)


def find_plans(
    starts: Sequence[tuple[int, bool]], target: int, welds: int, pieces: int, keep: int = 5
) -> tuple[Plan, ...]:
    """Return the best few ways to a wanted true count, nearest first.

    starts: each a start count and whether its outer faces are alike. welds: most welding
    rounds, the first stack included. pieces: most pieces in one restack. Among equally
    near ones fewer welds come first, then fewer pieces to cut, clean and stack. Of several
    ways to multiply by the same number in as many rounds only the one with fewest pieces
    is looked at.
    """
    tables = _restacks(welds - 1, pieces, 2 * target)
    found: list[Plan] = []
    for start, alike in dict.fromkeys(starts):
        first = count_layers(start, alike, ())[0]
        for moves in _ways(first, target, tables, keep):
            count = first
            for move in moves:
                count = after(count, move)
            found.append(Plan(start, moves, count))

    def worth(plan: Plan) -> tuple[int, int, int, int]:
        handled = sum(move.pieces for move in plan.moves)
        return abs(plan.count.true - target), plan.welds, handled, -plan.start

    return tuple(sorted(found, key=worth)[:keep])


Restacks = tuple[list[int], dict[int, tuple[Move, ...]]]
"""What so many restacks can multiply by, in order, and the restacks that do it."""


def _restacks(rounds: int, pieces: int, most: int) -> list[Restacks]:
    """Return, by number of rounds, each product of restacks up to `most` and the cheapest way to it."""
    ways: dict[int, tuple[int, ...]] = {1: ()}
    tables = []
    for done in range(rounds + 1):
        moves = {product: tuple(Move("stack", k) for k in way) for product, way in ways.items()}
        tables.append((sorted(ways), moves))
        if done == rounds:
            break
        longer: dict[int, tuple[int, ...]] = {}
        for product, way in ways.items():
            for k in range(2, min(pieces, most // product) + 1):
                better = tuple(sorted((*way, k), reverse=True))
                known = longer.get(product * k)
                if known is None or sum(better) < sum(known):
                    longer[product * k] = better
        ways = longer
    return tables


def _around(table: Restacks, wanted: float, keep: int) -> Iterator[tuple[int, tuple[Move, ...]]]:
    """Yield the few products on either side of the wanted one, with their restacks."""
    products, moves = table
    place = bisect_left(products, wanted)
    for product in products[max(0, place - keep) : place + keep]:
        yield product, moves[product]


def _ways(first: Count, target: int, tables: Sequence[Restacks], keep: int) -> Iterator[tuple[Move, ...]]:
    """Yield the rounds that come near a target from one start stack.

    With like ends every order of restacks by a product P gives (n − 1)·P + 1; with unlike
    ends n·P, and a fold after a product P makes the ends alike at 2·n·P − 1. A fold of like
    ends is a restack by two and is not looked at again.
    """
    if first.ends_alike:
        if first.true < 2:
            yield ()
            return
        for table in tables:
            for _, moves in _around(table, (target - 1) / (first.true - 1), keep):
                yield moves
        return
    for rounds, table in enumerate(tables):
        for _, moves in _around(table, target / first.true, keep):
            yield moves
        for product, moves in table[1].items():
            folded = 2 * first.true * product - 1
            for later in tables[: max(0, len(tables) - rounds - 1)]:
                for _, rest in _around(later, (target - 1) / (folded - 1), 1):
                    yield (*moves, Move("fold", 2), *rest)
