"""Lengths: read exactly from what a person writes, shown to the step, and back again."""

from __future__ import annotations

import time
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.lengths import (
    ACCEPTED,
    LONGEST_TEXT,
    NotALength,
    Shown,
    exact_text,
    millimetres,
    read_decimal,
    read_length,
    said,
    show,
    show_length,
    shown_exactly,
)

INCH = Fraction(127, 5)  # mm, by definition: international yard and pound agreement, 1959


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        # the forms of the contract
        ("96", Fraction(96)),
        ("96 in", Fraction(96)),
        ('96"', Fraction(96)),
        ("8 ft", Fraction(96)),
        ("8'", Fraction(96)),
        ("5' 6 1/2\"", Fraction(133, 2)),
        ("2 7/8", Fraction(23, 8)),
        ("2-7/8", Fraction(23, 8)),
        ("23/32", Fraction(23, 32)),
        ("0.72 in", Fraction(18, 25)),
        ("18 mm", 18 / INCH),
        ("2440mm", 2440 / INCH),
        ("24.4 cm", 244 / INCH),
        ("1.2 m", 1200 / INCH),
        # as other keyboards and word processors write them
        ("5' 6\"", Fraction(66)),
        ("5'-6\"", Fraction(66)),
        ("5'6\"", Fraction(66)),
        ("5'6 1/2\"", Fraction(133, 2)),
        ("5'-6-1/2\"", Fraction(133, 2)),
        ("5 ft 6 in", Fraction(66)),
        ("5 feet 6 1/2 inches", Fraction(133, 2)),
        ("5′ 6½″", Fraction(133, 2)),
        ("5’ 6 1⁄2”", Fraction(133, 2)),
        ("5′ 0″", Fraction(60)),
        ("2½", Fraction(5, 2)),
        ("2 ½", Fraction(5, 2)),
        ("½", Fraction(1, 2)),
        ("⅞ in", Fraction(7, 8)),
        ("2⅞“", Fraction(23, 8)),
        ("2 7⁄8", Fraction(23, 8)),
        ("2–7/8", Fraction(23, 8)),
        ("2\u00a07/8\u202fin", Fraction(23, 8)),
        (" 2  7 / 8 ", Fraction(23, 8)),
        ("96''", Fraction(96)),
        ("4 1/2 ft", Fraction(54)),
        (".5", Fraction(1, 2)),
        ("96 IN", Fraction(96)),
        ("1 inch", Fraction(1)),
        ("5/4", Fraction(5, 4)),
        ("0", Fraction(0)),
        ("0.123456789", Fraction(123456789, 10**9)),
        ("1.50000000000000000", Fraction(3, 2)),
    ],
)
def test_reads_text(text: str, inches: Fraction) -> None:
    assert read_length(text, "in") == inches
    bare = not any(sign.isalpha() or sign in "'\"′″’”“" for sign in text.replace("½", "").replace("⅞", ""))
    assert read_length(text, "mm") == (inches if bare else inches * INCH)


@pytest.mark.parametrize(
    ("number", "length"),
    [
        (0.1, Fraction(1, 10)),
        (0.72, Fraction(18, 25)),
        (86, Fraction(86)),
        (1e2, Fraction(100)),
        (1e-5, Fraction(1, 100_000)),
        (-0.0, Fraction(0)),
        (Decimal("0.71875"), Fraction(23, 32)),
        (Decimal("1E+2"), Fraction(100)),
        (Decimal("0E+999999"), Fraction(0)),
        (Decimal("2.500000000000"), Fraction(5, 2)),
    ],
)
def test_reads_numbers_by_their_decimal_text(number: float | Decimal, length: Fraction) -> None:
    assert read_length(number, "mm") == length


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("three", "'three' is not a length"),
        ("3,5", "comma"),
        ("1,000", "comma"),
        ("1/0", "divides by zero"),
        ("2 1/0", "divides by zero"),
        ("-2", "negative"),
        ("−2", "negative"),
        ("- 2 1/2", "negative"),
        ("nan", "not a length"),
        ("inf", "not a length"),
        ("1e999", "not a length"),
        ("1e2", "not a length"),
        ("", "empty"),
        (" \u00a0", "empty"),
        ("\n", "not a length"),
        ("2\n7/8", "not a length"),
        ("+2", "not a length"),
        ("1_000", "not a length"),
        ("0x10", "not a length"),
        ("٣", "not a length"),
        ("２", "not a length"),
        ("½½", "not a length"),
        ("1½/2", "not a length"),
        ("5.", "not a length"),
        ("5' 6", "not a length"),
        ("8' in", "not a length"),
        ("m", "not a length"),
        ("5 kg", "not a length"),
        ("2 9/8", "fraction of 1 or more"),
        ("5' 12\"", "12 or more inches"),
        ("1/10001", "too fine"),
        ("1.1234567891", "9 decimals"),
        ("9" * 61, "too long a text"),
        ("39371", "at most 1,000,000 mm"),
        ("1000.1 m", "at most 1,000,000 mm"),
        (True, "true is not a length"),
        (-1, "negative"),
        (-0.5, "negative"),
        (float("nan"), "can be measured"),
        (float("inf"), "can be measured"),
        (Decimal("1E+999999999"), "too large"),
        (Decimal("1E-999999999"), "9 decimals"),
        (Decimal("1." + "0" * 100 + "1"), "9 decimals"),
        (0.1 + 0.2, "9 decimals"),
        (10**50, "too large"),
    ],
)
def test_refuses_the_rest_and_says_what_is_accepted(value: str | float | Decimal, words: str) -> None:
    with pytest.raises(NotALength, match=words) as caught:
        read_length(value, "in")
    assert caught.value.accepted
    assert str(caught.value) == f"{caught.value.reason}; accepted: {caught.value.accepted}"
    assert str(caught.value).isprintable()


