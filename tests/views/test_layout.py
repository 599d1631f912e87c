import pytest

from station.views.layout import legible, table, wrapped


def test_columns_line_up_whatever_letters_a_name_has() -> None:
    lines = table(("team", "n"), [("Ahorn", "1"), ("楓", "20"), ("E\u0301rable", "3")])
    ends = [line.rindex(n) + len(n) for line, n in zip(lines[2:], ("1", "20", "3"), strict=True)]
    assert lines[0].split() == ["team", "n"]
    # a wide letter takes two columns and a combining accent none
    assert ends[1] == ends[0] - 1
    assert ends[2] == ends[0] + 1


def test_an_empty_last_column_is_left_out() -> None:
    assert table(("a", "noted"), [("x", ""), ("y", "")])[0] == "a"


def test_a_long_sentence_breaks_at_spaces_only() -> None:
    lines = wrapped("one 1.0\u202f°C two " * 20, 30)
    assert all(len(line) <= 30 for line in lines)
    assert not any(line.startswith("°C") for line in lines)


def test_a_name_can_not_steer_the_console() -> None:
    assert legible("\x1b[31mElm\x07\n", "utf-8") == "?[31mElm?\n"


@pytest.mark.parametrize(
    ("encoding", "expected"),
    [
        ("utf-8", "−1.5 °C ± 0.3 – 楓"),
        ("cp1252", "-1.5 °C ± 0.3 – ?"),
        ("ascii", "-1.5 degC +/- 0.3 - ?"),
        (None, "-1.5 degC +/- 0.3 - ?"),
        ("no-such-encoding", "-1.5 degC +/- 0.3 - ?"),
    ],
)
def test_a_poor_console_gets_words_it_can_show(encoding: str | None, expected: str) -> None:
    text = legible("−1.5\u202f°C ± 0.3 – 楓", encoding)
    assert text == expected


@pytest.mark.parametrize("encoding", ["utf-8", "cp1252", "ascii", "cp437"])
def test_words_to_say_keep_their_marks_on_any_console(encoding: str) -> None:
    text = legible("To say: “Let's look.”", encoding)
    text.encode(encoding)
    assert "?" not in text
