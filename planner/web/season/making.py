"""Plan by form: again, with the order kept, or afresh, with all that can be said; old drafts away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from planner.domain.firm import entry
from planner.domain.standing.even_if import EvenIf
from planner.errors import BadInput
from planner.web.desk import Go, Page, Visit
from planner.web.work import Stopped, Tell

if TYPE_CHECKING:
    from planner.flow.season.plans import Progress
    from planner.flow.season.replan import Repair

#: What may be left aside, and how the forms call it.
EVEN_IFS = {one.value: one.value for one in EvenIf} | {
    EvenIf.TOLD.value: "the days that stay as told",
    EvenIf.RENTAL.value: "time to order a rental",
}
#: What the form of a plan and that of old drafts begin with.
DEFAULTS = {"seconds": 5.0, "even_ifs": EVEN_IFS, "keep": 20, "days": 30}


@dataclass(frozen=True, slots=True)
class Asked:
    """How a plan is asked for. how: again, order or afresh; seconds, steps, cores: of the search; slack: days
    in hand; repair: its number in the list; the rest as
    `flow.season.plans.make_plan` and `flow.season.replan.replan` have them.
    """

    how: str
    seconds: float
    steps: int | None
    cores: int
    seed: int
    slack: int
    note: str
    even_if: list[EvenIf]
    promises_first: bool
    on_paper: bool
    fewest_calls: bool
    repair: int | None


def make(visit: Visit) -> Go:
    """Begin to plan: again from the published plan, with its order kept, or afresh."""
    from planner.flow.season.plans import make_plan
    from planner.flow.season.replan import replan
    from planner.report.season.changes import calls_words, disturbance_words
    from planner.report.season.expected import expected_words
    from planner.report.season.plans import gap_words, progress_line

    asked, location, now = _asked(visit), visit.location, visit.now

    def work(tell: Tell, stopped: Stopped) -> Go:
        def far(now_at: Progress) -> None:
            late, saved = now_at.late_jobs, now_at.improvement
            line = progress_line(now_at.stage, now_at.best_cents, late, saved, now_at.elapsed_s)
            tell(line + gap_words(now_at.best_cents, now_at.bound_cents))

        alike: dict[str, Any] = {
            **{"seed": asked.seed, "note": asked.note, "slack_days": asked.slack},
            **{"even_if": asked.even_if, "on_progress": far, "stop": stopped},
        }
        if asked.how == "afresh":
            made = make_plan(
                *(location, now),
                seconds=asked.seconds,
                steps=asked.steps,
                cores=asked.cores,
                promises_first=asked.promises_first,
                expected=True,
                on_paper=asked.on_paper,
                **alike,
            )
            words = f": {expected_words(made.aimed.expected).rstrip('.')}" if made.aimed else ""
            return _kept(made.plan.number, words + _grown(made.grown))
        seconds = 0.0 if asked.how == "order" else asked.seconds
        number = 1 if asked.fewest_calls else asked.repair
        again = replan(location, now, seconds=seconds, number=number, **alike)
        words = calls_words(again.found)
        if again.taken is not None:
            words = f"repair {again.taken}: {disturbance_words(again.disturbs)}; {words}"
        return _kept(again.plan.number, f": {words}{_grown(again.grown)}")

    visit.desk.work.begin("planning the season", visit.who, work, "the best plan so far")
    return Go("/work")


def _asked(visit: Visit) -> Asked:
    """The form as it was typed; BadInput for what makes no sense or what the way chosen does not know."""
    from planner.flow.season.limits import check_search, check_steps
    from planner.flow.season.plans import plan_heads

    told = any(head.published_at for head in plan_heads(visit.location))
    yes = {name: visit.typed(name) == "yes" for name in ("promises_first", "on_paper", "fewest_calls")}
    asked = Asked(
        how=(visit.typed("how") if told else "") or ("again" if told else "afresh"),
        seconds=entry.number("seconds", visit.typed("seconds") or f"{DEFAULTS['seconds']:g}"),
        steps=entry.whole("steps", visit.typed("steps")) if visit.typed("steps").strip() else None,
        cores=entry.whole("cores", visit.typed("cores") or "1"),
        seed=entry.whole("seed", visit.typed("seed") or "1"),
        slack=entry.whole("days in hand", visit.typed("slack") or "0"),
        note=visit.typed("note").strip(),
        even_if=_even_if(visit),
        repair=entry.whole("repair", visit.typed("repair")) if visit.typed("repair").strip() else None,
        **yes,
    )
    least = 0 if asked.how == "afresh" else 1e-3
    check_search(asked.seconds, asked.seed, asked.note, least=least, dash="")
    check_steps(asked.steps, asked.cores, dash="")
    _known_to(asked)
    if asked.repair is not None:
        most = len(_repairs(visit, asked.even_if))
        if not 1 <= asked.repair <= most:
            raise BadInput("repair", asked.repair, f"choose 1 to {most}: look at the repairs again")
    return asked


def _even_if(visit: Visit) -> list[EvenIf]:
    return [entry.choice("even if", word, EvenIf) for word in visit.ticked("even_if")]


def _known_to(asked: Asked) -> None:
    """Refuse what the way chosen does not know, instead of leaving it out unsaid."""
    if asked.how == "afresh":
        if asked.fewest_calls:
            raise BadInput("fewest calls", "afresh", "choose to plan again: only a repair can disturb less")
        if asked.repair is not None:
            raise BadInput("repair", "afresh", "choose to plan again: a plan made afresh takes no repair")
        return
    if asked.fewest_calls and asked.repair not in (None, 1):
        raise BadInput("repair", asked.repair, "the fewest calls are repair 1: leave one of the two out")
    odd = {
        "promises first": asked.promises_first,
        "on paper": asked.on_paper,
        "steps": asked.steps is not None,
        "cores": asked.cores != 1,
    }
    if name := next((name for name, said in odd.items() if said), ""):
        fix = "choose to plan afresh, or leave it out: a plan made again keeps to the published one"
        raise BadInput(name, "with a plan made again", fix)


def _grown(made: Sequence[str]) -> str:
    """Which visits kept rules made for the plan."""
    from planner.report.season.visits import grown_lines

    return "".join(f"; {line}" for line in grown_lines(made))


def _kept(number: int, what: str) -> Go:
    return Go(f"/plan?number={number}", f"saved as draft {number}{what}; nothing is published yet")


def repairs(visit: Visit) -> Page:
    """The repairs that have room, the least disturbing first, each with its button; nothing is saved yet."""
    from planner.report.season.changes import disturbance_words

    aside = _even_if(visit)
    found = [(disturbance_words(one.disturbs), one.words) for one in _repairs(visit, aside)]
    view = {"repairs": found, "even_ifs": EVEN_IFS, "aside": [one.value for one in aside]}
    return Page("season/repairs.html", view)


def _repairs(visit: Visit, even_if: Sequence[EvenIf]) -> tuple[Repair, ...]:
    from planner.flow.season.replan import repairs_now

    key = ("repairs", tuple(one.value for one in even_if))
    return visit.desk.once(key, lambda: repairs_now(visit.location, visit.now, even_if))


def thin(visit: Visit) -> Go:
    """Remove old drafts for good, when the box says that it is meant."""
    from planner.flow.season.limits import check_thin
    from planner.flow.season.plans import thin_plans
    from planner.report.season.plans import thinned_words

    keep = entry.whole("keep", visit.typed("keep") or str(DEFAULTS["keep"]))
    days = entry.whole("days", visit.typed("days") or str(DEFAULTS["days"]))
    check_thin(keep, days)
    if visit.typed("sure") != "yes":
        raise BadInput("sure", "not ticked", "tick the box: a draft that is removed does not come back")
    gone = thin_plans(visit.location, visit.now, visit.who, keep=keep, days=days)
    return Go("/plan", thinned_words(gone))


#: (address, what answers, whether it writes)
PAGES = (
    ("/plan/make", make, True),
    ("/plan/repairs", repairs, False),
    ("/plan/thin", thin, True),
)
