"""Lengths in sentences have their measure beside them in metric; nothing else is taken for one.

1 ft = 0.3048 m and 1 in = 25.4 mm by definition (international yard and pound agreement, 1959).
"""

import io
import re

import pypdf
import pytest

from branchwright.measures import printed_in
from branchwright.metric_sentences import sentence
from branchwright.papers.to_inspect_by import findings
from branchwright.sheet_set import PACKET, sheet_set
from models.plan import Finding, Plan
from models.rules import RULES
from models.rules.code_book import code_book
from tests.branchwright.test_sheet_snapshots import said
from tests.plan_files import plan_on_file

MARK = "0123456789abcdef" * 4
PLANS = ("four_box", "one_bay_garage", "cut_of_rolls", "two_changeovers")
LENGTH = r"\d[\d./-]*"
CONVERTED = re.compile(rf"(?:{LENGTH} to )?{LENGTH} (?:ft(?: {LENGTH} in)?|in) \([\d. to]+ m?m\)")
IN_FEET = re.compile(r"\d (?:ft|in)\b")
TO_A_PLACE = re.compile(r"\d in (?:[A-Z]|the |(?:a|each) box)")  # "joint 1 in J1"
TRADE_SIZE = re.compile(r"\b(?:EMT|PVC|RMC|IMC|FMC|LFMC|ENT|schedule \d\d)\b[^·|,]*? in\b")


def in_metric(text: str) -> str:
    with printed_in("metric"):
        return sentence(text)


@pytest.mark.parametrize(
    ("says", "told"),
    [
        ("within 12 in of a box.", "within 12 in (305 mm) of a box."),
        ("fastened every 4-1/2 ft and", "fastened every 4-1/2 ft (1.37 m) and"),
        ("nearer than 1-1/4 in to the edge", "nearer than 1-1/4 in (32 mm) to the edge"),
        ("is at 6 ft 7 in at most", "is at 6 ft 7 in (2.01 m) at most"),
        ("48 to 50 in above the floor", "48 to 50 in (1219 to 1270 mm) above the floor"),
        ("30 in x 36 in in front", "30 in (762 mm) x 36 in (914 mm) in front"),
        ("is 6.3 ft high, 6.5 ft is asked", "is 6.3 ft (1.92 m) high, 6.5 ft (1.98 m) is asked"),
        ("at [3 ft, 12 ft] has", "at [3 ft (0.91 m), 12 ft (3.66 m)] has"),
        ("no more than 50 ft away", "no more than 50 ft (15.24 m) away"),
        ("6 in of free conductor", "6 in (152 mm) of free conductor"),
    ],
)
def test_a_length_has_its_measure_beside_it(says, told):
    assert in_metric(says) == told
    assert sentence(says) == says


@pytest.mark.parametrize(
    "says",
    [
        "1 in D-JOINT and in the panel", "space 3 in the panel", "run C4.1 in N1, dead",
        "lay 1/2 in EMT from P to N1", "space 3 in, locked", "2 in box W1", "R12 ft", "480 ft²",
        "C1, C2 and 3 in J1", "take a 4 x 2-1/8 octagonal box", "12 AWG in EMT",
    ],
)  # fmt: skip
def test_what_is_no_length_stays(says):
    assert in_metric(says) == says


def test_every_length_of_the_checks_is_found():
    """What rules and code book say: after the pairs are taken out, no feet or inches are left."""
    texts = [rule.says for rule in RULES.values()]
    texts += [text for entry in code_book() for text in (entry.asks, entry.left_open)]
    with_lengths = [text for text in texts if IN_FEET.search(TO_A_PLACE.sub("", text))]
    assert len(with_lengths) > 15
    left = {text: TO_A_PLACE.sub("", CONVERTED.sub("", in_metric(text))) for text in with_lengths}
    assert [text for text, rest in left.items() if IN_FEET.search(rest)] == []


def test_the_measures_beside_are_right():
    """Read back from the code book, to half of the last digit printed."""
    pair = re.compile(r"(?<![\d/-])(\d+(?:\.\d+)?) (ft|in) \(([\d.]+) (m|mm)\)")
    found = 0
    for entry in code_book():
        for number, unit, told, metric in pair.findall(in_metric(entry.asks)):
            assert (unit, metric) in {("ft", "m"), ("in", "mm")}
            exact = float(number) * (0.3048 if unit == "ft" else 25.4)
            assert float(told) == pytest.approx(exact, abs=0.005 if unit == "ft" else 0.5)
            found += 1
    assert found > 3


def test_what_was_found_and_its_limit_are_converted(four_box):
    common = {"edition": 2023, "basis": "code", "source": "x", "rule": "x", "where": "P"}
    told = (
        Finding(key="a", severity="warning", says="the handle is at 7 ft, 6 ft 7 in is the most",
                found=7.0, limit=6.58, unit="ft", **common),
        Finding(key="b", severity="note", says="is 12 in deep.", found=12, limit=18, unit="in",
                **common),
        Finding(key="c", severity="note", says="too full", found=31.5, limit=30.3, unit="in³",
                **common),
        Finding(key="d", severity="note", says="too much", found=21.0, limit=20, unit="A",
                **common),
    )  # fmt: skip
    plan = four_box.model_copy(update={"findings": told})
    with printed_in("metric"):
        rows = findings(plan).rows
    assert [row[4:7] for row in rows] == [
        ("2.134", "2.006", "m"), ("304.8", "457.2", "mm"), ("516.2", "496.5", "cm³"),
        ("21", "20", "A"),
    ]  # fmt: skip
    assert rows[0][3] == "the handle is at 7 ft (2.13 m), 6 ft 7 in (2.01 m) is the most"


def texts_of(plan: Plan) -> list[tuple[str, str]]:
    """Every line of text of a set in metric, with its file: all but DXF and the workbook."""
    told = []
    with printed_in("metric"):
        for sheet in (*sheet_set(plan, MARK, forms=("svg", "csv", "html")),
                      *sheet_set(plan, MARK, [PACKET])):  # fmt: skip
            if isinstance(sheet.content, bytes):
                pages = pypdf.PdfReader(io.BytesIO(sheet.content)).pages
                lines = [" ".join(page.extract_text().split()) for page in pages]
            else:
                lines = [line.replace("\u00a0", " ") for line in said(sheet)]
            told += [(sheet.file, line) for line in lines]
    return told


@pytest.mark.parametrize("name", PLANS)
def test_no_sheet_says_a_length_in_feet_alone(name):
    """But for names of what is bought, trade sizes, and how a roll is called in the price book."""
    plan = plan_on_file(name)
    bought = {line.item for line in plan.takeoff} | {line.item for line in plan.purchase or ()}
    bought |= {box.box for box in plan.boxes if box.box}
    names = re.compile("|".join(re.escape(one) for one in sorted(bought, key=len, reverse=True)))
    for file, line in texts_of(plan):
        rest = CONVERTED.sub("", names.sub("", line))
        rest = TO_A_PLACE.sub("", TRADE_SIZE.sub("", rest))
        assert not IN_FEET.search(rest), (file, line)
