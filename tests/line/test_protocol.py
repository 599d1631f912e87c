from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from station.line import own
from station.line.outcome import Measured, Refused
from station.line.protocol import LEARNED_AFTER, STRANGER_AFTER, Answer, Answers, Decoder

GOOD = own.write(21.5, 100.0)


def values(results):
    return [r.celsius for r in results if isinstance(r, Measured)]


def kinds(results):
    return [r.kind for r in results if isinstance(r, Refused)]


@given(st.binary(max_size=400))
def test_any_bytes_leave_the_next_good_line_whole(junk):
    decoder = Decoder()
    decoder.feed(junk + b"\n", 0)
    assert values(decoder.feed(GOOD, 1)) == [21.5]


PIECES = [GOOD, b"Temp: 21.4 C\r\n", b"\xff\x00\n", b'{"a":', b"nan\n", b"21,5;3\n"]


@given(st.lists(st.sampled_from(PIECES), max_size=12), st.integers(1, 7))
def test_where_a_read_ends_changes_nothing(pieces, size):
    data = b"".join(pieces) + b"\n"
    whole, split = Decoder(), Decoder()
    at_once = whole.feed(data, 0)
    in_bits = [r for i in range(0, len(data), size) for r in split.feed(data[i : i + size], 0)]
    assert in_bits == at_once


@given(st.text(alphabet="0123456789.,;:= -+TtempCF°%[]{}\"'\x00ÿ", max_size=120))
@settings(max_examples=400)
def test_every_line_with_a_character_comes_back(text):
    results = Decoder().feed(text.encode() + b"\n", 0)
    assert bool(results) == bool(text.strip())


@given(st.integers(0, len(GOOD) - 2), st.integers(0, 255))
def test_one_damaged_byte_never_changes_the_value(position, byte):
    damaged = bytearray(GOOD)
    damaged[position] = byte
    assert set(values(Decoder().feed(bytes(damaged), 0))) <= {21.5}


@given(st.floats(-55, 125), st.floats(0, 5e6))
def test_own_line_comes_back_as_written(celsius, uptime_s):
    assume(abs(celsius - 85.0) > 0.01)  # that is what a chip says after power-on
    (result,) = Decoder().feed(own.write(celsius, uptime_s, sensor="28aabbccddeeff00"), 0)
    assert result.celsius == pytest.approx(celsius, abs=5e-5)
    assert result.uptime_s == pytest.approx(uptime_s, abs=5.1e-4)


def test_checksum_vs_published_check_value():
    """CRC-16 with start 0xFFFF of "123456789" is 29B1 (catalogue check value of the polynomial 0x1021)."""
    assert own.checksum(b"123456789") == "29B1"


def test_nmea_checksum_vs_published_sentence():
    """``$PSRF103,00,01,00,01*25``: an NMEA 0183 sentence printed in receiver manuals."""
    from station.line.formats import nmea_checksum

    assert nmea_checksum("PSRF103,00,01,00,01") == "25"


def test_a_fault_told_by_the_probe_is_kept_with_its_words():
    (result,) = Decoder().feed(own.write_words("fault: crc", 12.0), 0)
    assert (result.kind, "crc" in result.reason) == ("fault", True)


def test_the_pieces_of_an_own_line_are_no_lines_of_a_sketch():
    assert values(Decoder().feed(GOOD[:-4] + b"\r18C\n", 0)) == []


def test_noise_without_end_of_line_before_an_own_line_loses_nothing():
    assert values(Decoder().feed(b"\xff\xfe3.4[{" + GOOD, 0)) == [21.5]


def test_a_power_on_value_is_a_temperature_only_next_to_its_like():
    decoder = Decoder(mid_line=False)
    assert kinds(decoder.feed(b"85.00\n", 0)) == ["fault"]
    assert values(decoder.feed(b"84.1\n", 0)) == []  # 84 without unit may be Fahrenheit
    decoder = Decoder(mid_line=False)
    assert values(decoder.feed(b"T: 84.1 C\nT: 85.00 C\n", 0)) == [84.1, 85.0]
    assert kinds(decoder.feed(b"T: 20.0 C\nT: 85.00 C\n", 0)) == ["fault"]


def test_twenty_five_is_believed_once_another_value_was_near():
    decoder = Decoder(mid_line=False)
    assert kinds(decoder.feed(b"25.00\n25.00\n", 0)) == ["question", "question"]
    assert values(decoder.feed(b"24.94\n25.00\n", 0)) == [24.94, 25.0]


def test_a_long_line_is_refused_and_the_next_is_read():
    results = Decoder().feed(b"9" * 5000 + b"\n" + GOOD, 0)
    assert kinds(results) == ["unreadable"]
    assert values(results) == [21.5]


