"""Plan by form: again, with the order kept, or afresh, with all that can be said; old drafts away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from planner.domain.firm import entry
from planner.domain.standing.even_if import EvenIf
from planner.errors import BadInput
from planner.web.desk import Go, Visit
from planner.web.work import Stopped, Tell

if TYPE_CHECKING:
    from planner.flow.season.plans import Progress

#: What the form of a plan and that of old drafts begin with.
DEFAULTS = {"seconds": 5.0, "even_ifs": tuple(one.value for one in EvenIf), "keep": 20, "days": 30}


def make(visit: Visit) -> Go:
    """Begin to plan: again from the published plan, with its order kept, or afresh."""
    from planner.flow.season.limits import check_search, check_steps
    from planner.flow.season.plans import make_plan, plan_heads
    from planner.flow.season.replan import replan
    from planner.report.season.changes import calls_words
    from planner.report.season.expected import expected_words
    from planner.report.season.plans import gap_words, progress_line

    told = any(head.published_at for head in plan_heads(visit.location))
    how = (visit.typed("how") if told else "") or ("again" if told else "afresh")
    seconds = entry.number("seconds", visit.typed("seconds") or f"{DEFAULTS['seconds']:g}")
    seed, cores = (entry.whole(name, visit.typed(name) or "1") for name in ("seed", "cores"))
    steps = entry.whole("steps", visit.typed("steps")) if visit.typed("steps").strip() else None
    slack = entry.whole("days in hand", visit.typed("slack") or "0")
    note = visit.typed("note").strip()
    check_search(seconds, seed, note, least=0 if how == "afresh" else 1e-3, dash="")
    check_steps(steps, cores, dash="")
    even_if = [entry.choice("even if", str(word), EvenIf) for word in visit.form.getlist("even_if")]
    yes = {name: visit.typed(name) == "yes" for name in ("promises_first", "on_paper", "fewest_calls")}
    location, now = visit.location, visit.now
    if how != "afresh":
        _only_afresh(yes, steps, cores)
    elif yes["fewest_calls"]:
        raise BadInput("fewest calls", "afresh", "choose to plan again: only a repair can disturb less")

    def work(tell: Tell, stopped: Stopped) -> Go:
        def far(now_at: Progress) -> None:
            late, saved = now_at.late_jobs, now_at.improvement
            line = progress_line(now_at.stage, now_at.best_cents, late, saved, now_at.elapsed_s)
            tell(line + gap_words(now_at.best_cents, now_at.bound_cents))

        if how == "afresh":
            made = make_plan(
                *(location, now),
                seconds=seconds,
                steps=steps,
                cores=cores,
                seed=seed,
                note=note,
                slack_days=slack,
                promises_first=yes["promises_first"],
                expected=True,
                on_paper=yes["on_paper"],
                even_if=even_if,
                on_progress=far,
                stop=stopped,
            )
            words = f": {expected_words(made.aimed.expected).rstrip('.')}" if made.aimed else ""
            return _kept(made.plan.number, words)
        again = replan(
            *(location, now),
            seconds=0.0 if how == "order" else seconds,
            seed=seed,
            note=note,
            slack_days=slack,
            even_if=even_if,
            fewest_calls=yes["fewest_calls"],
            on_progress=far,
            stop=stopped,
        )
        return _kept(again.plan.number, f": {calls_words(again.found)}")

    visit.desk.work.begin("planning the season", visit.who, work, "the best plan so far")
    return Go("/work")


def _only_afresh(yes: dict[str, bool], steps: int | None, cores: int) -> None:
    """Refuse what a plan made again does not know, instead of leaving it out unsaid."""
    asked = [name for name in ("promises_first", "on_paper") if yes[name]]
    asked += ["steps"] if steps is not None else []
    asked += ["cores"] if cores != 1 else []
    if asked:
        fix = "choose to plan afresh, or leave it out: a plan made again keeps to the published one"
        raise BadInput(asked[0].replace("_", " "), "with a plan made again", fix)


def _kept(number: int, what: str) -> Go:
    return Go(f"/plan?number={number}", f"saved as draft {number}{what}; nothing is published yet")


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
    ("/plan/thin", thin, True),
)
