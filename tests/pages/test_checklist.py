"""The checklists: shipped content against trade facts, fitting the job, faults of a firm's own file."""

import re
from dataclasses import replace
from hashlib import sha256
from itertools import pairwise
from pathlib import Path

import pytest

from planner.domain.jobs import Access, Job, Line, Soil
from planner.domain.lifting import Lift, team_limit_lb, weight_limit_lb
from planner.domain.phases import ORDER, Phase
from planner.domain.ready import ready, shelf_depths_in
from planner.domain.wording import fill_in, number, shown
from planner.errors import BadInput, BadInputs
from planner.store.shipped_checklists import checklist, read


def made(lists, phase, job, **more):
    more = {"part": 0, "first_day": True, "people": 3, "units": "us", **more}
    return ready(lists.phases[phase], job, **more)


def band(lists, phase, job, key, units="us"):
    (line,) = [n for n in made(lists, phase, job, units=units).lines if n.key == key]
    return line.wanted.low, line.wanted.high


@pytest.fixture
def pond(jobs) -> Job:
    return jobs["P-014"]


# Trade facts: common practice, no published source.
@pytest.mark.parametrize(
    ("phase", "key", "low", "high"),
    [
        (Phase.SET_FILTERS, "skimmer-seat", 16, 20),  # seat about 18 in deep
        (Phase.SET_FILTERS, "skimmer-water-line", 0.75, 1.5),  # about 1 in below the opening's top
        (Phase.SET_FILTERS, "fall-lean", 0.1, 0.4),  # about a quarter bubble
        (Phase.PLUMBING, "cut", 1, 2),  # 1.5 in inside the traced line
        (Phase.FILL, "water-line", 1.5, 3),  # 1.5 to 3 in below the rim
        (Phase.FILL, "trim", 5, 8),  # leaving about 6 in
    ],
)
def test_tolerances_hold_the_trade_facts(lists, pond, phase, key, low, high):
    assert band(lists, phase, pond, key) == (pytest.approx(low), pytest.approx(high))


def test_shelves_of_eight_to_ten_inches(lists, pond):
    # Two or three shelves, each 8 to 10 in, about 24 in in all (common practice, no published source).
    for depth_in, shelves in ((24, 2), (24, 3), (20, 2), (30, 2), (18, 2)):
        depths = (0, *shelf_depths_in(replace(pond, depth_in=depth_in, shelves=shelves)), depth_in)
        steps = [b - a for a, b in pairwise(depths)]
        assert all(8 <= s <= 10 for s in steps), (depth_in, shelves, depths)
    keys = [n.key for n in made(lists, Phase.DIG, replace(pond, depth_in=40, shelves=3)).lines]
    assert [k for k in keys if k.startswith("shelf")] == ["shelf-1", "shelf-2", "shelf-3"]


def test_order_of_the_trade(lists, pond):
    def before(phase, first, then):
        keys = [n.key for n in made(lists, phase, pond).lines]
        assert keys.index(first) < keys.index(then), (first, then)

    before(Phase.DIG, "locate", "shelf-1")
    before(Phase.DIG, "pump-line", "berm")  # the line lies before the berm is built over it
    before(Phase.SET_FILTERS, "lip-agrees", "backfill")
    before(Phase.LINER, "underlayment", "carry")
    before(Phase.ROCK, "first-course", "gravel")
    before(Phase.ROCK, "water-test", "foam")  # water test before joints are hidden
    before(Phase.PLUMBING, "corner-screws", "bead")
    before(Phase.PLUMBING, "clean-dry", "bead")
    before(Phase.FILL, "cure-over", "open")
    before(Phase.FILL, "water-line", "trim")
    before(Phase.FILL, "gfci", "start")


def test_every_phase_has_holds_cautions_photos_rain_and_tools(lists, pond):
    for phase in ORDER:
        r = made(lists, phase, pond)
        assert any(n.hold for n in r.lines), phase
        assert all([r.cautions, r.photos, r.rain, r.today, r.tools, r.load]), phase


@pytest.mark.parametrize(
    ("phase", "words"),
    [
        (Phase.DIG, ("811", "tolerance zone", "2 ft", "competent person", "local code")),
        (Phase.ROCK, ("slung stone", "NIOSH", "chart", "silica")),
        (Phase.PLUMBING, ("licensed electrician", "GFCI")),
        (Phase.FILL, ("Drowning", "GFCI", "licensed electrician")),
    ],
)
def test_cautions_defer_to_codes_and_licensed_trades(lists, pond, phase, words):
    text = " ".join(made(lists, phase, pond).cautions)
    for word in words:
        assert word in text


def test_hand_limits_are_the_computed_ones(lists, pond):
    # NIOSH 94-110: "ground, close" lift 23.0 lb alone, 30.7 lb for two at the two-thirds rule (rounded down).
    assert weight_limit_lb(Lift()) == pytest.approx(23.0, abs=0.05)
    assert team_limit_lb(2, Lift()) == pytest.approx(30.7, abs=0.05)
    (line,) = [c for c in made(lists, Phase.ROCK, pond).cautions if "NIOSH" in c]
    assert "alone 23 lb" in line.lower() and "two 30 lb" in line


