"""What schemathesis has to be told beyond the description."""

import json
import zlib

import schemathesis


@schemathesis.serializer("application/x-ndjson")
def lines(ctx, value):
    """A stream is a text as it stands; anything else is one line."""
    if isinstance(value, bytes):
        return value
    return (value if isinstance(value, str) else json.dumps(value)).encode()


CONDITIONS = ("If-Match", "If-None-Match")


def is_condition(parameter):
    return parameter["in"] == "header" and parameter["name"] in CONDITIONS


@schemathesis.hook
def before_load_schema(context, schema):
    """Seven pairs of spellings in one object are more than the generator unfolds. The pairs of all
    other objects stay; the event suite tries each pair of this one. Conditions come from `before_call`:
    a made-up tag would keep nearly all writes from happening."""
    schemas = schema["components"]["schemas"]
    for event in schemas["ShotEvent"], schemas["CloudEvent"]["properties"]["data"]:
        event["properties"]["flight"].pop("dependentSchemas", None)
    for item in schema["paths"].values():
        for operation in item.values():
            named = operation.get("parameters", [])
            operation["parameters"] = [one for one in named if not is_condition(one)]


@schemathesis.hook
def before_call(context, case, kwargs):
    """A stream ends, and no list waits for long. Every second write has a condition, `*`; which, follows from what is written, so that a failure
    comes again."""
    if case.path == "/v1/live" and "until" not in case.query:
        case.query = {"after": 0, **case.query, "until": 0}
    if case.path == "/v1/shots" and str(case.query.get("wait")).isdigit() and int(case.query["wait"]) <= 60:
        case.query = {**case.query, "wait": min(int(case.query["wait"]), 1)}
    if case.method.upper() in ("PUT", "PATCH", "DELETE"):
        drawn = zlib.crc32(repr((case.path_parameters, case.body)).encode()) % (2 * len(CONDITIONS))
        if drawn < len(CONDITIONS):
            case.headers[CONDITIONS[drawn]] = "*"
