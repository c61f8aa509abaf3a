#!/usr/bin/env python3
"""Sends the new rows of the CSV files in a folder: the skeleton of an adapter for a bay's software.

    python3 watch_folder.py /bay/exports bay-table.json

The second is a mapping: which column fills which member of a shot, in which unit. The file's name is the
mapping's. Needs Python 3.9 and nothing else. A row counts once its line end is written; the last one of
a file that has rested for a minute counts without. How far it came is kept in `sent.json` in the folder.
Stop and start it at any time: what is sent twice is stored once.
"""

import http.client
import json
import os
import pathlib
import sys
import time
import urllib.error
import urllib.parse
import urllib.request

SERVICE = os.environ.get("EVENCARRY_URL", "http://127.0.0.1:8417")
EVERY_S, LATEST_S, RESTED_S = 1, 60, 60
PART_BYTES, LOOK_BACK_BYTES = 4 << 20, 64


def ask(method, path, kind, body):
    """Status and answer. As long as the service is away, it is asked again, ever more rarely."""
    wait = EVERY_S
    while True:
        fields = {"Content-Type": kind}
        request = urllib.request.Request(SERVICE + path, body, fields, method=method)
        try:
            with urllib.request.urlopen(request, timeout=120) as answer:
                return answer.status, json.load(answer)
        except urllib.error.HTTPError as refused:
            if refused.code < 500 and refused.code not in (408, 429):
                return refused.code, json.load(refused)
            why, pause = refused, float(refused.headers.get("Retry-After", wait))
        except (OSError, http.client.HTTPException) as fault:
            why, pause = fault, wait
        print(f"not sent, again in {pause:g} s: {why}", file=sys.stderr, flush=True)
        time.sleep(pause)
        wait = min(2 * wait, LATEST_S)


def head_of(table):
    """The header of a table, or nothing while it is not whole."""
    head = b""
    while not head.strip(b"\xef\xbb\xbf\r\n") or head.count(b'"') % 2 or not head.endswith(b"\n"):
        line = table.readline()
        if not line:
            return b""
        head += line
    return head


def end_of_rows(text):
    """Where the last whole row ends: a line end between quotes is within one."""
    end = text.rfind(b"\n") + 1
    while text.count(b'"', 0, end) % 2:
        end = text.rfind(b"\n", 0, end - 1) + 1
    return end


def news(path, place, before):
    """Header, new rows, the place behind them and what stands before it; a file begun anew is all new."""
    with open(path, "rb") as table:

        def look_back(place):
            table.seek(max(place - LOOK_BACK_BYTES, 0))
            return table.read(min(place, LOOK_BACK_BYTES)).hex()

        head = head_of(table)
        place = max(place, len(head)) if look_back(place) == before else len(head)
        table.seek(place)
        text = table.read(PART_BYTES)
        rested = len(text) < PART_BYTES and time.time() - path.stat().st_mtime > RESTED_S
        rows = text[: len(text) if rested else end_of_rows(text)] if head else b""
        return head, rows, place + len(rows), look_back(place + len(rows))


def kept_in(file):
    """By file, how far it was sent. What cannot be read is as good as nothing: all is sent again."""
    try:
        return json.loads(file.read_text())
    except (OSError, ValueError):
        return {}


def watch(folder, mapping):
    """Sends what is new, for ever."""
    if json.loads(mapping.read_bytes()).get("row_id", {}).get("row"):
        sys.exit("row numbers begin anew with every part that is sent: make ids of columns")
    name = urllib.parse.quote(mapping.stem, safe="")
    status, told = ask("PUT", f"/v1/csv-mappings/{name}", "application/json", mapping.read_bytes())
    if status >= 400:
        sys.exit(told["detail"])
    file, stuck = folder / "sent.json", {}
    sent = kept_in(file)
    while True:
        for path in sorted(path for path in folder.glob("*") if path.suffix.lower() == ".csv"):
            try:
                head, rows, *mark = news(path, *sent.get(path.name, (0, "")))
            except OSError as fault:  # Its writer may hold it, or have moved it away.
                print(f"{path.name}: {fault}", file=sys.stderr, flush=True)
                continue
            if not rows or stuck.get(path.name) == head + rows:
                continue
            status, told = ask("POST", f"/v1/shots?mapping={name}", "text/csv", head + rows)
            errors = [error for row in told.get("refusals", []) for error in row["errors"]]
            for error in errors + told.get("errors", []):
                print(f"{path.name}: {error['pointer']} {error['detail']}", file=sys.stderr, flush=True)
            if status >= 400:  # Said once; the file is sent again when it is another.
                print(f"{path.name}: {told['detail']}", file=sys.stderr, flush=True)
                stuck[path.name] = head + rows
                continue
            sent[path.name] = mark
            file.with_suffix(".new").write_text(json.dumps(sent))
            os.replace(file.with_suffix(".new"), file)
            counts = f"{told['accepted']} accepted, {told['duplicates']} known, {told['refused']} refused"
            print(f"{path.name}: {counts}", flush=True)
        time.sleep(EVERY_S)


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    try:
        watch(pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2]))
    except KeyboardInterrupt:
        pass
