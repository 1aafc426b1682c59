"""The door: the office's password, who is inside, sharing beyond this computer, leaving."""

from __future__ import annotations

from planner.errors import BadInput, PlannerError
from planner.web.desk import Go, Page, Visit
from planner.web.guard import from_here
from planner.web.keys import LONGEST, SHORTEST, digest_of, is_it

_DOOR = "the door is opened and closed at the office's own computer only"


def password(visit: Visit) -> Page:
    """The form of a new password."""
    from planner.flow.keeping.password import kept_digest

    held = bool(kept_digest(visit.location))
    asks = held and visit.session.outside
    return Page("keeping/password.html", {"held": held, "asks": asks, "shortest": SHORTEST})


def set_password(visit: Visit) -> Go:
    """Keep a new password; whoever came in by the old one must come in again."""
    from planner.flow.keeping.password import keep_digest, kept_digest

    held, new = kept_digest(visit.location), visit.typed("password")
    if held and visit.session.outside and not is_it(held, visit.typed("old")):
        raise BadInput("old password", "(not shown)", "it is not the present one")
    if not SHORTEST <= len(new) <= LONGEST:
        raise BadInput(
            "password", "(not shown)", f"choose {SHORTEST} to {LONGEST} characters, like four words"
        )
    if new != visit.typed("again"):
        raise BadInput("password", "(not shown)", "the two differ: type it again")
    keep_digest(visit.location, digest_of(new))
    gone = visit.desk.keys.end_others(visit.session)
    return Go("/firm", "the password is kept" + ("; everybody else must come in again" if gone else ""))


def all_out(visit: Visit) -> Go:
    """End every session but this one."""
    gone = visit.desk.keys.end_others(visit.session)
    return Go("/firm", f"{gone} other {'session' if gone == 1 else 'sessions'} ended")


def leave(visit: Visit) -> Page:
    """End this session."""
    visit.desk.keys.end(visit.session)
    return Page("frame/left.html", {})


def share(visit: Visit) -> Go:
    """Listen on the office network too; refused while no password is set."""
    from planner.flow.keeping.password import kept_digest

    must_be_here(visit, _DOOR)
    if not kept_digest(visit.location):
        return Go("/firm/password", "first set the office's password: then the office can be shared")
    begin = visit.desk.sharing.begin
    if begin is None:
        raise PlannerError("this server cannot be shared: start it by `planner open`")
    begin()
    return Go("/links", f"others now reach this office at {visit.desk.sharing.base}")


def share_no_more(visit: Visit) -> Go:
    """Listen on this computer only."""
    must_be_here(visit, _DOOR)
    if visit.desk.sharing.end is not None:
        visit.desk.sharing.end()
    return Go("/links", "only this computer reaches the office now")


def must_be_here(visit: Visit, why: str) -> None:
    """Refuse from beyond the office's own computer. why: what is done only here."""
    if visit.session.outside or not from_here(visit.request.scope):
        raise PlannerError(f"{why}: ask whoever sits there")


#: (address, what answers, whether it writes)
PAGES = (
    ("/firm/password", password, False),
    ("/firm/password/set", set_password, True),
    ("/firm/out", all_out, True),
    ("/leave", leave, True),
    ("/share", share, True),
    ("/share/end", share_no_more, True),
)
