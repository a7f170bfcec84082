"""A pseudo-terminal for tests. argv[1] becomes a link to its slave side.

stdin:  "w HEX" writes bytes to the program under test, "hang" takes the line away.
stdout: "ready PATH", then "r HEX" for bytes the program wrote, "hung" when the line is gone.
"""
import os
import pty
import selectors
import sys
import tty

link = sys.argv[1]
# The slave stays open here, so that the line outlives the program closing and reopening it.
master, slave = pty.openpty()
tty.setraw(slave)
os.symlink(os.ttyname(slave), link)


def say(text):
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


say("ready " + os.ttyname(slave))
ears = selectors.DefaultSelector()
ears.register(master, selectors.EVENT_READ)
ears.register(0, selectors.EVENT_READ)
commands = b""
while True:
    for key, _ in ears.select():
        if key.fd == 0:
            more = os.read(0, 65536)
            if not more:
                sys.exit(0)
            commands += more
        else:
            say("r " + os.read(master, 65536).hex())
    while b"\n" in commands:
        line, commands = commands.split(b"\n", 1)
        if line == b"hang":
            ears.unregister(master)
            os.unlink(link)
            os.close(slave)
            os.close(master)
            say("hung")
        else:
            os.write(master, bytes.fromhex(line[2:].decode()))
