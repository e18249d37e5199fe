"""Texts that once were too much for sopc: each goes the whole way now, and is told of where it is wrong."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from sopc.language.folder import TextFolder
from tests.fuzz.__main__ import CHOICES, Chosen, texts_of
from tests.fuzz.offices import hosts
from tests.fuzz.pipeline import bounded, go_through

FOUND = sorted((Path(__file__).resolve().parent / "found").glob("*.sop"))


@pytest.mark.parametrize("path", FOUND, ids=lambda path: path.stem)
def test_what_was_found_once_is_no_fault_any_more(path: Path) -> None:
    with bounded():
        go_through(TextFolder({"office.sop": path.read_bytes().decode("utf-8", "replace")}))


def test_the_same_choices_make_the_same_office() -> None:
    many = [CHOICES + random.Random(number).randbytes(60) for number in range(12)]
    offices = [texts_of(choices) for choices in many]
    assert offices == [texts_of(choices) for choices in many]
    assert sum(office not in hosts() for office in offices) > 6
    assert all(set(office) in [set(host) for host in hosts()] for office in offices)


def test_choices_that_are_used_up_come_out_as_none() -> None:
    draw = Chosen(b"\x01\xff")
    assert [draw.getrandbits(8), draw.random(), draw.getrandbits(8), draw.randrange(100)] == [1, 255 / 65536, 0, 0]


def test_a_text_is_taken_as_it_stands() -> None:
    assert texts_of("role a “A”".encode()) == {"office.sop": "role a “A”"}
