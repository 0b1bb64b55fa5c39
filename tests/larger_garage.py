"""The one-bay garage with ten receptacles more: too many points to try every circuit. Invented."""

from tests.demo_shops import SCENARIOS

MORE = (1, 2, 3, 5, 6, 7, 13, 14, 19, 20)


def larger_garage() -> str:
    """The text of its shop file."""
    boxes = "".join(
        f"  - {{id: N{n}, wall: west, y: {n + 0.5} ft, height: 60 in, yokes: [duplex 5-20R]}}\n"
        for n in MORE
    )
    text = (SCENARIOS / "one_bay_garage.yaml").read_text("utf-8")
    return text.replace("boxes:\n", f"boxes:\n{boxes}").replace("spaces: 12", "spaces: 20")
