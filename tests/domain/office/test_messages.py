"""Messages to a client: his name, his days, no code; a text with a field that is not filled is refused."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Job
from planner.domain.firm.visits import DayPart, VisitKind
from planner.domain.office.messages import (
    FIELDS,
    MessageText,
    checked,
    first_name,
    for_job,
    for_news,
    message,
)
from planner.errors import BadInput
from planner.store.shipped.messages import message_texts

JOB = Job("P-014", "Ida Moss", phone="(614) 555-0114")
FIRM = Firm(name="Alder Ponds")
DAYS = (date(2027, 5, 3), date(2027, 5, 7))


@pytest.mark.parametrize("text", message_texts(), ids=lambda t: t.key)
def test_every_shipped_text_fills_and_holds_no_inside_word(text: MessageText) -> None:
    made = message(text, JOB, FIRM, DAYS, "Ada Marsh")
    assert "{" not in made.text
    assert made.phone == "6145550114"
    for word in ("P-014", "Moss", "pinned", "draft", "crew-h", "P80", "plan 1"):
        assert word not in made.text
    assert "Ida" in made.text
    assert len(made.text) <= 480, "three text messages of 160 characters at most"


def test_days_read_like_an_invitation() -> None:
    (moved,) = (t for t in message_texts() if t.key == "moved")
    text = message(moved, JOB, FIRM, DAYS).text
    assert "Monday, May 3" in text
    assert "Friday, May 7" in text


@pytest.mark.parametrize(
    ("client", "greeted"),
    [
        ("Ida Moss", "Ida"),
        ("Lund", "Lund"),
        ("Mary-Ann O'Neil", "Mary-Ann"),
        ("Dr. Reed", "Dr. Reed"),
        ("The Garden Club", "The Garden Club"),
        ("Fern & Sons", "Fern & Sons"),
        ("Ann and Bo Hale", "Ann and Bo Hale"),
    ],
)
def test_a_client_is_greeted_by_the_first_name_where_there_is_one(client: str, greeted: str) -> None:
    assert first_name(client) == greeted


@pytest.mark.parametrize(
    "text", ["{price}", "{name", "{name!r}", "{name:>9999999}", "", "x" * 1001, "{name.x}"]
)
def test_a_text_that_cannot_be_filled_is_refused(text: str) -> None:
    with pytest.raises(BadInput) as fault:
        checked(MessageText("moved", "moved", text), "messages.toml")
    assert "messages.toml" in str(fault.value)


def test_the_firms_own_text_takes_the_place_of_the_shipped_one(tmp_path: Path) -> None:
    own = '[[message]]\nkey = "moved"\nwords = "new days"\ntext = "Dear {name}: {first}"\n'
    (tmp_path / "messages.toml").write_text(own, "utf-8")
    texts = {t.key: t for t in message_texts(tmp_path)}
    assert message(texts["moved"], JOB, FIRM, DAYS).text == "Dear Ida: Monday, May 3"
    assert len(texts) == len(message_texts())
    (tmp_path / "messages.toml").write_text('[[message]]\nkey = "moved"\n', "utf-8")
    with pytest.raises(BadInput):
        message_texts(tmp_path)


def test_the_text_follows_what_the_client_knows() -> None:
    texts = message_texts()
    assert for_news(texts, JOB, known=False, rain=True).key == "first"
    assert for_news(texts, JOB, known=True, rain=True).key == "rain"
    assert for_news(texts, JOB, known=True, rain=False).key == "moved"


def test_a_visit_has_texts_of_its_own_without_water_coming_in() -> None:
    leak = replace(JOB, visit=VisitKind.LEAK_SEARCH, day_part=DayPart.MORNING)
    texts = message_texts()
    assert [for_news(texts, leak, known=known, rain=True).key for known in (False, True)] == [
        "visit",
        "visit_moved",
    ]
    made = message(for_news(texts, leak, known=False, rain=False), leak, FIRM, DAYS).text
    assert "for the leak search on Monday, May 3 in the morning" in made and "water in" not in made
    mine, theirs = ({t.key for t in for_job(texts, job)} for job in (leak, JOB))
    assert mine == {"visit", "visit_moved", "on_the_way"} and mine & theirs == {"on_the_way"}


def test_a_name_with_braces_stays_a_name() -> None:
    (text,) = (t for t in message_texts() if t.key == "on_the_way")
    made = message(text, replace(JOB, client="{firm}"), FIRM, None)
    assert "{firm}" in made.text
    assert set(FIELDS)
