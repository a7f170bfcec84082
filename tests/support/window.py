"""Runs a program on a pseudo-terminal of its own, as a terminal window would.

window.py COLUMNS ROWS PROGRAM ARGUMENT...
What the program writes goes to stdout. Lines on stdin: "keys HEX", "signal NAME", "size COLUMNS ROWS".
At the end one line on stderr: how it ended and whether the terminal's line editing is on again.
"""
import fcntl
import os
import pty
import select
import signal
import struct
import sys
import termios


def set_size(fd, columns, rows):
    fcntl.ioctl(fd, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))


pid, master = pty.fork()
if pid == 0:
    set_size(0, int(sys.argv[1]), int(sys.argv[2]))
    os.execvp(sys.argv[3], sys.argv[3:])

waiting = b""
sources = [master, 0]
while True:
    ready, _, _ = select.select(sources, [], [])
    if master in ready:
        try:
            written = os.read(master, 65536)
        except OSError:
            written = b""
        if not written:
            break
        # The child may be gone already; what it has set stands in the terminal all the same.
        cooked = bool(termios.tcgetattr(master)[3] & termios.ICANON)
        os.write(1, written)
    if 0 in ready:
        read = os.read(0, 65536)
        if not read:
            sources = [master]
        waiting += read
        *lines, waiting = waiting.split(b"\n")
        for line in lines:
            word, *rest = line.decode().split()
            if word == "keys":
                os.write(master, bytes.fromhex(rest[0]))
            elif word == "signal":
                os.kill(pid, signal.Signals[rest[0]])
            elif word == "size":
                set_size(master, int(rest[0]), int(rest[1]))

_, status = os.waitpid(pid, 0)
how = f"signal {signal.Signals(os.WTERMSIG(status)).name}" if os.WIFSIGNALED(status) else f"exit {os.WEXITSTATUS(status)}"
sys.stderr.write(f"{how} {'cooked' if cooked else 'raw'}\n")
