"""Findings stand under what a person can walk to: circuits, boxes, raceways, machines, panels."""

from branchwright.places import THE_PLAN, Places, worst_first
from models.plan import Finding


def finding(where, severity="violation", basis="code", rule="box-fill"):
    return Finding(
        key=f"{rule}:{where}:{severity}", rule=rule, severity=severity, where=where, says="x",
        source="y", edition=2023, basis=basis,
    )  # fmt: skip


def ids(garage):
    """Every thing of the plan by the kind of place where it may stand."""
    return {
        "panel": [panel.id for panel in garage.panels],
        "circuit": [
            *(circuit.id for circuit in garage.circuits),
            *(run.id for circuit in garage.circuits for run in circuit.runs),
        ],
        "raceway": [raceway.id for raceway in garage.raceways],
        "machine": [machine.id for machine in garage.machines],
    }


def test_every_thing_of_a_plan_has_its_place(garage):
    places = Places(garage)
    for kind, names in ids(garage).items():
        assert names
        for name in names:
            assert places.of(name).kind == kind, name
    for box in garage.boxes:
        for name in (box.id, *(yoke.id for yoke in box.yokes)):
            assert places.of(name).kind in ("circuit", "box"), name


def test_a_box_of_one_circuit_stands_under_it_a_box_of_several_by_itself(garage):
    """E2 is passed by the run to E1 and has a yoke on each of two more circuits."""
    places = Places(garage)
    of_t1 = next(outlet.circuit for outlet in garage.outlets if outlet.box == "T1")
    assert places.of("T1") == places.of(of_t1)
    assert places.of("T1").heading.startswith(f"circuit {of_t1}: ")
    e2 = places.of("E2")
    assert e2.kind == "box"
    assert "wall east" in e2.heading
    assert all(name in e2.heading for name in ("C1", "C2", "C3"))
    assert places.of("E2.left").kind == "circuit"


def test_machines_together_spaces_and_what_is_no_thing(garage):
    places = Places(garage)
    assert places.of("hand-tool + drill-press").heading == "machines hand tool + drill press"
    assert places.called("hand-tool + drill-press") == "hand tool + drill press"
    assert [places.called(where) for where in ("table-saw", "E2", "C1", "totals")] == [
        "table saw", "E2", "C1", "totals",
    ]  # fmt: skip
    assert places.of("P space 3") == places.of("P")
    for where in ("totals", "bundling", "nobody + drill-press", "", "X space"):
        assert places.of(where) == THE_PLAN


def test_the_worst_place_comes_first_and_names_count_as_people_do(four_box):
    """Law before the plan's own claims, then C2 before C10."""
    many = [circuit.model_copy(update={"id": f"C{n}", "runs": ()}) for circuit in
            four_box.circuits[:1] for n in (10, 2, 1)]  # fmt: skip
    places = Places(four_box.model_copy(update={"circuits": tuple(many)}))
    found = [
        finding("C1", "note"), finding("C10", "warning"), finding("C2", "warning"),
        finding("totals", "violation", "plan"), finding("P", "violation"),
        finding("C10", "note"), finding("C2", "violation", "plan"), finding("C2", "violation"),
    ]  # fmt: skip
    grouped = places.grouped(found)
    assert [place.id for place, _ in grouped] == ["P", "C2", "plan", "C10", "C1"]
    told = [(f.severity, f.basis) for f in dict(grouped)[places.of("C2")]]
    assert told == [("violation", "code"), ("violation", "plan"), ("warning", "code")]
    assert sum(len(here) for _, here in grouped) == len(found)
    document = places.document(found)
    assert [place["id"] for place in document] == [place.id for place, _ in grouped]
    assert document[0]["findings"] == ["box-fill:P:violation"]


def test_a_plan_whose_names_lead_nowhere_still_has_places(four_box):
    outlets = tuple(outlet.model_copy(update={"circuit": "?"}) for outlet in four_box.outlets)
    places = Places(four_box.model_copy(update={"circuits": (), "outlets": outlets}))
    assert places.of("N1.top") == THE_PLAN
    assert places.of("N1").heading.endswith("on no circuit")


def test_findings_of_a_rule_stand_in_order_of_their_names(garage):
    """C2 before C10, and the worst first whatever its name."""
    note = garage.findings[0].model_copy(update={"severity": "note", "rule": "any"})
    notes = [note.model_copy(update={"where": where}) for where in ("C10.2", "C2.1", "C10.1")]
    worst = note.model_copy(update={"severity": "violation", "where": "Z"})
    told = [one.where for one in worst_first([*notes, worst])]
    assert told == ["Z", "C2.1", "C10.1", "C10.2"]
