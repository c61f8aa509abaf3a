"""A client that was generated from the published description, used as a dashboard would.

Run with the address of a service and the folder that holds the generated package.
"""

import datetime
import sys

URL, PACKAGE = sys.argv[1:]
sys.path.insert(0, PACKAGE)

from evencarry_client import Client  # noqa: E402
from evencarry_client.api.assignments import assign_shots  # noqa: E402
from evencarry_client.api.players import judge_replacements, put_player, read_profile  # noqa: E402
from evencarry_client.api.shots import correct_shot, list_shots, read_shot, send_shots  # noqa: E402
from evencarry_client.models import (  # noqa: E402
    Assignment,
    Correction,
    Hand,
    Player,
    PlayerEntry,
    Problem,
    Profile,
    Progress,
    Replacements,
    SettingAside,
    ShotEvent,
    ShotEventFlight,
    ShotEventLaunch,
    ShotFilter,
    ShotPage,
    Status,
    Stored,
    StoredShot,
    VerdictWord,
)

client = Client(base_url=URL)


def of(kind, answer):
    """The answer, which must be of this type."""
    assert isinstance(answer, kind), answer
    return answer


def shot(id, club=None, carry_m=158.3, minute=0):
    start = datetime.datetime(2026, 4, 11, 10, 0, tzinfo=datetime.timezone.utc)
    event = ShotEvent(
        id=id,
        source="bay-3",
        time=(start + datetime.timedelta(minutes=minute)).strftime("%Y-%m-%dT%H:%M:%SZ"),
        launch=ShotEventLaunch(ball_speed_mps=51.9, launch_angle_deg=16.8, spin_rate_rpm=5240),
        flight=ShotEventFlight(carry_m=carry_m),
    )
    if club:
        event.player, event.club = "rowan", club
    return event


player = Player(name="Rowan", hand=Hand.LEFT)
made = of(PlayerEntry, put_player.sync("rowan", client=client, body=player))
assert made.hand is Hand.LEFT and made.id == "rowan", made

stored = of(Stored, send_shots.sync(client=client, body=shot("1")))
assert stored.status is Status.UNASSIGNED and stored.sequence > 0, stored

rest = [
    shot(f"{club}-{at}", club, carry, at).to_dict()
    for club, carry in (("5h", 158.0), ("4u", 158.5))
    for at in range(10)
]
many = of(Progress, send_shots.sync(client=client, body=rest + [{"id": "bad"}]))
assert (many.accepted, many.refused) == (20, 1), many
assert many.refusals[0].errors[0].pointer, many

wanted = Assignment(
    filter_=ShotFilter(source="bay-3", unassigned=True),
    set_=Correction(player="rowan", club="5h"),
)
assigned = assign_shots.sync(client=client, body=wanted)
assert (assigned.matched, assigned.changed, assigned.dry_run) == (1, 1, False), assigned

aside = Correction(set_aside=SettingAside(reason="phone rang"))
corrected = of(StoredShot, correct_shot.sync("bay-3", "1", client=client, body=aside))
assert corrected.set_aside.reason == "phone rang" and corrected.club == "5h", corrected
read = of(StoredShot, read_shot.sync("bay-3", "1", client=client))
assert read.event.launch.ball_speed_mps == 51.9 and read.event.id == "1", read

page = of(ShotPage, list_shots.sync(client=client, player="rowan", limit=5))
assert len(page.items) == 5 and isinstance(page.next_, str), page

profile = of(Profile, read_profile.sync("rowan", "4u", client=client))
assert profile.metrics.carry_m.n == 10 and profile.metrics.carry_m.mean == 158.5, profile

judged = of(Replacements, judge_replacements.sync("rowan", client=client, incumbent="5h"))
(candidate,) = judged.candidates
assert candidate.club == "4u" and candidate.verdict in VerdictWord, candidate
assert judged.brief.carry_margin_m > 4.5, judged.brief
assert {criterion.name.value for criterion in candidate.criteria} >= {"carry_held", "spin_lower"}

problem = of(Problem, read_profile.sync("nobody", "4u", client=client))
assert problem.type_ == "/docs/errors/not-found" and problem.status == 404, problem
print("all of it")