class TestLearning:
    def test_says_how_the_port_speaks(self):
        decoder = Decoder()
        decoder.feed(b"Temp: 20.1 C\n" * (LEARNED_AFTER - 1), 0)
        assert decoder.speaks == ""
        decoder.feed(b"Temp: 20.1 C\n", 0)
        assert decoder.speaks == "a value with its name or unit"

    def test_another_device_is_noticed_and_nothing_of_it_is_taken(self):
        decoder = Decoder()
        decoder.feed(GOOD * LEARNED_AFTER, 0)
        results = decoder.feed(b"Temp: 55.0 C\n" * STRANGER_AFTER, 0)
        assert set(kinds(results)) == {"other device"}
        assert decoder.other_device
        decoder.feed(GOOD, 0)
        assert not decoder.other_device

    def test_an_own_line_is_believed_whatever_was_learned(self):
        decoder = Decoder()
        decoder.feed(b"Temp: 20.1 C\n" * LEARNED_AFTER, 0)
        assert values(decoder.feed(GOOD + b"Temp: 20.1 C\n", 0)) == [21.5]

    def test_greetings_and_torn_lines_are_no_stranger(self):
        decoder = Decoder()
        decoder.feed(GOOD * LEARNED_AFTER, 0)
        decoder.feed(b"rst:0x1 boot\n" * 30 + GOOD[20:] * 30, 0)
        assert not decoder.other_device

    def test_a_reopened_port_may_speak_differently(self):
        decoder = Decoder()
        decoder.feed(GOOD * LEARNED_AFTER, 0)
        decoder.reopened()
        assert values(decoder.feed(b"Temp: 20.1 C\n", 0)) == [20.1]


class TestAnswers:
    def test_several_numbers_are_asked_once_and_the_answer_is_kept(self):
        asking = Decoder(mid_line=False)
        assert kinds(asking.feed(b"45.1,23.4\n", 0)) == ["question"]
        assert [c.name for c in asking.question.candidates] == ["column 1", "column 2"]
        answers = Answers({asking.question.shape: Answer({"column 2": ""})})
        assert values(Decoder(answers, mid_line=False).feed(b"44.0,23.5\n46,-3.1\n", 0)) == [23.5, -3.1]

    def test_whole_numbers_that_lose_their_comma_keep_the_shape(self):
        asking = Decoder(mid_line=False)
        asking.feed(b"29;29;28,5;29,5;29\r\n", 0)
        answers = Answers({asking.question.shape: Answer({"column 3": "", "column 1": "roof"})})
        results = Decoder(answers, mid_line=False).feed(b" 31,0 ; 31,5 ; 32 ; 32,0 ; 31,0 \r\n", 0)
        assert [(r.sensor, r.celsius) for r in results] == [("roof", 31.0), ("", 32.0)]

    def test_a_question_ends_with_the_next_value(self):
        decoder = Decoder(mid_line=False)
        decoder.feed(b"Temp: 70.1\n", 0)
        assert "Fahrenheit" in decoder.question.text
        decoder.feed(b"Temp: 20.1\n", 0)
        assert decoder.question is None

    def test_unit_can_be_stated(self):
        asking = Decoder(mid_line=False)
        asking.feed(b"2344\n", 0)
        answers = Answers({asking.question.shape: Answer({"column 1": ""}, "hundredths")})
        assert values(Decoder(answers, mid_line=False).feed(b"2344\n-150\n", 0)) == [23.44, -1.5]

    def test_a_second_sensor_is_not_mixed_in(self):
        decoder = Decoder()
        one, two = own.write(20.0, 1, "28" + "a" * 14), own.write(3.0, 1, "28" + "b" * 14)
        results = decoder.feed(one + two + one, 0)
        assert values(results) == [20.0, 20.0]
        assert kinds(results) == ["question"]
        told = Decoder(Answers(sensors={"28" + "b" * 14: "open", "28" + "a" * 14: ""}))
        assert [r.sensor for r in told.feed(one + two, 0)] == ["", "open"]
        alone = Decoder(Answers(sensors={"28" + "b" * 14: ""}))
        assert values(alone.feed(one + two, 0)) == [3.0]

    def test_an_answered_shape_still_tells_its_sensors_apart(self):
        asking = Decoder()
        asking.feed(b"28" + b"a" * 14 + b": inside 21.5\n", 0)
        answers = Answers({asking.question.shape: Answer({asking.question.candidates[0].name: ""})})
        line = b"28%s: inside 21.5\n"
        decoder = Decoder(answers)
        assert values(decoder.feed(line % (b"a" * 14) + line % (b"b" * 14), 0)) == [21.5]
        assert list(decoder.sensors.values()) == [21.5, 21.5]

    def test_answers_survive_the_book(self):
        answers = Answers({"shape": Answer({"column 2": "", "column 3": "roof"}, "fahrenheit")}, {"28aa": ""})
        assert Answers.from_plain(json.loads(json.dumps(answers.plain()))) == answers
        assert Answers.from_plain(None) == Answers()


@pytest.mark.parametrize(("celsius", "kind"), [(85.0, "fault"), (-127.0, "fault"), (200.0, "fault")])
def test_codes_are_no_temperatures_with_a_checksum_either(celsius, kind):
    assert kinds(Decoder().feed(own.write(celsius, 1.0), 0)) == [kind]


def test_both_units_must_agree():
    assert kinds(Decoder().feed(b"Temp C: 23.44 Temp F: 47.19\n", 0)) == ["unreadable"]
    assert values(Decoder().feed(b"Temp C: 23 Temp F: 74\n", 0)) == [23.0]


def test_real_capture_if_present():
    """A public issue thread's capture: 27 lines, four of them a disconnected sensor."""
    data = os.environ.get("STATION_OPEN_DATA", Path(__file__).parents[3] / "shared" / "data")
    path = Path(data) / "capture_issue198.txt"
    if not path.exists():
        pytest.skip("the open data folder is not here")
    results = Decoder(mid_line=False).feed(path.read_bytes() + b"\n", 0)
    assert len(values(results)) == 23
    assert kinds(results) == ["fault"] * 4
