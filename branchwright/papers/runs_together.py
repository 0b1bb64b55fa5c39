"""What runs together without overloading a breaker: a row for each machine, and for each pair."""

from collections.abc import Iterator, Mapping

from branchwright.papers.paper import Field, Paper, Row
from branchwright.readings import shared_breakers
from branchwright.words import amps, clean, joined, machine_words
from models.answers.together import Meeting, Member, SharedBreaker
from models.naming import on_day
from models.plan import Plan

FIELDS = (
    Field("Circuit", 12), Field("Machine", 30), Field("With", 30), Field("Load [A]", 9, 1),
    Field("Limit [A]", 9, 1), Field("Fits", 11), Field("In use", 34), Field("A third too much", 34),
)  # fmt: skip
YES, NO = "yes", "TOO MUCH"
APART = {
    "people": "not at once: too few people for both",
    "promise": "not at once: a promise of the owner",
    "interlock": "not at once: an interlock",
    "receptacles": "not at once: receptacles for one of them",
}


def runs_together(plan: Plan) -> Paper:
    """Each machine alone, then each two machines of a circuit."""
    names = machine_words(plan)
    rows = tuple(row for one in shared_breakers(plan) for row in _rows(one, names))
    note = (
        "Continuous loads and lights at 125 %; what is always on, and what starts with a machine,"
        " is counted with it. A portable tool stands at each circuit that it finds a receptacle of."
        " Machines of different breakers never overload a breaker together; the feeder is another"
        " matter, see the load calculation."
    )
    return Paper("runs_together", "What runs together", FIELDS, rows, note)


def member_words(member: Member, names: Mapping[str, str]) -> str:
    """A machine, and that it is carried."""
    name = clean(names.get(member.machine, member.machine))
    return f"{name} (portable)" if member.portable else name


def _rows(one: SharedBreaker, names: Mapping[str, str]) -> Iterator[Row]:
    said = {member.machine: member_words(member, names) for member in one.members}
    for member in one.members:
        load = member.alone
        fits = YES if load.fits else NO
        circuit, name = clean(load.circuit), said[member.machine]
        with_it = joined((said[other] for other in member.with_it), " + ")
        says = f"with {with_it}" if with_it else ""
        yield (circuit, name, "", load.amps, load.limit_amps, fits, says, "")
    for meeting in one.meetings:
        yield _pair(meeting, said)


def _pair(meeting: Meeting, said: Mapping[str, str]) -> Row:
    """Two machines at once; on two poles the one that is nearer to its limit is told."""
    load = max(meeting.loads, key=lambda load: load.amps / load.limit_amps)
    third = joined((said[name] for name in meeting.third), " or ")
    return (
        " + ".join(clean(load.circuit) for load in meeting.loads),
        *(said[name] for name in meeting.machines), load.amps, load.limit_amps,
        YES if meeting.fits else NO, use_words(meeting), third,
    )  # fmt: skip


def use_words(meeting: Meeting) -> str:
    """When two machines are on at once, or why they are not; for two poles what each carries."""
    if meeting.apart:
        says = APART[meeting.apart]
    else:
        always = "the second starts with the first, " if meeting.brings else ""
        says = f"{always}{on_day(clean(meeting.day))}"
    if len(meeting.loads) > 1:
        each = joined(f"{load.circuit} {amps(load.amps)}" for load in meeting.loads)
        says += f"; a pole each: {each}"
    return says
