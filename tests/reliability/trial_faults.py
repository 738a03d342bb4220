"""Every call that touches the shelf, failing with every error or killed: command line and bench."""

from __future__ import annotations

import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from trial_ground import ENV, PATIENCE_S, Bench, Outcome, needs, new_shelf, says, strays, workshop

CALLS = "openat,read,write,fsync,close,rename,renameat2,unlink,flock,mkdir,newfstatat,fstat,fchmod"
CALLS += ",getdents64,link"
ERRORS = ("ENOSPC", "EIO", "EDQUOT", "EACCES", "EROFS", "EINTR", "EMFILE")
FAULTS = (*ERRORS, "SIGKILL")
NAIVE = """
import sys
path, text = sys.argv[1:]
had = open(path).read()
try:
    with open(path, "w") as file:
        file.write(had + text)
except OSError:
    pass
print("kept")
"""
"""A saver as one writes it without a thought: the harness must catch it."""


def touching(log: str, folder: Path) -> list[tuple[str, int]]:
    """Return each call that touches the folder, with its number among the calls of its name."""
    counts: dict[str, int] = {}
    found = []
    for line in log.splitlines():
        call = re.match(r"(?:\d+ +)?(\w+)\(", line)
        if call is None:
            continue
        counts[call[1]] = counts.get(call[1], 0) + 1
        if str(folder) in line:
            found.append((call[1], counts[call[1]]))
    return found


def injected(call: str, number: int, fault: str) -> str:
    what = f"signal={fault}" if fault.startswith("SIG") else f"error={fault}"
    return f"inject={call}:{what}:when={number}"


