"""Every verb that writes, where a step of it fails: each call in turn with a full disk, a full disk and a read-only one for real,
and a folder that only another user may write. All is as it was, and one sentence says so.

    refused_test.py TOP PROGRAM PRELOAD
"""

import contextlib
import errno
import os
import pathlib
import shutil
import subprocess
import sys

from studios import CASES, Failed, Trials, contents, leftovers, must, must_be_told, visible

NOBODY = 65534


def each_step_fails(trials, folder, case, before, after, steps):
    """The call that fails is refused, or was of no matter."""
    for step in range(1, steps + 1):
        what = f"{case}, no room at step {step}"
        trial = trials.copy(folder, "failing")
        ran = trials.run(trial, case.words, {"FAULT": f"fail:{step}:{errno.ENOSPC}"})
        now = contents(trial)
        must(not leftovers(now) or ran.status == 0, f"{what}: {leftovers(now)} is left behind")
        if ran.status == 0:
            must(visible(now) == after, f"{what}: done, but not as it should be")
            continue
        must_be_told(ran, what)
        if not case.apart:
            must(visible(now) == before, f"{what}: refused, and yet something changed")


@contextlib.contextmanager
def mounted(folder, size):
    """A small disk of its own there; nothing where this user may not mount one."""
    done = subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", folder], capture_output=True, check=False)
    try:
        yield done.returncode == 0
    finally:
        if done.returncode == 0:
            subprocess.run(["umount", folder], check=True)


def on_a_full_disk(trials, folder, case, before):
    disk = trials.room / "disk"
    disk.mkdir(exist_ok=True)
    with mounted(disk, "1m") as is_mounted:
        if not is_mounted:
            return False
        shutil.copytree(folder, disk / "full", symlinks=True)
        shutil.copytree(folder, disk / "fixed", symlinks=True)
        filling = disk / "filling"
        with contextlib.suppress(OSError), open(filling, "wb", buffering=0) as out:
            while True:
                out.write(b"x" * 4096)
        ran = trials.run(disk / "full", case.words)
        must_be_told(ran, f"{case}, the disk is full")
        must("No space left" in ran.told, f"{case}: {ran.told!r} does not tell of the disk")
        must(contents(disk / "full") == before, f"{case}: the disk was full, and yet something changed")
        filling.unlink()
        ran = trials.run(disk / "full", case.words)
        must(ran.status == 0, f"{case}, room again: {ran.told}")
        subprocess.run(["mount", "-o", "remount,ro", disk], check=True)
        must_be_told(trials.run(disk / "fixed", case.words), f"{case}, the disk is read-only")
        must(contents(disk / "fixed") == before, f"{case}: the disk was read-only, and yet something changed")
    return True


def by_another_user(trials, folder, case, before):
    """The folders are root's, and nobody tries to write into them."""
    if os.getuid() != 0:
        for place in [folder, *folder.rglob("*")]:
            if place.is_dir():
                place.chmod(0o555)
        more = {}
    else:
        more = {"user": NOBODY, "group": NOBODY, "extra_groups": []}
    try:
        ran = trials.run(folder, case.words, **more)
    finally:
        if not more:
            for place in [folder, *folder.rglob("*")]:
                if place.is_dir():
                    place.chmod(0o755)
    must_be_told(ran, f"{case}, not allowed to write")
    must(contents(folder) == before, f"{case}: not allowed to write, and yet something changed")


def main():
    top, program, preload = sys.argv[1:4]
    trials = Trials(top, program, preload)
    trials.room.chmod(0o755)
    fails = on_disks = 0
    skipped = ""
    try:
        for case in CASES:
            folder = trials.lay_out(case)
            calls, all_after = trials.steps_of(folder, case.words)
            steps = len(calls)
            before, after = visible(contents(folder)), visible(all_after)
            each_step_fails(trials, folder, case, before, after, steps)
            fails += steps
            if on_a_full_disk(trials, folder, case, before):
                on_disks += 1
            else:
                skipped = "; real disks were left out, for this user may mount none"
            if not is_reachable(trials.program):
                skipped += "; another user was left out, for the program lies where only this one looks"
            else:
                by_another_user(trials, trials.copy(folder, "not allowed"), case, before)
    except Failed as failed:
        sys.exit(f"FAILED: {failed}")
    finally:
        trials.close()
    print(f"{len(CASES)} verbs, {fails} steps that failed, {on_disks} full and read-only disks{skipped}")


def is_reachable(program):
    """Whether any user may run it."""
    path = pathlib.Path(program)
    return os.getuid() != 0 or all(place.stat().st_mode & 0o001 for place in [path, *path.parents])


main()