def test_refuses_what_is_neither_text_nor_number() -> None:
    for value in (None, [48], {"in": 48}, object()):
        with pytest.raises(NotALength, match="is not a length"):
            read_length(value, "in")  # type: ignore[arg-type]


def test_zero_is_refused_where_a_length_must_be_positive() -> None:
    assert read_length("0 in", "mm") == 0
    for zero in (0, 0.0, "0", "0/5", "0 mm"):
        with pytest.raises(NotALength, match="greater than 0"):
            read_length(zero, "mm", zero=False)


def test_every_form_that_is_advertised_is_accepted() -> None:
    forms = ACCEPTED.partition("such as ")[2].split(", ")
    assert len(forms) == 11
    for form in forms:
        assert read_length(form, "in") > 0


def test_hostile_text_is_refused_at_once() -> None:
    """It takes half a millisecond of the processor; a reader that goes back over the text would take hours."""
    start = time.process_time()
    for text in ("1 " * 500_000, "1-" * 29, " " * 59 + "x", "1 / " * 15, "9" * 1_000_000):
        with pytest.raises(NotALength):
            read_length(text, "in")
    assert time.process_time() - start < 5


@pytest.mark.parametrize(
    ("value", "unit", "step", "shown"),
    [
        (Fraction(175, 32), "in", Fraction(1, 32), Shown("5 15/32", exact=True)),
        (Fraction(73, 32), "in", Fraction(1, 32), Shown("2 9/32", exact=True)),
        (Fraction(96), "in", Fraction(1, 32), Shown("96", exact=True)),
        (Fraction(1, 2), "in", Fraction(1, 32), Shown("1/2", exact=True)),
        (Fraction(0), "in", Fraction(1, 32), Shown("0", exact=True)),
        (Fraction(1, 100), "in", Fraction(1, 32), Shown("0", exact=False)),
        (Fraction(1, 64), "in", Fraction(1, 32), Shown("1/32", exact=False)),
        (Fraction(127, 128), "in", Fraction(1, 32), Shown("1", exact=False)),
        (18 / INCH, "in", Fraction(1, 32), Shown("23/32", exact=False)),  # the usual name of 18 mm ply
        (Fraction(-1, 4), "in", Fraction(1, 16), Shown("-1/4", exact=True)),
        (Fraction(-1, 100), "in", Fraction(1, 16), Shown("0", exact=False)),
        (Fraction(37, 10), "in", Fraction(1, 10), Shown("3 7/10", exact=True)),
        (Fraction(37, 2), "mm", Fraction(1, 2), Shown("18.5", exact=True)),
        (Fraction(2440), "mm", Fraction(1, 2), Shown("2440", exact=True)),
        (Fraction(1825, 100), "mm", Fraction(1, 2), Shown("18.3", exact=False)),
        (Fraction(18, 1000), "mm", Fraction(1, 2), Shown("0", exact=False)),
        (Fraction(999_999_9, 10), "mm", Fraction(1, 2), Shown("999999.9", exact=True)),
    ],
)
def test_shows(value: Fraction, unit: str, step: Fraction, shown: Shown) -> None:
    assert show(value, unit, step) == shown  # type: ignore[arg-type]
    assert show_length(value, unit, step) == str(shown)  # type: ignore[arg-type]
    assert shown_exactly(value, unit, step) is shown.exact  # type: ignore[arg-type]


