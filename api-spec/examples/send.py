#!/usr/bin/env python3
"""Sends shots from a file of JSON lines and asks which club can take another's place.

    python3 send.py shots.ndjson rowan 5h

Needs Python 3.9 and nothing else. Sending is safe to repeat: what is stored already counts as a
duplicate, so after a cut the same file is sent again from its beginning.
"""

import json
import os
import sys
import time
import urllib.error
import urllib.parse
import urllib.request

SERVICE = os.environ.get("EVENCARRY_URL", "http://127.0.0.1:8417")


def ask(request):
    """The answer to a request; one that the service cannot take just now is tried again."""
    while True:
        try:
            with urllib.request.urlopen(request, timeout=120) as answer:
                return json.load(answer)
        except urllib.error.HTTPError as refused:
            problem = json.load(refused)
            if refused.code not in (429, 503):
                sys.exit(f"{problem['title']}: {problem['detail']}")
            time.sleep(float(refused.headers.get("Retry-After", "5")))
        except urllib.error.URLError as unreachable:
            print(f"no answer ({unreachable.reason}), trying again", file=sys.stderr)
            time.sleep(5)


def send(path):
    """Sends a file of JSON lines, and says what became of it."""
    with open(path, "rb") as lines:
        body = lines.read()
    kind = {"Content-Type": "application/x-ndjson"}
    told = ask(urllib.request.Request(f"{SERVICE}/v1/shots", body, kind))
    print(f"{told['accepted']} accepted, {told['duplicates']} known, {told['refused']} refused")
    for refusal in told["refusals"]:
        for error in refusal["errors"]:
            print(f"  line {refusal['line']}, {error['pointer']}: {error['detail']}")


def judge(player, incumbent):
    """Prints the verdict on every club that could take the incumbent's place."""
    query = urllib.parse.urlencode({"incumbent": incumbent})
    path = f"{SERVICE}/v1/players/{urllib.parse.quote(player, safe='')}/replacements?{query}"
    for candidate in ask(path)["candidates"]:
        print(f"{candidate['club']}: {candidate['verdict']}")
        for criterion in candidate["criteria"]:
            low, high = criterion["low"], criterion["high"]
            between = "no interval yet" if low is None else f"{low:.1f} to {high:.1f}"
            print(f"  {criterion['name']} ({criterion['metric']}): {criterion['state']}, {between}")


if __name__ == "__main__":
    if len(sys.argv) != 4:
        sys.exit(__doc__)
    send(sys.argv[1])
    judge(sys.argv[2], sys.argv[3])
