"""Joints: in each box, which conductors meet under one connector, and where the others end."""

from collections.abc import Iterator

from branchwright.papers.paper import Field, Paper, Row
from branchwright.readings import reading_of
from branchwright.words import clean, joined
from models.answers.joints import LOAD_SIDE, End, Joints, joints_of
from models.plan import Plan

FIELDS = (
    Field("Box", 10), Field("Joint", 6, 0), Field("How", 11), Field("Conductors", 64),
    Field("Pigtail or terminal", 34), Field("Wires", 7, 0), Field("Done", 8, by_hand=True),
)  # fmt: skip
HOW = {"spliced": "joined", "on device": "on device", "passes": "passes", "capped": "capped"}


def box_joints(plan: Plan) -> list[Joints]:
    """The make-up of every box with a conductor."""
    reading = reading_of(plan)
    return [joints_of(reading, box) for box in plan.boxes if box.conductors]


def joints(plan: Plan) -> Paper:
    """Box by box: its joints, then each conductor that is in none."""
    rows = tuple(row for one in box_joints(plan) for row in _box(one))
    note = (
        "A joint is made under one connector, large enough for its wires, by its label. Ground"
        " joints take in a metal box, and by it each other (NEC 250.148, from memory). What passes"
        " is neither cut nor joined. Boxes whose inside is on no record are left out."
    )
    return Paper("joints", "Joints", FIELDS, rows, note)


def _box(one: Joints) -> Iterator[Row]:
    box = clean(one.box.id)
    for joint in one.joints:
        told = joined((end_words(end, one.box.id) for end in joint.ends), " + ")
        to = joined(map(terminal_words, joint.pigtails))
        yield (box, joint.number, HOW["spliced"], told, to, joint.wires, "")
    for end in one.ends:
        if end.joint is None:
            on = joined(map(terminal_words, end.on), " or ")
            told = end_words(end, one.box.id)
            yield (box, None, HOW[end.ends], told, on, None, "")


def end_words(end: End, box: str) -> str:
    """A conductor with its run and where that leads."""
    return f"{wire_words(end)} of {clean(end.run.id)} {clean(end.far(box))}"


def wire_words(end: End) -> str:
    """Colour, re-marking and role of a conductor: "white, marked black (second hot)"."""
    role = role_words(end.role)
    if end.role == "spare":  # that is its mark too
        return f"{_colour(end)} {role}"
    seen = seen_words(end)
    return f"{seen} ({role})" if end.wire.marked else f"{seen} {role}".strip()


def seen_words(end: End) -> str:
    """What a conductor looks like: "black", "white, marked black"."""
    marked = f"marked {clean(end.wire.marked)}" if end.wire.marked else ""
    return ", ".join(filter(None, (_colour(end), marked)))


def _colour(end: End) -> str:
    return clean(end.wire.colour or ("" if end.wire.insulated else "bare"))


def role_words(role: str) -> str:
    """What a conductor is for."""
    told = {"hot2": "second hot", "switched": "switched hot", "traveller2": "second traveller"}
    return told.get(role, role)


def terminal_words(name: str) -> str:
    """A terminal: a yoke, its load side, or a luminaire.

    >>> terminal_words("W1.left load"), terminal_words("L1")
    ('W1.left, load side', 'L1')
    """
    yoke, load = name.removesuffix(LOAD_SIDE), name.endswith(LOAD_SIDE)
    return clean(yoke) + ", load side" * load