def test_a_step_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="greater than 0"):
        show(Fraction(1), "in", Fraction(0))


@given(st.integers(0, 96 * 128), st.sampled_from([Fraction(1, n) for n in (1, 2, 8, 10, 16, 32, 64, 128)]))
def test_what_lies_on_the_step_is_shown_exactly_and_read_back(steps: int, step: Fraction) -> None:
    value = steps * step
    assert shown_exactly(value, "in", step)
    assert read_length(show_length(value, "in", step), "in") == value


@given(st.integers(0, 50_000))
def test_tenths_of_a_millimetre_are_read_back(tenths: int) -> None:
    assert read_length(show_length(Fraction(tenths, 10), "mm", Fraction(1, 2)), "mm") == Fraction(tenths, 10)


@given(
    st.fractions(0, 100, max_denominator=5000), st.sampled_from([Fraction(1, 16), Fraction(1, 32), Fraction(1, 100)])
)
def test_is_shown_to_the_nearest_step(value: Fraction, step: Fraction) -> None:
    shown = read_length(show_length(value, "in", step), "in")
    assert abs(shown - value) <= step / 2
    assert (shown == value) is shown_exactly(value, "in", step)


_DECIMALS = st.decimals(0, 300, allow_nan=False, places=9).map(lambda number: f"{number:f}")
_MIXED = st.tuples(st.integers(0, 99), st.integers(2, 10_000)).flatmap(
    lambda pair: st.integers(0, pair[1] - 1).map(lambda over: f"{pair[0]} {over}/{pair[1]}")
)
_FEET = st.tuples(st.integers(0, 90), st.integers(0, 11), st.integers(0, 31)).map("{0[0]}' {0[1]} {0[2]}/32\"".format)
_WRITTEN = (
    st.tuples(_DECIMALS | _MIXED, st.sampled_from(["", " in", '"', " ft", "'", "mm", " cm", " m"])).map("".join) | _FEET
)


@given(_WRITTEN, st.sampled_from(["in", "mm"]))
def test_whatever_can_be_read_can_be_written_exactly(text: str, unit: str) -> None:
    length = read_length(text, unit)  # type: ignore[arg-type]
    assert read_length(exact_text(length, unit), unit) == length  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (Fraction(175, 32), "in", "5 15/32"),
        (Fraction(18, 25), "in", "0.72"),
        (Fraction(1, 3), "in", "1/3"),
        (Fraction(37, 2), "mm", "18.5"),
        (INCH / 32, "mm", "0.79375"),
        (Fraction("17.123456789") / INCH, "in", "17.123456789 mm"),
        (INCH / 9999, "mm", "1/9999 in"),
        (Fraction(96), "in", "96"),
    ],
)
def test_writes_exactly(value: Fraction, unit: str, text: str) -> None:
    assert exact_text(value, unit) == text  # type: ignore[arg-type]
    assert read_length(text, unit) == value  # type: ignore[arg-type]


def test_a_length_that_a_tangent_brought_in_has_no_exact_text() -> None:
    with pytest.raises(ValueError, match="has no exact text"):
        exact_text(Fraction(1414213562373095, 10**15), "in")


def test_millimetres() -> None:
    assert millimetres(Fraction(96), "in") == Fraction("2438.4")
    assert millimetres(Fraction(96), "mm") == 96


def test_decimals_are_refused_below_zero() -> None:
    with pytest.raises(NotALength, match="is negative; accepted: 0 or more"):
        read_decimal(Decimal("-0.1"))


@given(st.text(st.characters(codec=None)))
def test_any_text_is_read_or_refused_and_can_be_said(text: str) -> None:
    assert said(text).isprintable()
    assert len(said(text)) <= 600
    length: Fraction | None = None
    try:
        length = read_length(text, "in")
    except NotALength as error:
        assert error.reason.isprintable()  # noqa: PT017
        return
    assert length >= 0
    assert len(text) <= LONGEST_TEXT


def test_says_kinds_of_values() -> None:
    assert said(set()) == "a value of the kind set"
    assert said((1, 2)) == "a list"
    assert said(10**50) == "a number of more than 40 digits"
    with pytest.raises(NotALength, match="a number of more than 40 digits is too large"):
        read_length(10**5000, "in")
