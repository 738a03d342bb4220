"""One part of a blade that two sides changed is one conflict; lists are united only where they are sets."""

from __future__ import annotations

import copy
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from workshop.shelf import entries, merge

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
Tables = dict[str, Any]


def at(minute: int) -> datetime:
    return NOW + timedelta(minutes=minute)


def log(*lines: tuple[int, str, str]) -> list[Tables]:
    return [{"at": at(minute), "did": did, "says": says} for minute, did, says in lines]


def slip(size: float | str, **more: Any) -> Tables:
    return {"id": "1", "calculator": "pin-drill", "at": NOW, "found": {"drill": [size, "mm"]}, **more}


def test_a_result_and_its_unit_are_one_value_and_not_a_set_of_words() -> None:
    one = {"slips": [slip("#20", taken={"pin": ["pin-hole", "4 mm"]})]}
    two = {"slips": [slip("#21", taken={"pin": ["pin-hole", "5 mm"]})]}
    for base in (None, {"slips": []}, {"slips": [slip("#19")]}):
        made, conflicts = merge.together(base, one, two)
        assert made["slips"] == one["slips"]
        assert [each.where() for each in conflicts] == ["slips 1 found drill"]
        for path, value in conflicts[0].places("second"):
            merge.put(made, path, value)
        assert made["slips"] == two["slips"], "the whole slip is that of the side that is taken"


def test_a_caution_is_no_word_of_a_set() -> None:
    made, conflicts = merge.together(
        {"slips": []}, {"slips": [slip(4.0, cautions=["mind"])]}, {"slips": [slip(4.0, cautions=["beware"])]}
    )
    assert len(conflicts) == 1
    assert made["slips"][0]["cautions"] == ["mind"]


def value(text: str, minute: int, **more: Any) -> Tables:
    return {"values": {"length": {"is": text, "kind": "length", "step": "A1", "at": at(minute), **more}}}


def test_a_value_changed_on_both_sides_is_one_row_and_nothing_of_it_is_mixed() -> None:
    one, two = value("157 mm", 1), value("401 mm", 2, why="for a giant")
    made, conflicts = merge.together(value("155 mm", 0), one, two)
    assert [each.says() for each in conflicts] == ["values length is: '157 mm' against '401 mm'"]
    assert made == one, "the other's reason does not stand beside this value"
    for path, part in conflicts[0].places("second"):
        merge.put(made, path, part)
    assert made == two


def test_the_same_value_written_down_on_both_sides_is_nothing_to_decide() -> None:
    for one, two in ((1, 2), (2, 1)):
        made, conflicts = merge.together(value("155 mm", 0), value("157 mm", one), value("157 mm", two))
        assert conflicts == []
        assert made == value("157 mm", 2)


def step(state: str, **more: Any) -> Tables:
    return {"steps": {"A1": {"state": state, "started": at(0), **more}}}


def test_a_step_s_state_is_one_row_and_its_times_follow_while_checks_unite() -> None:
    base = step("in hand", since=at(0))
    one = step("done", finished=at(9), rounds=1, checked=["one"])
    two = step("left out", finished=at(7), why="bought", checked=["two"])
    made, conflicts = merge.together(base, one, two)
    assert [each.says() for each in conflicts] == ["steps A1 state: 'done' against 'left out'"]
    assert made == step("done", finished=at(9), rounds=1, checked=["one", "two"])
    for path, part in conflicts[0].places("second"):
        merge.put(made, path, part)
    assert made == step("left out", finished=at(7), why="bought", checked=["one", "two"])


def test_a_step_done_on_both_sides_was_begun_at_the_earlier_moment_and_done_at_the_later() -> None:
    def done(began: int, finished: int) -> Tables:
        return {"steps": {"A1": {"state": "done", "started": at(began), "finished": at(finished)}}}

    made, conflicts = merge.together({}, done(3, 9), done(1, 7))
    assert conflicts == []
    assert made == done(1, 9)


CLOCK: Tables = {
    "id": "bedding-1",
    "clock": "bedding",
    "step": "H1",
    "started": NOW,
    "pace": 1.0,
    "marks": [{"id": "pull", "opens": at(60), "shuts": at(90)}, {"id": "full", "opens": at(900)}],
}