def test_steps_adapt_to_the_job(lists, pond):
    def keys(phase, **change):
        return {n.key for n in made(lists, phase, replace(pond, **change)).lines}

    assert "fall-level" in keys(Phase.SET_FILTERS) - keys(Phase.SET_FILTERS, waterfall=False)
    assert "strip-hand" in keys(Phase.DIG, access=Access.HAND) and "strip" not in keys(
        Phase.DIG, access=Access.HAND
    )
    assert "sand-walls" in keys(Phase.DIG, soil=Soil.SAND) - keys(Phase.DIG)
    assert "seam" in keys(Phase.LINER, lines=(*pond.lines, Line("seams_ft", 12))) - keys(Phase.LINER)
    deep = made(lists, Phase.DIG, replace(pond, depth_in=60)).cautions
    assert any("ladder" in c for c in deep) and not any(
        "ladder" in c for c in made(lists, Phase.DIG, pond).cautions
    )
    assert "locate" not in {n.key for n in made(lists, Phase.DIG, pond, first_day=False).lines}


def test_the_two_parts_of_the_fill_share_its_steps_without_loss(lists, pond):
    one, two = (made(lists, Phase.FILL, pond, part=p) for p in (1, 2))
    both = made(lists, Phase.FILL, pond)
    assert {n.key for n in one.lines} & {n.key for n in two.lines} == set()
    assert [n.key for n in (*one.lines, *two.lines)] == [n.key for n in both.lines]


def test_metric_firm_sees_millimetres_and_celsius(lists, pond):
    lines = {n.key: n for n in made(lists, Phase.FILL, pond, units="metric").lines}
    assert (lines["water-line"].wanted.low, lines["water-line"].wanted.unit) == (38, "mm")
    assert "40 mm to 75 mm" in lines["water-line"].text or "38 mm to 75 mm" in lines["water-line"].text
    bead = {n.key: n for n in made(lists, Phase.PLUMBING, pond, units="metric").lines}["bead"]
    assert (bead.wanted.low, bead.wanted.unit) == (4.4, "C")


def test_words_and_numbers():
    assert shown(24, "in", "us") == "24 in" and shown(24, "in", "metric") == "610 mm"
    assert number(1200) == "1,200" and number(0.125) == "0.125" and number(-0.0001) in ("0", "-0")
    with pytest.raises(BadInput):
        fill_in("{nonsense}", {}, "us")


def test_a_firms_own_file_counts_whole(tmp_path):
    shipped = checklist()
    own = shipped_text().replace('edition = "2027-1"', 'edition = "ours-3"')
    (tmp_path / "checklists.toml").write_text(own, "utf-8")
    found = checklist(tmp_path)
    assert found.edition == "ours-3" and found.phases[Phase.DIG] == shipped.phases[Phase.DIG]


def test_all_faults_of_a_file_are_told_at_once():
    text = shipped_text()
    text = text.replace('key = "clean"', 'key = "floor"').replace("{gravel_ton}", "{gravel_tonnes}")
    text = text.replace("only = { berm = true }\nmeasure", "only = { burm = true }\nmeasure").replace(
        "[rock]", "[rock]\nglue = 1"
    )
    with pytest.raises(BadInputs) as caught:
        read(text)
    told = str(caught.value)
    for word in ("floor", "gravel_tonnes", "burm", "glue"):
        assert word in told
    assert len(caught.value.faults) == len(told.splitlines())


def test_broken_toml_is_one_plain_line():
    with pytest.raises(BadInput) as caught:
        read("[dig\n")
    assert "\n" not in str(caught.value)


def shipped_text() -> str:
    from importlib.resources import files

    return (files("planner") / "data" / "checklists.toml").read_text("utf-8")


#: Wording that was taken out because it was not ours: the first 16 hex digits of the SHA-256 of each run of
#: seven words, so that it can be known again and need not be told again.
NOT_OURS = (
    "a77a9e372e8ff2a6 22d42c5a995c6e37 b0473dcb78b77cdb c142a4e004ec0b73 b60aca9f8565a98a 953c3c5d419eabd8"
    " bfccd11fb755f731 e71d768874c07956 4cbad3b425bd62d8 7fbc48e2efe380f9 d8efcab89793677b"
)


def test_every_sentence_is_our_own(lists):
    goldens = [path.read_text() for path in sorted((Path(__file__).parent / "golden").iterdir())]
    for text in (shipped_text(), *goldens):
        words = re.findall(r"[a-z']+", text.lower())
        runs = (" ".join(words[i : i + 7]) for i in range(len(words) - 6))
        assert not [run for run in runs if sha256(run.encode()).hexdigest()[:16] in NOT_OURS]
