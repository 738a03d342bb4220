"""Outside text that is printed can neither move the cursor, hide, nor turn the writing round."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.showable import showable

# The characters by which the Unicode Bidirectional Algorithm (UAX #9, section 2) is steered.
BIDI = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("5/32 in", "5/32 in"),
        ("Wüstenholz 12 µm × 3½″ − 70 °F", "Wüstenholz 12 µm × 3½″ − 70 °F"),
        ("黒檀", "黒檀"),
        ("\x1b[31mred", "␛[31mred"),
        ("a\x00b\tc\nd\re", "a␀b␉c␊d␍e"),
        ("\x7f", "␡"),
        ("\x9b31m", "‹009B›31m"),
        ("abc\u202edcba", "abc‹202E›dcba"),
        ("a\u200bb\ufeffc\u00add", "a‹200B›b‹FEFF›c‹00AD›d"),
        ("a\u2028b\u2029c", "a‹2028›b‹2029›c"),
        ("\ue000\U000f0000", "‹E000›‹F0000›"),
        ("\ud800", "‹D800›"),
        ("\U000e0041", "‹E0041›"),
        ("a\ufe0fb", "a‹FE0F›b"),
        ("a\u3164b", "a‹3164›b"),
        ("a\u00a0b\u3000c", "a b c"),
        ("", ""),
    ],
)
def test_shown(text: str, shown: str) -> None:
    assert showable(text) == shown


def test_line_feeds_stay_where_lines_are_wanted() -> None:
    assert showable("a\nb\r\nc", lines=True) == "a\nb␍\nc"


def test_a_long_text_is_cut_with_an_ellipsis() -> None:
    assert showable("x" * 200) == "x" * 200
    assert showable("x" * 201) == "x" * 199 + "…"
    assert showable("abcdef", 5) == "abcd…"
    assert showable("abcde", 5) == "abcde"
    assert showable("ab", 1) == "…"
    assert showable("a", 1) == "a"


def test_a_stand_in_is_never_cut_in_two() -> None:
    assert showable("ab\u202ecd", 7) == "ab…"
    assert showable("ab\u202e", 8) == "ab‹202E›"
    assert showable("\u202e", 3) == "…"


def test_a_limit_of_nothing_is_a_mistake() -> None:
    with pytest.raises(ValueError, match="at least 1"):
        showable("a", 0)


@given(st.text(max_size=300), st.integers(1, 250), st.booleans())
def test_whatever_comes_is_safe_and_short(text: str, limit: int, lines: bool) -> None:
    shown = showable(text, limit, lines)
    assert len(shown) <= limit
    bare = shown.replace("\n", "") if lines else shown
    assert bare.isprintable()
    assert not set(bare) & set(BIDI)
    assert all(unicodedata.category(c) not in {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"} for c in bare)
    shown.encode("utf-8")


@given(st.characters(codec=None))
def test_every_single_character_shows_as_something(letter: str) -> None:
    shown = showable(letter)
    assert shown
    assert shown.isprintable()


@given(st.text(max_size=100))
def test_what_is_safe_stays_as_it_is(text: str) -> None:
    once = showable(text, 10_000)
    assert showable(once, 10_000) == once


@given(st.text(alphabet=st.characters(categories=("L", "N", "P", "S"), codec="latin-1"), max_size=150))
def test_plain_letters_and_signs_are_not_touched(text: str) -> None:
    assert showable(text) == text


def test_a_megabyte_costs_no_more_than_its_beginning() -> None:
    assert showable("\u202e" * 1_000_000, 40) == "‹202E›" * 6 + "…"
