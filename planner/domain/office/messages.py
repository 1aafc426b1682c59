"""Messages to a client, ready to copy: the firm's own texts with the client's name and days filled in.

In: a job, its days, the texts. Out: `Message`s. No code of a job, no other client, no price enters one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from string import Formatter

from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Job
from planner.errors import BadInput

#: What a text may hold in braces.
FIELDS = ("name", "firm", "first", "finish", "lead", "time", "what", "part")
#: The texts of visits; the others are an install's, "on_the_way" is both's.
OF_VISITS, OF_BOTH = ("visit", "visit_moved"), ("on_the_way",)
#: A message is at most so long [characters].
LONGEST = 1000
#: A first word that is no first name.
_NO_NAME = {"the", "mr", "mr.", "mrs", "mrs.", "ms", "ms.", "dr", "dr.", "family"}


@dataclass(frozen=True, slots=True)
class MessageText:
    """One text of the firm. key: names it; words: when it is sent; text: with its fields in braces."""

    key: str
    words: str
    text: str


@dataclass(frozen=True, slots=True)
class Message:
    """A message that is ready. phone: the client's digits, "" when none is on record."""

    key: str
    words: str
    text: str
    phone: str


def checked(text: MessageText, where: str = "") -> MessageText:
    """The text itself; BadInput when it is empty, too long, or holds a field that is not filled."""
    try:
        fields = {name for _, name, spec, how in Formatter().parse(text.text) if name is not None}
        plain = all(not spec and not how for _, name, spec, how in Formatter().parse(text.text) if name)
    except ValueError as fault:
        raise BadInput(
            text.key, text.text[:40], f"{fault}: write a field like {{name}}", where=where
        ) from None
    unknown = sorted(fields - set(FIELDS))
    if unknown or not plain:
        known = ", ".join(f"{{{name}}}" for name in FIELDS)
        raise BadInput(text.key, f"{{{unknown[0] if unknown else '...'}}}", f"use {known}", where=where)
    if not text.text.strip() or len(text.text) > LONGEST:
        raise BadInput(text.key, text.text[:40], f"write 1 to {LONGEST} characters", where=where)
    return text


def first_name(client: str) -> str:
    """How a message greets: the first of two plain words, else the whole name.

    >>> first_name("Ida Moss"), first_name("Lund"), first_name("Mr. and Mrs. Hale"), first_name("Fern & Sons")
    ('Ida', 'Lund', 'Mr. and Mrs. Hale', 'Fern & Sons')
    """
    words = client.split()
    plain = len(words) in (2, 3) and words[0].lower() not in _NO_NAME and all(_is_name(w) for w in words)
    return words[0] if plain else " ".join(words)


def _is_name(word: str) -> bool:
    return word.replace("-", "").replace("'", "").replace(".", "").isalpha() and word.lower() != "and"


def message(
    text: MessageText, job: Job, firm: Firm, days: tuple[date, date] | None, lead: str = ""
) -> Message:
    """One text filled in. days: first day of work and the day of water in, None when no plan has them."""
    first, finish = (_day(d) for d in days) if days else ("(not planned yet)", "(not planned yet)")
    filled: Mapping[str, str] = {
        "name": first_name(job.client),
        "firm": firm.name,
        "first": first,
        "finish": finish,
        "lead": lead or "our crew",
        "what": job.visit.value if job.visit is not None else "work",
        "part": job.day_part.words,
        "time": f"{firm.shift_start:%I:%M %p}".lstrip("0"),
    }
    phone = "".join(c for c in job.phone if c.isdigit() or c == "+")
    return Message(text.key, text.words, text.text.format(**filled), phone)


def for_job(texts: Sequence[MessageText], job: Job) -> list[MessageText]:
    """The texts that a client of such a job may get."""
    visit = job.visit is not None
    return [t for t in texts if t.key in OF_BOTH or (t.key in OF_VISITS) is visit]


def for_news(texts: Sequence[MessageText], job: Job, *, known: bool, rain: bool) -> MessageText:
    """The text for a client whose days are new to him. known: he was told other days; rain: it moved them."""
    if job.visit is not None:
        return next(t for t in texts if t.key == OF_VISITS[known])
    key = "first" if not known else "rain" if rain else "moved"
    return next(t for t in texts if t.key == key)


def _day(day: date) -> str:
    """ "Monday, May 3": for a reader who is no planner."""
    return f"{day:%A, %B} {day.day}"
