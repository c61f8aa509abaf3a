"""Shots in envelopes that the CloudEvents SDK of the standard's own project makes."""

import datetime
import json
import sys

import httpx
from cloudevents.core.bindings.http import to_binary_event, to_structured_event
from cloudevents.core.formats.json import JSONFormat
from cloudevents.core.v1.event import CloudEvent

service = httpx.Client(base_url=sys.argv[1], timeout=30)
noon = datetime.datetime(2026, 4, 11, 12, 0, 0, 250_000, tzinfo=datetime.timezone.utc)


def envelope(number, carry_m=158.3, **more):
    """The envelope of a shot."""
    attributes = {
        "id": f"ce-{number}", "source": "bay-3", "type": "evencarry.shot.v1",
        "time": noon + datetime.timedelta(minutes=number), **more,
    }
    data = {"player": "rowan", "club": "5h",
            "launch": {"ball_speed_mps": 51.9, "launch_angle_deg": 16.8}, "flight": {"carry_m": carry_m}}
    return CloudEvent(attributes, data)


def send(message):
    """The answer to a message that the SDK made."""
    return service.post("/v1/shots", content=message.body, headers=message.headers)


# One, in structured mode; attributes of others are kept.
sent = to_structured_event(envelope(1, subject="range", traceparent="00-ab"))
stored = send(sent)
assert stored.status_code == 201, stored.text
assert stored.json()["status"] == "stored", stored.text
item = service.get("/v1/shots/bay-3/ce-1").raise_for_status().json()
assert item["player"] == "rowan" and item["event"]["flight"]["carry_m"] == 158.3, item
kept = item["event"]["ext"]["cloudevent"]
assert kept["subject"] == "range" and kept["traceparent"] == "00-ab", kept

# The same again, and as the plain event with the same members, is a duplicate.
assert send(sent).json()["status"] == "duplicate"
assert service.post("/v1/shots", json=item["event"]).json()["status"] == "duplicate"

# A batch: the JSON format's list of what the SDK writes.
written = [json.loads(JSONFormat().write(envelope(number))) for number in range(2, 12)]
batch = {"Content-Type": "application/cloudevents-batch+json"}
told = service.post("/v1/shots", content=json.dumps(written), headers=batch)
assert told.status_code == 200 and told.json()["accepted"] == 10, told.text

# Binary mode is told what to do instead.
refused = send(to_binary_event(envelope(12)))
assert refused.status_code == 415 and "application/cloudevents+json" in refused.json()["detail"], refused.text

# Another type of event is no shot, and a fault within the data is found where it is.
foreign = send(to_structured_event(envelope(13, type="weather.report.v1")))
assert [error["pointer"] for error in foreign.json()["errors"]] == ["/type"], foreign.text
faulty = send(to_structured_event(envelope(14, carry_m=1_583)))
assert [error["pointer"] for error in faulty.json()["errors"]] == ["/data/flight/carry_m"], faulty.text

listed = service.get("/v1/shots", params={"player": "rowan", "limit": 1000}).json()
assert len(listed["items"]) == 11, listed
print("all of it")
