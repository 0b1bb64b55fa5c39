"""The code book: every row is held by rules or says what is missing, every rule answers to a row.

The list of what is asked comes from a survey of the 2017, 2020 and 2023 editions of NFPA 70 and of
the habits of the trade, made before this program; its names stand here as data.
"""

import re

import pytest

from models.formulas.editions import EDITIONS
from models.rules import RULES
from models.rules.code_book import LAWS, OPEN_BECAUSE, OWN_RULES, code_book

ASKED = (
    "gfci-garage-dwelling", "gfci-nondwelling-shop", "gfci-outdoor-outlets", "afci-garage",
    "garage-branch-circuit", "garage-receptacle-per-bay", "accessory-building-receptacle",
    "garage-lighting-outlet", "lighting-not-on-garage-receptacle-circuit", "tamper-resistant",
    "receptacle-damp-wet", "receptacle-replacement", "mwbc-same-panel",
    "mwbc-simultaneous-disconnect", "mwbc-line-to-neutral-only", "mwbc-grouping",
    "mwbc-opposite-legs", "mwbc-neutral-continuity", "neutral-not-counted",
    "two-circuits-one-yoke", "two-single-poles-for-240", "continuous-conductor",
    "continuous-ocpd", "cord-plug-80", "fastened-50", "load-not-over-circuit", "ten-amp-circuit",
    "multi-outlet-lighting-30A-up", "single-receptacle-rating", "multi-receptacle-rating",
    "multi-receptacle-conductor", "next-size-up", "small-conductor", "voltage-drop",
    "terminal-temperature", "ampacity-order", "bundling-24in", "nm-60C",
    "nm-bundled-in-insulation", "nm-dry-only", "nm-support", "nail-plate", "circuit-together",
    "free-conductor", "white-reidentified", "white-not-in-raceway", "neutral-colour",
    "conductor-id", "conduit-fill", "conduit-bends", "box-fill", "pull-box", "burial-depth",
    "egc-size", "egc-upsize", "panel-protection", "panel-device-count", "panel-directory",
    "neutral-one-per-hole", "subpanel-neutral-isolated", "working-space",
    "working-space-no-storage", "dedicated-space", "panel-location", "interrupting-rating",
    "listing-instructions", "feeder-conductor", "feeder-ocpd", "feeder-diagram", "dwelling-83pct",
    "detached-one-supply", "detached-disconnect", "detached-six-disconnects",
    "detached-disconnect-rating", "detached-grounding-electrode", "detached-egc",
    "detached-suitable-service", "dwelling-feeder-emergency-disconnect", "load-voltage-rounding",
    "load-general-lighting", "load-garage-area", "load-receptacle-180", "load-receptacle-demand",
    "load-specific-appliance", "load-motors", "load-noncoincident", "load-heating",
    "load-neutral", "load-optional-dwelling", "load-existing", "load-evse", "heating-continuous",
    "ev-continuous", "ev-individual", "ev-receptacle-gfci", "ac-nameplate",
    "ac-single-compressor", "motor-table-flc", "motor-conductor", "motor-breaker", "motor-feeder",
    "motor-overload", "motor-group", "motor-cord-overload-15A", "motor-disconnect-sight",
    "motor-plug-hp", "welder-conductor", "welder-ocpd", "welder-group", "welder-disconnect",
    "flex-cord-not-wiring", "hazardous-screen", "practice-dedicated-machine",
    "practice-collector-plus-one", "practice-lights-separate", "practice-leg-balance",
    "practice-spare-capacity", "practice-motor-start-drop", "practice-receptacle-height",
    "practice-metal-conduit-exposed",
)  # fmt: skip
BOOK = {entry.id: entry for entry in code_book()}


def test_everything_asked_stands_once():
    assert len(ASKED) == 120
    assert len(BOOK) == len(code_book())
    assert set(ASKED) <= set(BOOK)


@pytest.mark.parametrize("name", sorted(BOOK))
def test_a_row_is_held_or_says_what_is_missing(name):
    entry = BOOK[name]
    assert entry.held_by or entry.left_open
    assert set(entry.held_by) <= set(RULES)
    assert len(set(entry.held_by)) == len(entry.held_by)
    assert bool(entry.left_open) == bool(entry.open_because)
    assert entry.open_because in ("", *OPEN_BECAUSE)


@pytest.mark.parametrize("name", sorted(BOOK))
def test_a_row_says_what_is_asked_and_where(name):
    """One sentence; a section in each edition unless no code asks it."""
    entry = BOOK[name]
    assert re.fullmatch(r"[A-Z0-9][^.]*(\.\d[^.]*)*\.", entry.asks)
    assert entry.law in LAWS
    assert any(entry.is_in(edition) for edition in EDITIONS)
    if entry.law == "code text":
        assert re.search(r"\d|Article 100", entry.sections)


def test_every_rule_of_law_or_habit_answers_to_a_row():
    held = {rule for entry in code_book() for rule in entry.held_by}
    ours = {name for name, rule in RULES.items() if rule.basis != "plan"}
    assert ours - held == OWN_RULES
    assert held & OWN_RULES == set()


def test_no_habit_alone_holds_what_the_code_asks():
    for entry in code_book():
        if entry.law == "code text" and entry.held_by:
            assert {RULES[rule].basis for rule in entry.held_by} != {"habit"}, entry.id


@pytest.mark.parametrize(
    ("name", "edition", "section", "differs"),
    [
        ("bundling-24in", 2017, "310.15(B)(3)(a)", ""),
        ("bundling-24in", 2020, "310.15(C)(1)", ""),
        ("cord-plug-80", 2020, "210.23(A)(1)", ""),
        ("cord-plug-80", 2023, "210.23(B)(1)", ""),
        ("load-garage-area", 2017, "220.12", "not counted"),
        ("load-garage-area", 2023, "220.5(C)", "counted"),
        ("ev-individual", 2023, "625.40", "above 16 A or 120 V only"),
    ],
)
def test_how_the_editions_differ(name, edition, section, differs):
    """As published: ampacity sections moved in 2020, 210.23 and article 220 in 2023."""
    entry = BOOK[name]
    assert entry.is_in(edition)
    assert (entry.section_in(edition), entry.differs_in(edition)) == (section, differs)


@pytest.mark.parametrize(
    ("name", "editions"),
    [
        ("gfci-outdoor-outlets", {2020, 2023}),
        ("ten-amp-circuit", {2023}),
        ("load-evse", {2023}),
        ("dwelling-feeder-emergency-disconnect", {2023}),
        ("garage-branch-circuit", {2017, 2020, 2023}),
    ],
)
def test_which_edition_asks_it(name, editions):
    assert {edition for edition in EDITIONS if BOOK[name].is_in(edition)} == editions


def test_rules_and_book_name_the_same_sections():
    """Of the rules of law that hold a row, one names a section of the same article."""
    for entry in code_book():
        rules = [RULES[rule] for rule in entry.held_by if RULES[rule].basis == "code"]
        article = re.match(r"\d+", entry.sections)
        named = {number for rule in rules for number in re.findall(r"\d+", rule.source)}
        if rules and article and entry.id not in RELATED:
            assert article[0] in named, entry.id


# Held by a rule of another article that cannot be kept without it.
RELATED = {
    "multi-receptacle-conductor",  # no next size up with several receptacles, 240.4(B)
    "terminal-temperature",  # the ampacity that 240.4 holds the breaker against
    "nm-60C",  # the same
    "conductor-id",  # neutrals by 200.6, grounds by 250.119
}
