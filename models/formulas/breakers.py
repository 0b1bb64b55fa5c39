"""Breakers as they behave: what they carry, when they must trip, when they may. Amperes, seconds.

Source: UL 489 calibration points (open air, 25 °C; 40 °C for breakers marked so): a breaker carries
its rating, trips at 135 % within an hour (above 50 A two) and at 200 % within minutes. The standard
says nothing between these points, and nothing of the magnetic trip, which here is typical practice.
"""

from typing import Final, Literal, NamedTuple

from models.tables import NotInTableError, read_table

SECONDS_PER_MINUTE: Final = 60
Says = Literal["holds", "may trip", "trips"]


class Verdict(NamedTuple):
    """What a breaker does; `within_s` is when it has tripped at the latest, where that is known."""

    says: Says
    within_s: float | None = None
    rests_on_memory: bool = False


def trip_points(rating_amps: float) -> tuple[tuple[float, float, bool], ...]:
    """Currents at which a breaker must trip, the time it has, and whether that is from memory.

    [A, s]
    >>> trip_points(20)
    ((27.0, 3600.0, False), (40.0, 120.0, False))
    """
    points: dict[float, tuple[float, float, bool]] = {}
    for row in read_table("breaker_calibration"):
        up_to, percent = row.number_or_none("rating_up_to_amps"), row.number("at_percent")
        if percent not in points and (up_to is None or rating_amps <= up_to):
            seconds = row.number("trips_within_min") * SECONDS_PER_MINUTE
            memory = row.text("basis") == "from memory"
            points[percent] = (rating_amps * percent / 100, seconds, memory)
    return tuple(points[percent] for percent in sorted(points))


def verdict(amps: float, seconds: float, rating_amps: float) -> Verdict:
    """What a breaker does with a current for a time, by the calibration points alone.

    It holds up to its rating; it has tripped once a point at or below the current has had its
    time; anything else it may do. No curve is drawn between the points.
    >>> verdict(20, 1e6, 20).says, verdict(24, 1e6, 20).says
    ('holds', 'may trip')
    >>> verdict(27, 3600, 20), verdict(40, 60, 20)
    (Verdict(says='trips', within_s=3600.0, rests_on_memory=False), \
Verdict(says='may trip', within_s=120.0, rests_on_memory=False))
    """
    if amps <= rating_amps:
        return Verdict("holds")
    reached = [point for point in trip_points(rating_amps) if amps >= point[0]]
    if not reached:
        return Verdict("may trip")
    _, within_s, memory = min(reached, key=lambda point: point[1])
    return Verdict("trips" if seconds >= within_s else "may trip", within_s, memory)


def magnetic_pickup_amps(rating_amps: float) -> tuple[float, float]:
    """Least and most current at which small fixed-trip breakers trip at once. [A]

    Common practice, no source: makers differ, UL 489 does not say.
    >>> magnetic_pickup_amps(20), magnetic_pickup_amps(60)
    ((100.0, 400.0), (240.0, 900.0))
    """
    for row in read_table("breaker_magnetic"):
        if rating_amps <= row.number("rating_up_to_amps"):
            least, most = row.number("pickup_from_percent"), row.number("pickup_to_percent")
            return rating_amps * least / 100, rating_amps * most / 100
    raise NotInTableError(
        f"no typical magnetic pickup of a {rating_amps:g} A breaker: ask its maker"
    )


def start_likely_to_trip(start_amps: float, rating_amps: float) -> bool:
    """Whether a motor's starting current reaches the band where a breaker may trip at once.

    Common practice, no source. False means that the start is unlikely to trip it, no more.
    >>> start_likely_to_trip(72, 20), start_likely_to_trip(102, 20)  # 2 and 3 hp at 240 V
    (False, True)
    """
    return start_amps > magnetic_pickup_amps(rating_amps)[0]