def clock(pace: float, late: int, **more: Any) -> Tables:
    made = {**copy.deepcopy(CLOCK), "pace": pace, **more}
    for one in made["marks"]:
        one["opens"] += timedelta(minutes=late)
    return {"clocks": [made]}


def test_a_clock_worked_out_from_two_airs_is_one_row_and_an_answered_mark_stays_answered() -> None:
    one, two = clock(1.2, 10, minds=["dust"]), clock(1.4, 20, minds=["oil"])
    two["clocks"][0]["marks"][0]["answered"] = at(80)
    for first, second in ((one, two), (two, one)):
        made, conflicts = merge.together(clock(1.0, 0), first, second)
        assert len(conflicts) == 1
        found = made["clocks"][0]
        assert found["pace"] == first["clocks"][0]["pace"]
        assert [mark["opens"] for mark in found["marks"]] == [m["opens"] for m in first["clocks"][0]["marks"]]
        assert found["marks"][0]["answered"] == at(80)
        assert set(found["minds"]) == {"dust", "oil"}


def test_runs_begun_under_one_number_both_stay_and_keep_their_clock() -> None:
    def side(minute: int) -> Tables:
        began = {"started": at(minute), "step": "H1"}
        return {
            "clocks": [{"id": "bedding-1", "clock": "bedding", **began}],
            "runs": [{"id": "H1-1", "clock": "bedding-1", "moves": [["home", at(minute)]], **began}],
        }

    made, conflicts = merge.together({}, side(1), side(2))
    assert conflicts == []
    assert [(one["id"], one["clock"]) for one in made["runs"]] == [
        ("H1-1", "bedding-1"),
        ("H1-2", "bedding-2"),
    ]
    for again in (side(1), side(2)):
        assert merge.together({}, made, again) == (made, []), "each is known again by when it was begun"
        assert merge.together({}, again, made)[1] == []
        assert len(merge.together({}, again, made)[0]["clocks"]) == 2


def test_time_by_hand_is_not_added_a_second_time() -> None:
    def side(seconds: int, *lines: tuple[int, str, str]) -> Tables:
        return {"steps": {"A1": {"state": "in hand", "by-hand-seconds": seconds}}, "log": log(*lines)}

    base = side(60, (0, "begin", "begun"))
    one, two = side(100, (0, "begin", "begun"), (1, "n", "a")), side(75, (0, "begin", "begun"), (2, "n", "b"))
    made, _ = merge.together(base, one, two)
    assert made["steps"]["A1"]["by-hand-seconds"] == 115
    assert merge.together(base, made, two) == (made, [])


def test_a_name_spelt_the_other_way_is_no_conflict_and_no_second_line() -> None:
    one = {"name": "H\u00e9ron", "log": log((0, "begin", "H\u00e9ron begun"))}
    two = {"name": "He\u0301ron", "log": log((0, "begin", "He\u0301ron begun"))}
    assert merge.together(None, one, two) == (one, [])
    assert not entries.same(one, two), "what is written is compared letter by letter"


@pytest.mark.parametrize("turned", [False, True])
def test_what_one_side_took_back_is_not_brought_back_by_the_other(turned: bool) -> None:
    wrote = {"at": at(1), "says": "Length: 157 mm", "gone": ["values/length"]}
    lines = ((0, "begin", "begun"), (1, "value", "Length: 157 mm"))
    older = {**value("157 mm", 1), "log": log(*lines), "back": [wrote]}
    newer = {"log": log(*lines, (2, "take back", "Taken back: Length: 157 mm"))}
    one, two = (newer, older) if turned else (older, newer)
    made, conflicts = merge.together(merge.common(one, two), one, two)
    assert conflicts == []
    assert not made.get("values")
    assert made["log"] == newer["log"]


def test_of_forty_ways_back_the_newest_of_both_stay() -> None:
    def side(start: int) -> Tables:
        return {"back": [{"at": at(start + 2 * n), "says": f"{start + 2 * n}"} for n in range(30)]}

    made, _ = merge.together({}, side(0), side(1))
    assert [one["says"] for one in made["back"]] == [str(n) for n in range(20, 60)]
