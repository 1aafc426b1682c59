"""The checklists: shipped content against trade facts, fitting the job, faults of a firm's own file."""

import re
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

import pytest

from planner.domain.crew_day.ready import READINGS, TARGETS, Wanted, facts, ready
from planner.domain.firm.jobs import Access, Job, Line, Soil
from planner.domain.firm.phases import ORDER, Phase
from planner.domain.safety.lifting import Lift, team_limit_lb, weight_limit_lb
from planner.domain.wording import fill_in, number, shown
from planner.errors import BadInput, BadInputs
from planner.store.shipped.checklists import checklist, read


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
        (Phase.SET_FILTERS, "skimmer-water-line", 0.75, 1.5),  # about 1 in below the opening's top
        (Phase.SET_FILTERS, "fall-lean", 0.1, 0.4),  # about a quarter bubble
        (Phase.PLUMBING, "cut", 1, 2),  # 1.5 in inside the traced line
        (Phase.FILL, "water-line", 1.5, 3),  # 1.5 to 3 in below the rim
        (Phase.FILL, "trim", 5, 8),  # leaving about 6 in
    ],
)
def test_tolerances_hold_the_trade_facts(lists, pond, phase, key, low, high):
    assert band(lists, phase, pond, key) == (pytest.approx(low), pytest.approx(high))


def lines_of(lists, phase, job, **more):
    return {n.key: n for n in made(lists, phase, job, **more).lines}


def test_levels_are_the_designs_own(lists, pond, roster):
    # Water 3 in below the rim, steps down 9, 8, 7: shelves 9 and 17, floor 24 below the rim; 6, 14 and 21
    # below the water. Boxes by default dug 28 and 6 in with 4 in of base; falls 20 in above the water.
    levels = roster.levels("P-014")
    dig = lines_of(lists, Phase.DIG, pond, levels=levels)
    assert "9 in below the rim, 6 in below the water line" in dig["shelf-1"].text
    assert "17 in below the rim, 14 in below the water line" in dig["shelf-2"].text
    assert "24 in below the rim, 21 in below the water line" in dig["floor"].text
    assert (dig["shelf-2"].wanted.low, dig["shelf-2"].wanted.high) == (13, 15)
    assert (dig["floor"].wanted.low, dig["floor"].wanted.high) == (20, 23)
    assert dig["berm-drawn"].wanted.target == 27 and "2 in short" in dig["hand-trim"].text
    boxes = lines_of(lists, Phase.SET_FILTERS, pond, levels=levels)
    assert "dig to 32 in below the rim, 29 in below the water line" in boxes["skimmer-seat"].text
    assert (boxes["skimmer-seat"].wanted.low, boxes["skimmer-seat"].wanted.high) == (23, 27)
    assert "stands 6 in below the rim" in boxes["fall-seat-drawn"].text
    assert boxes["lip-drawn"].wanted.target == 20
    assert lines_of(lists, Phase.FILL, pond, levels=levels)["water-line-drawn"].wanted.target == 3
    metric = lines_of(lists, Phase.DIG, pond, levels=levels, units="metric")["shelf-1"]
    assert "230 mm below the rim, 155 mm below the water line" in metric.text
    assert (metric.wanted.target, metric.wanted.low, metric.wanted.high) == (155, 130, 180)


def test_without_a_design_nothing_is_invented(lists, pond):
    dig = lines_of(lists, Phase.DIG, pond)
    assert {"shelf-unknown-1", "shelf-unknown-2", "floor-unknown"} <= set(dig)
    assert dig["shelf-unknown-1"].wanted.words == "write it down"
    assert "does not know how deep" in dig["shelf-unknown-1"].text
    assert "24 in below the rim" in dig["floor-unknown"].text
    assert (dig["floor-unknown"].wanted.low, dig["floor-unknown"].wanted.high) == (23, 26)
    boxes = lines_of(lists, Phase.SET_FILTERS, pond)
    assert boxes["skimmer-seat-unknown"].wanted.words == "write it down"
    told = " ".join(n.text for phase in ORDER for n in made(lists, phase, pond).lines)
    assert "below the water line, wall plumb" not in told


def test_a_firms_own_words_for_depths_mean_below_the_water(pond, roster):
    # An older own file: {shelf_depth} and {depth} stand below the water line, never below the rim.
    text = shipped_text().replace("cut to {shelf_level},", "cut to {shelf_depth} below the water line,")
    text = text.replace("dig to {floor_level},", "dig to {depth} below the water line,")
    dig = lines_of(read(text), Phase.DIG, pond, levels=roster.levels("P-014"))
    assert "cut to 6 in below the water line" in dig["shelf-1"].text
    assert "dig to 21 in below the water line" in dig["floor"].text


def test_every_target_reads(roster):
    levels = roster.levels("P-014")
    assert all(read_level(levels, "us") is not None for read_level in READINGS.values())
    assert set(READINGS) < set(TARGETS)


def test_order_of_the_trade(lists, pond):
    def before(phase, first, then):
        keys = [n.key for n in made(lists, phase, pond).lines]
        assert keys.index(first) < keys.index(then), (first, then)

    before(Phase.DIG, "locate", "shelf-unknown-1")
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
    own = shipped_text().replace(f'edition = "{shipped.edition}"', 'edition = "ours-3"')
    (tmp_path / "checklists.toml").write_text(own, "utf-8")
    found = checklist(tmp_path)
    assert found.edition == "ours-3" and found.phases[Phase.DIG] == shipped.phases[Phase.DIG]


def test_all_faults_of_a_file_are_told_at_once():
    text = shipped_text()
    text = text.replace('key = "clean"', 'key = "floor"').replace("{gravel_ton}", "{gravel_tonnes}")
    text = text.replace("only = { berm = true, berm_drawn = false }", "only = { burm = true }").replace(
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
    goldens = [path.read_text() for path in sorted((Path(__file__).parents[1] / "golden").iterdir())]
    for text in (shipped_text(), *goldens):
        words = re.findall(r"[a-z']+", text.lower())
        runs = (" ".join(words[i : i + 7]) for i in range(len(words) - 6))
        assert not [run for run in runs if sha256(run.encode()).hexdigest()[:16] in NOT_OURS]


def test_a_value_just_outside_its_band_is_not_accepted():
    """A tape is read to a sixteenth of an inch at best; the band's end itself belongs to it."""
    wanted = Wanted("depth", "in", None, 2.0, 2.5)
    assert [wanted.accepts(v) for v in (1.99, 2.0, 2.25, 2.5, 2.51)] == [False, True, True, True, False]
    assert Wanted("fall", "in", None, None, 1.0).accepts(-5.0)
    assert not Wanted("fall", "in", None, 1.0, None).accepts(0.9)


def test_the_liner_is_as_heavy_as_its_area():
    """600 ft2 of 45 mil liner at 0.3 lb/ft2: 180 lb (a common makers' figure, from memory)."""
    job = Job("P-1", "Reed", lines=(Line("liner_ft2", 600.0),))
    assert facts(job, people=3, units="us")["liner_weight"] == "180 lb"
