"""Words that keep people from harm: what no text of ours says, wherever a person may read it.

Only an inspector says that an installation meets the code, nobody that it does no harm; a breaker
is never made larger by itself; a GFCI that trips is never got around.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from branchwright.findings_report import findings_report
from branchwright.page import page_html
from models.plan import Plan
from models.rules import RULES, check_plan
from models.rules.why import whys
from tests.branchwright.test_findings_report import printed
from tests.branchwright.test_sarif import corrupted
from tests.models.rules.test_hand_plan import CORRUPTIONS, GARAGE, GARAGE_CORRUPTIONS, PLAN

ROOT = Path(__file__).resolve().parents[2]
VALUE = "…"  # what a sentence leaves room for
PROMISES = re.compile(
    r"\b(?:compl(?:y|ies|ied|iant|iance)|safe(?:ly|ty|r|st)?|harmless|guaranteed?|approved by"
    r"|(?:pass|passes|passed|meets?|satisf(?:y|ies)) (?:the |a |an |all )?(?:\w+ )?"
    r"(?:codes?|NEC|inspection)|code[- ](?:approved|compliant|legal)|(?:up|built|wired) to code)\b",
    re.IGNORECASE,
)
LARGER_BREAKER = re.compile(
    r"\b(?:larger|bigger|higher|stronger|next|another|upsized?|raise the)\W+(?:\w+\W+){0,2}breaker",
    re.IGNORECASE,
)
WITH_CONDUCTORS = re.compile(r"conductor", re.IGNORECASE)
NO_GFCI = re.compile(
    r"\b(?:bypass|defeat|disable|jumper|unprotected outlet|get around|work around|swap|remove"
    r"|take (?:out|off|away)|instead of|do without|leave out|disconnect)\w*\W+(?:\w+\W+){0,3}"
    r"(?:GFCI|ground-fault)|non-GFCI",
    re.IGNORECASE,
)


@pytest.mark.parametrize(
    "text",
    [
        "The plan complies with the NEC.", "Code compliant.", "Passes code.", "It meets the code",
        "wired to code", "It is safe to build.", "Safely done", "passes the electrical inspection",
    ],
)  # fmt: skip
def test_the_patterns_find_promises(text):
    assert PROMISES.search(text)


@pytest.mark.parametrize(
    "text",
    [
        "No violation among the 62 checks listed; the authority having jurisdiction decides.",
        "what a plan meets and does not meet", "GFCI test after building", "a code of colours",
    ],
)  # fmt: skip
def test_the_patterns_leave_plain_words_alone(text):
    assert not PROMISES.search(text)
    assert not NO_GFCI.search(text)


def test_the_patterns_find_bad_advice():
    assert LARGER_BREAKER.search("use a larger breaker")
    assert LARGER_BREAKER.search("take the next standard breaker")
    assert not LARGER_BREAKER.search("a larger conductor, or a smaller breaker with less on it")
    assert NO_GFCI.search("bypass the GFCI")
    assert NO_GFCI.search("a plain breaker instead of a GFCI one")
    assert not NO_GFCI.search("a GFCI breaker, or a GFCI duplex in its first box")


def sentences(path: Path) -> Iterator[str]:
    """Every text in a Python file but its docstrings; values in it stand as `…`."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    silent = {id(part) for node in ast.walk(tree) for part in _not_told(node)}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            yield "".join(
                str(part.value) if isinstance(part, ast.Constant) else VALUE for part in node.values
            )
        elif isinstance(node, ast.Constant) and id(node) not in silent:
            yield from [node.value] if isinstance(node.value, str) else []


def _not_told(node: ast.AST) -> Iterator[ast.AST]:
    """Texts that are no sentences of their own: docstrings, parts of others, kinds of YAML."""
    if isinstance(node, ast.JoinedStr):
        yield from node.values
    elif isinstance(node, ast.Expr) or (isinstance(node, ast.keyword) and node.arg == "typ"):
        yield node.value


def sources() -> list[Path]:
    """Python files whose texts reach a person."""
    return [
        path
        for name in ("models", "solver", "branchwright")
        for path in ROOT.glob(f"{name}/**/*.py")
    ]


def papers() -> list[Path]:
    """Other files that people read."""
    patterns = ("README.md", "CHANGELOG.md", "docs/*.md", "scenarios/*.yaml", "branchwright/*.yaml",
                "models/rules/*.csv", "models/prices/*.csv")  # fmt: skip
    return [path for pattern in patterns for path in sorted(ROOT.glob(pattern))]


def test_the_texts_are_found():
    """The tests below look at something: rules, fixes, the terminal, the page, the papers."""
    assert len(sources()) > 100
    assert {path.name for path in papers()} >= {"README.md", "why.csv", "starter.yaml"}
    said = set(sentences(ROOT / "models" / "rules" / "box_fill.py"))
    assert "a deeper or wider box at …" in said
    assert "Volume of a box" in said
    assert not any("Cubic inches." in text for text in said)


@pytest.mark.parametrize("path", sources(), ids=lambda path: str(path.relative_to(ROOT)))
def test_no_sentence_promises_or_advises_badly(path):
    for text in sentences(path):
        assert not PROMISES.search(text), text
        assert not NO_GFCI.search(text), text
        assert not LARGER_BREAKER.search(text) or WITH_CONDUCTORS.search(text), text


@pytest.mark.parametrize("path", papers(), ids=lambda path: str(path.relative_to(ROOT)))
def test_no_paper_promises(path):
    text = " ".join(path.read_text(encoding="utf-8").split())
    assert not PROMISES.search(text), PROMISES.search(text)
    assert not NO_GFCI.search(text), NO_GFCI.search(text)


@pytest.mark.parametrize("rule", sorted(RULES))
def test_no_rule_promises_or_advises_badly(rule):
    text = RULES[rule]
    for words in (text.title, text.says, *text.renumbered.values(), *whys()[rule]):
        assert not PROMISES.search(words)
        assert not NO_GFCI.search(words)
    for words in (text.says, whys()[rule].remedy):
        assert not LARGER_BREAKER.search(words) or WITH_CONDUCTORS.search(words), words


def broken_plans() -> Iterator[tuple[str, Plan]]:
    """Every plan that some check objects to."""
    for data, corruptions in ((PLAN, CORRUPTIONS), (GARAGE, GARAGE_CORRUPTIONS)):
        for name, corruption in corruptions.items():
            yield name, corrupted(data, [corruption])


def test_no_finding_promises_or_advises_badly():
    """As they are said, with all values in them; law and its next step never alone."""
    seen = set()
    for name, plan in broken_plans():
        for finding in check_plan(plan):
            seen.add(finding.rule)
            for words in (finding.says, finding.fix):
                assert not PROMISES.search(words), (name, words)
                assert not NO_GFCI.search(words), (name, words)
            assert not LARGER_BREAKER.search(finding.fix) or WITH_CONDUCTORS.search(finding.fix)
    assert len(seen) > 30


def test_no_page_and_no_terminal_promises():
    _, plan = next(broken_plans())
    plan = plan.model_copy(update={"findings": check_plan(plan)})
    for text in (printed(findings_report, "p", plan, plan.findings), page_html(plan, "0" * 64)):
        assert "DO NOT BUILD" in text
        shown = re.sub(r"<style>.*?</style>|<meta[^>]*>", "", text, flags=re.DOTALL)
        assert not PROMISES.search(shown)
