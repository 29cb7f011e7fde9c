"""Words on a terminal: nothing a name holds can steer it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cli.terminal import heading, lively, name, plain, table, width


@given(st.text(max_size=60))
def test_plain_text_is_one_line_and_steers_nothing(text):
    shown = plain(text)
    assert shown.splitlines() in ([], [shown])
    assert not any(ord(sign) < 32 or 0x7F <= ord(sign) < 0xA0 or 0x202A <= ord(sign) <= 0x202E for sign in shown)
    shown.encode()  # no half of a surrogate pair


@pytest.mark.parametrize("text", ["shelf", "½ in × 2″", "[red]", "наличник", "棚板", "naïve"])
def test_plain_text_of_people_stays(text):
    assert plain(text) == name(text) == text


@pytest.mark.parametrize("text", ["מדף", "رف 12", "a ב"])
def test_right_to_left_names_keep_to_themselves(text):
    assert name(text) == f"\u2068{text}\u2069"


def test_tables_count_columns_not_characters():
    assert [width(text) for text in ("abc", "棚板", "e\u0301", "\u2068a\u2069")] == [3, 4, 1, 1]
    assert table([("棚板", "x"), ("a", "y")]) == ["棚板  x", "a     y"]
    assert table([]) == []


def test_headings_are_bold_on_a_terminal_alone(monkeypatch):
    assert heading("Buy") == "Buy"
    monkeypatch.setattr("cli.terminal.lively", lambda _stream: True)
    monkeypatch.delenv("NO_COLOR", raising=False)
    assert heading("Buy") == "\x1b[1mBuy\x1b[0m"
    monkeypatch.setenv("NO_COLOR", "1")
    assert heading("Buy") == "Buy"


def test_closed_stream_is_not_lively(tmp_path):
    stream = (tmp_path / "x").open("w")
    stream.close()
    assert not lively(stream)
