"""An SCPI instrument on a pseudo-terminal, in a process of its own, in real time.

    python3 scpi_instrument.py '{"knots": [[0, 0], [20, 10800], [80, 10500]], "noise_Pa": 2, "seed": 7}'

Prints the name of its serial port, then answers `*IDN?` and `READ?` (pascal, NR3) until its stdin is closed.
The pressure follows straight lines between the knots [seconds, pascal], counted from the first `READ?`;
before the first knot and after the last it stands still. Optional: "resolution_Pa" (default 0.1),
"link" (a name to make for the port), "hush" (a list of [from_s, to_s] in which nothing is answered).
"""
import bisect
import json
import os
import pty
import random
import selectors
import sys
import time
import tty

NAME = "EXAMPLE WORKS,PG-1,0,1.0"
script = json.loads(sys.argv[1])
knots = sorted(script["knots"])
chance = random.Random(script.get("seed", 1))
resolution_Pa = script.get("resolution_Pa", 0.1)
started = None


def pressure(t_s):
    after = bisect.bisect_right([knot[0] for knot in knots], t_s)
    if after == 0:
        return knots[0][1]
    if after == len(knots):
        return knots[-1][1]
    (t0, p0), (t1, p1) = knots[after - 1], knots[after]
    return p0 + (p1 - p0) * (t_s - t0) / (t1 - t0)


def answer(query):
    global started
    if query == "*IDN?":
        return NAME
    if query == "SYST:ERR?":
        return '0,"No error"'
    if query != "READ?":
        return None
    now = time.monotonic()
    started = now if started is None else started
    t_s = now - started
    if any(begin <= t_s < end for begin, end in script.get("hush", [])):
        return None
    value = pressure(t_s) + chance.gauss(0, script.get("noise_Pa", 0))
    return "%+.7E" % (round(value / resolution_Pa) * resolution_Pa)


# The slave stays open here, so that the instrument outlives the program closing and reopening the port.
master, slave = pty.openpty()
tty.setraw(slave)
if "link" in script:
    os.symlink(os.ttyname(slave), script["link"])
print(os.ttyname(slave), flush=True)

ears = selectors.DefaultSelector()
ears.register(master, selectors.EVENT_READ)
ears.register(0, selectors.EVENT_READ)
heard = b""
while True:
    for key, _ in ears.select():
        if key.fd == 0:
            if not os.read(0, 4096):
                sys.exit(0)
            continue
        heard += os.read(master, 4096)
        while b"\n" in heard:
            line, heard = heard.split(b"\n", 1)
            reply = answer(line.decode("ascii", "replace").strip().upper())
            if reply is not None:
                os.write(master, (reply + "\n").encode())
