"""Hard-wired machines on a circuit with lights or receptacles: half of it for all of them together.

NEC 210.23(A)(2), 210.23(B)(2) since 2023: the total rating of equipment fastened in place is at
most 50 % of a 15 or 20 A circuit. C2 of the four-box shed is 20 A and has receptacles.
"""

import pytest

from models.rules import cord_and_plug
from tests.models.rules.four_box import circuit_of, found
from tests.models.rules.shed import add_machine, add_outlet


def told(*amps, edit=lambda data: None):
    def wired(data):
        for number, each in enumerate(amps):
            add_outlet(data, f"H{number}", configuration=None, wall="north", x=f"{5 + number} ft")
            add_machine(data, f"fan-{number}", f"H{number}", marked=f"{each} A")
        edit(data)

    findings = [f for f in found(cord_and_plug, wired) if f.rule == "fastened-load"]
    return [(f.where, f.severity, f.found, f.limit) for f in findings]


@pytest.mark.parametrize(
    ("amps", "over"),
    [
        ([10], []),
        ([10.5], [("fan-0", "violation", 10.5, 10.0)]),
        ([5, 5], []),
        ([8, 8], [("C2", "violation", 16.0, 10.0)]),
    ],
)
def test_half_of_a_shared_circuit(amps, over):
    assert told(*amps) == over


def test_15_amperes():
    def edit(data):
        circuit_of(data, "C2")["breaker"]["amps"] = 15.0

    assert told(7, edit=edit) == []
    assert told(8, edit=edit) == [("fan-0", "violation", 8.0, 7.5)]


def test_a_circuit_of_hard_wired_machines_alone():
    def edit(data):
        data["outlets"] = [o for o in data["outlets"] if not o["id"].startswith("N1")]

    assert told(8, 8, edit=edit) == []


def test_larger_circuits_have_other_rules():
    def edit(data):
        circuit_of(data, "C2")["breaker"]["amps"] = 30.0

    assert told(16, edit=edit) == []