def chosen(calls: list[tuple[str, int]], most: int) -> Iterator[tuple[str, int, str]]:
    """Yield calls and faults, all of them or an even choice."""
    every = [(call, number, fault) for call, number in calls for fault in FAULTS]
    step = max(1, len(every) // most) if most else 1
    if step > 1 and step % len(FAULTS) == 0:
        step += 1  # else the same fault would come each time
    yield from every[::step]


def sweep_command_line(home: Path, most: int = 0) -> Outcome:
    """`workshop note` under strace."""
    needs("strace")
    out = Outcome("command line: every call on the shelf × every fault")
    model, folder, log = home / "model", home / "shelf", home / "log"
    new_shelf(model).change("heron", lambda one: one)
    workshop(model, "note", "heron", "first")

    def again() -> None:
        shutil.rmtree(folder, ignore_errors=True)
        shutil.copytree(model, folder, symlinks=True)

    again()
    workshop(folder, "note", "heron", "new", before=["strace", "-y", "-o", str(log), "-e", f"trace={CALLS}"])
    for call, number, fault in chosen(touching(log.read_text(errors="replace"), folder), most):
        again()
        had = (folder / "heron.toml").read_bytes()
        words = ["strace", "-o", "/dev/null", "-e", f"trace={call}", "-e", injected(call, number, fault)]
        done = workshop(folder, "note", "heron", "new", before=words)
        out.tried += 1
        where = f"{call} {number} {fault}: ended with {done.returncode}"
        out.bad += [f"{where}: {wrong}" for wrong in judged(folder, had, done.returncode, done.stderr)]
        if call != "unlink" and not done.returncode and strays(folder):
            out.bad.append(f"{where}: left behind: {strays(folder)}")
    return out


def judged(folder: Path, had: bytes, code: int, err: bytes) -> Iterator[str]:
    """Yield what is wrong with a shelf after a command that met a fault."""
    try:
        kept = says(folder)
    except Exception as error:
        yield f"torn: {error}"
        return
    killed = code < 0 or code == 128 + signal.SIGKILL
    if "first" not in kept:
        yield "an older line is lost"
    if code == 0 and kept.count("new") != 1:
        yield f"said done, and the line is there {kept.count('new')} times"
    if code not in (0, 2) and not killed:
        yield f"not one clear sentence: {err[-300:]!r}"
    changed = (folder / "heron.toml").read_bytes() != had
    if code == 2 and changed and b"may be kept or not" not in err:
        yield "said refused, and the file is changed"
    after = workshop(folder, "note", "heron", "after")
    if after.returncode != 0 or "after" not in says(folder):
        yield f"the next command does not work: {after.stderr[-300:]!r}"


def sweep_naive(home: Path, most: int = 0) -> Outcome:
    """The same sweep over a saver that writes in place: it must be caught."""
    needs("strace")
    out = Outcome("control: a plain writer under the same faults is caught")
    path, log = home / "heron.toml", home / "log"
    home.mkdir(exist_ok=True)
    line = [sys.executable, "-c", NAIVE, str(path), 'b = "new"\n']
    path.write_text('a = "first"\n')
    trace = ["strace", "-y", "-o", str(log), "-e", f"trace={CALLS}"]
    subprocess.run([*trace, *line], env=ENV, capture_output=True, check=False)
    caught = 0
    for call, number, fault in chosen(touching(log.read_text(errors="replace"), path), most):
        path.write_text('a = "first"\n')
        words = ["strace", "-o", "/dev/null", "-e", f"trace={call}", "-e", injected(call, number, fault)]
        done = subprocess.run([*words, *line], env=ENV, capture_output=True, check=False)
        out.tried += 1
        text = path.read_text()
        fine = ('a = "first"\n', 'a = "first"\nb = "new"\n')
        caught += text not in fine or (b"kept" in done.stdout and "new" not in text)
    out.note = f"caught {caught} times"
    if not caught:
        out.bad.append("the harness does not catch a writer that writes in place")
    return out


# -- the bench: faults on the writer's own thread


def _writer_of(bench: Bench) -> int:
    """Return the thread that saves: the newest one there is after the first change."""
    return max(int(one.name) for one in Path(f"/proc/{bench.process.pid}/task").iterdir())


class Faulty:
    """Strace on the writer's thread for the time of one change."""

    def __init__(self, thread: int, *words: str) -> None:
        self.process = subprocess.Popen(
            ["strace", *words, "-p", str(thread)], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
        )
        assert self.process.stderr is not None
        self.said = self.process.stderr.readline()

    def end(self) -> None:
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
        self.process.wait(PATIENCE_S)
        if self.process.stderr:
            self.process.stderr.close()


def opened(folder: Path) -> Bench:
    bench = Bench(folder)
    bench.until("what is this")
    bench.note("first")
    bench.until("done: first")
    return bench


def sweep_bench(home: Path, most: int = 0) -> Outcome:
    """The bench on a pseudo-terminal: what its screen shows as done is on disk, whatever failed."""
    needs("strace")
    out = Outcome("bench: every call of the writer × every fault")
    folder, log = home / "shelf", home / "log"
    new_shelf(folder)
    bench = opened(folder)
    tracer = Faulty(_writer_of(bench), "-y", "-o", str(log), "-e", f"trace={CALLS}")
    if b"attached" not in tracer.said:
        bench.end()
        tracer.end()
        needs("a strace that may attach")
    bench.note("second")
    bench.until("done: second")
    tracer.end()
    calls = touching(log.read_text(errors="replace"), folder)
    cases = list(chosen(calls, most))
    for count, (call, number, fault) in enumerate(cases):
        if not bench.alive():
            bench.end()
            bench = opened(folder)
        text = f"note-{count}."
        tracer = Faulty(
            _writer_of(bench), "-o", "/dev/null", "-e", f"trace={call}", "-e", injected(call, number, fault)
        )
        bench.note(text)
        out.tried += 1
        where = f"{call} {number} {fault}"
        try:
            shown = bench.until(f"done: {text}", "NOT SAVED", "no: ")
            tracer.end()
            if shown == "NOT SAVED":
                shown = bench.until("everything is on disk", f"done: {text}")
        except AssertionError as error:
            out.bad.append(f"{where}: {error}")
            shown = "?"
        finally:
            tracer.end()
        out.bad += [f"{where}: {wrong}" for wrong in shown_against_disk(folder, text, shown)]
    bench.end()
    return out


def shown_against_disk(folder: Path, text: str, shown: str) -> Iterator[str]:
    try:
        kept = says(folder)
    except Exception as error:
        yield f"torn: {error}"
        return
    if "first" not in kept:
        yield "an older line is lost"
    if shown.startswith(("done", "everything")) and kept.count(text) != 1:
        yield f"shown as done, and on disk {kept.count(text)} times"
    if shown.startswith("no") and text in kept:
        yield "shown as refused, and on disk"
