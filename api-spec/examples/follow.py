#!/usr/bin/env python3
"""Follows the live stream, and tells when the verdict on a club changes.

    python3 follow.py rowan 5h

Needs Python 3.9 and nothing else. A stream that breaks is taken up again behind the last event that
came (`Last-Event-ID`), so every shot is counted once, those that came in meanwhile too.
"""

import http.client
import json
import os
import sys
import time
import urllib.error
import urllib.parse
import urllib.request

SERVICE = os.environ.get("EVENCARRY_URL", "http://127.0.0.1:8417")
# The service says something at least every 15 seconds; who hears nothing for longer is cut off.
SILENCE_S = 45
SOONEST_S, LATEST_S = 1, 60


def events(lines):
    """The events of a stream (HTML Standard, 9.2.6): kind, id and data; an id only where it has one."""
    kind, place, data = "message", None, []
    for line in lines:
        name, _, value = line.decode().rstrip("\r\n").partition(":")
        value = value.removeprefix(" ")
        if name == "event":
            kind = value
        elif name == "id":
            place = value
        elif name == "data":
            data.append(value)
        elif not line.strip():
            if data:
                yield kind, place, json.loads("\n".join(data))
            kind, place, data = "message", None, []


def newest():
    """The sequence of the last that happened: what comes behind it is news."""
    with urllib.request.urlopen(f"{SERVICE}/readyz", timeout=SILENCE_S) as answer:
        return str(json.load(answer)["as_of"])


def follow(path):
    """Kind and data of events without an end, each with an id once."""
    last, wait = None, SOONEST_S
    while True:
        try:
            last = last or newest()
            fields = {"Accept": "text/event-stream", "Last-Event-ID": last}
            request = urllib.request.Request(SERVICE + path, headers=fields)
            with urllib.request.urlopen(request, timeout=SILENCE_S) as stream:
                wait, why = SOONEST_S, "the stream has ended"
                for kind, place, data in events(stream):
                    if kind in ("cut", "reset"):
                        last, why = str(data["after"]), data["detail"]
                    else:
                        yield kind, data
                        last = place or last
        except urllib.error.HTTPError as refused:
            why = f"{refused.code} {refused.reason}"
            if refused.code < 500 and refused.code != 429:
                sys.exit(f"{why}: {refused.read().decode(errors='replace')}")
        except (OSError, http.client.HTTPException) as fault:
            why = fault
        print(f"again in {wait} s: {why}", file=sys.stderr, flush=True)
        time.sleep(wait)
        wait = min(2 * wait, LATEST_S)


def tell(player, incumbent):
    """Prints the verdict on every club, and again whenever it is another one."""
    kinds = [("kind", kind) for kind in ("shot", "correction", "verdict")]
    query = urllib.parse.urlencode([("player", player), ("incumbent", incumbent), *kinds])
    known, since = {}, {"shot": 0, "correction": 0}
    for kind, data in follow(f"/v1/live?{query}"):
        if kind in since:
            since[kind] += 1
            continue
        now = {candidate["club"]: candidate["verdict"] for candidate in data["candidates"]}
        changed = [club for club in now if now[club] != known.get(club)]
        later = " and ".join(f"{n} {kind}{'s' * (n != 1)}" for kind, n in since.items()) + " later"
        for club in changed:
            before = f" (was {known[club]})" if club in known else ""
            print(f"{club}: {now[club]}{before}, {later}", flush=True)
        if changed:
            since = dict.fromkeys(since, 0)
        known = now


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    try:
        tell(sys.argv[1], sys.argv[2])
    except KeyboardInterrupt:
        pass
