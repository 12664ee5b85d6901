"""The fleet's workshop: stations, who stands where, and whether the days are enough."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from sizing.errors import PolicyError
from sizing.order.kits import Kit, learned_minutes
from sizing.policy import OrderRules

MOST_VOLUNTEERS = 10_000


@dataclass(frozen=True)
class Station:
    """One place in the workshop. `hours` is the work of all its volunteers together."""

    name: str
    tasks: int
    volunteers: int
    hours: float
    days: float


@dataclass(frozen=True)
class Workshop:
    """The plan for given volunteers and days.

    `days_needed` is that of the slowest station; `volunteers_needed` the fewest with which every station is
    done in the days there are, None if no number is enough.
    """

    stations: tuple[Station, ...]
    volunteers: int
    days: float
    hours: float
    days_needed: float
    volunteers_needed: int | None
    enough: bool


def workshop_plan(kits: Sequence[Kit], rules: OrderRules, *, volunteers: int, days: float) -> Workshop:
    """Return how volunteers are set to the stations so that the slowest is done soonest.

    Each station has somebody; every further volunteer goes where the most days are left, which is optimal
    since a station's days only fall with each one more. With fewer volunteers than stations they work
    through them together, one station after another. Cones are learned by each volunteer. [derived; times as
    the policy says]

    Units: days, hours. Range: 1 to 10,000 volunteers, days above 0.
    """
    if not 1 <= volunteers <= MOST_VOLUNTEERS or not days > 0:
        raise PolicyError(
            "workshop",
            f"{volunteers} volunteers and {days:g} days",
            "1 to 10,000 volunteers and days above 0",
            "say how many come and for how many days",
        )
    jobs = {name: job for name, job in _jobs(kits, rules).items() if job[0]}
    per_day = rules.work_hours_per_day
    together = volunteers < len(jobs)
    crew = dict.fromkeys(jobs, volunteers if together else 1)
    for _ in range(volunteers - len(jobs) if jobs and not together else 0):
        crew[max(jobs, key=lambda name: _days(jobs[name], crew[name], per_day))] += 1
    stations = tuple(
        Station(
            name, jobs[name][0], count, _each(jobs[name], count) * count, _days(jobs[name], count, per_day)
        )
        for name, count in crew.items()
    )
    each = [station.days for station in stations]
    needed = sum(each) if together else max(each, default=0.0)
    hours = sum(station.hours for station in stations)
    fewest = _volunteers_needed(jobs, per_day, days)
    return Workshop(stations, volunteers, days, hours, needed, fewest, needed <= days)


_Job = tuple[int, Callable[[int], float]]
"""Number of tasks, and the minutes one person takes for so many of them."""


def _jobs(kits: Sequence[Kit], rules: OrderRules) -> dict[str, _Job]:
    """Stations in the order the work goes through them."""
    rate, practised = rules.learning_rate, rules.practised_cones

    def total(name: str) -> int:
        return sum(int(getattr(kit.work, name)) for kit in kits)

    return {
        "measure and cut rope": (total("rope_pieces"), lambda n: n * rules.rope_minutes_per_piece),
        "sew cones": (
            total("cones_to_sew"), lambda n: learned_minutes(n, rules.sew_minutes_per_cone, rate, practised)
        ),
        "splice eyes": (total("splices"), lambda n: n * rules.splice_minutes),
        "fit cones": (
            total("cones_to_fit"), lambda n: learned_minutes(n, rules.minutes_per_cone, rate, practised)
        ),
        "check and pack": (total("bags"), lambda n: n * rules.packing_minutes),
    }  # fmt: skip


def _each(job: _Job, count: int) -> float:
    """Hours of the volunteer with the most to do."""
    tasks, minutes = job
    return minutes(-(-tasks // count)) / 60


def _days(job: _Job, count: int, per_day: float) -> float:
    return _each(job, count) / per_day


def _fewest(job: _Job, per_day: float, days: float) -> int | None:
    """Fewest volunteers that do a station in the days; None if one task takes longer than that."""
    low, high = 1, max(job[0], 1)
    if _days(job, high, per_day) > days:
        return None
    while low < high:
        middle = (low + high) // 2
        if _days(job, middle, per_day) <= days:
            high = middle
        else:
            low = middle + 1
    return low


def _volunteers_needed(jobs: dict[str, _Job], per_day: float, days: float) -> int | None:
    """Fewest volunteers with whom the days are enough, set to stations or, if few, working together."""
    for few in range(1, len(jobs)):
        if sum(_days(job, few, per_day) for job in jobs.values()) <= days:
            return few
    each = [_fewest(job, per_day, days) for job in jobs.values()]
    return None if any(n is None for n in each) else sum(n for n in each if n)
