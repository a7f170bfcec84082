"""Two pseudo-terminals joined to one line, so that two programs that each want a serial port talk to each other.

stdout: the two paths, one a line. The line is there until stdin ends.
"""
import os
import pty
import selectors
import sys
import tty

# The slave sides stay open here, so that the line outlives a program closing and reopening its end.
first, first_slave = pty.openpty()
second, second_slave = pty.openpty()
for slave in (first_slave, second_slave):
    tty.setraw(slave)
print(os.ttyname(first_slave))
print(os.ttyname(second_slave), flush=True)
other = {first: second, second: first}
ears = selectors.DefaultSelector()
for ear in (first, second, 0):
    ears.register(ear, selectors.EVENT_READ)
while True:
    for key, _ in ears.select():
        heard = os.read(key.fd, 65536)
        if key.fd != 0:
            os.write(other[key.fd], heard)
        elif not heard:
            sys.exit(0)
