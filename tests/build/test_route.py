"""The graph of a route: circles are found, what is spoilt is followed to its end."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from workshop.build.route import Phase, Route, Step, circle, spoiled_by

LETTERS = [f"A{n}" for n in range(8)]


def route_of(before: dict[str, set[str]] | None = None, spoils: dict[str, set[str]] | None = None) -> Route:
    steps = tuple(
        Step(
            one,
            "A",
            one,
            "",
            before=tuple(sorted((before or {}).get(one, set()))),
            spoils=tuple(sorted((spoils or {}).get(one, set()))),
        )
        for one in LETTERS
    )
    return Route("r", "R", "", "", (), (Phase("A", "A"),), steps)


graphs = st.dictionaries(st.sampled_from(LETTERS), st.sets(st.sampled_from(LETTERS)), max_size=8)


def reachable(graph: dict[str, set[str]], start: str) -> set[str]:
    """All places that can be reached in one or more moves, by simple repetition."""
    found = set(graph.get(start, set()))
    while True:
        more = found.union(*(graph.get(one, set()) for one in found)) if found else found
        if more == found:
            return found
        found = more


@given(graphs)
def test_a_circle_is_found_exactly_when_some_step_waits_for_itself(graph: dict[str, set[str]]) -> None:
    found = circle(route_of(before=graph))
    assert bool(found) == any(one in reachable(graph, one) for one in LETTERS)
    if found:
        assert found[0] == found[-1]
        assert all(after in graph[one] for one, after in pairwise(found))


@given(graphs, st.sampled_from(LETTERS))
def test_all_that_is_spoilt_is_found_in_route_order(graph: dict[str, set[str]], start: str) -> None:
    found = spoiled_by(route_of(spoils=graph), start)
    assert set(found) == reachable(graph, start) - {start}
    assert list(found) == sorted(found)
