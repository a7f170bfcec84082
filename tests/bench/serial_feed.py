"""A gauge that prints argv[2] lines a second for argv[3] seconds on a pseudo-terminal linked at argv[1].

Line i is "0.iii Pa", iii = i mod 1000, so that a lost or swapped line shows.
stdout: "ready", after a line on stdin the lines are sent, then "sent N WORST_MS" (how late the latest was: a reader that stalls blocks us).
"""
import os
import pty
import sys
import time
import tty

link, rate, seconds = sys.argv[1], float(sys.argv[2]), float(sys.argv[3])
master, slave = pty.openpty()
tty.setraw(slave)
os.symlink(os.ttyname(slave), link)
print("ready", flush=True)
sys.stdin.readline()
count = int(rate * seconds)
worst = 0.0
start = time.monotonic()
for i in range(count):
    due = start + i / rate
    ahead = due - time.monotonic()
    if ahead > 0:
        time.sleep(ahead)
    os.write(master, b"0.%03d Pa\r\n" % (i % 1000))
    worst = max(worst, time.monotonic() - due)
print("sent %d %.0f" % (count, worst * 1000), flush=True)
# The line stays until the reader has taken everything and says so by closing our stdin.
sys.stdin.read()
os.unlink(link)
