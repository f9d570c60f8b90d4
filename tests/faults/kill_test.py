"""Every verb that writes, killed: at each of its steps, in the middle of each write, and at random moments.

    kill_test.py TOP PROGRAM PRELOAD [RANDOM KILLS OF EACH VERB]

A step is a call that changes a file. Most of a run is reckoning, during which nothing can be lost; so of the random
moments one in four falls anywhere in the run, by a kill from outside, and three fall while files are written: after a
step drawn at random, at a moment drawn from the time until the next. What ends before it is killed does not count.
"""

import collections
import concurrent.futures
import os
import random
import re
import signal
import sys
import time

from studios import CASES, Failed, Trials, contents, leftovers, must, must_be_one_of, must_be_whole, visible


def state_of(files):
    """The files, whatever names were drawn for what is hidden."""
    drawn = re.compile(rb"(\.new-[^\"/]*-)[A-Za-z0-9]{6}")
    return frozenset((drawn.sub(rb"\1", name.encode()), drawn.sub(rb"\1", text) if name.endswith(".changing") else text)
                     for name, text in files.items())


class Killing:
    """A case, and what must hold after a kill of it."""

    def __init__(self, trials, case):
        self.trials, self.case = trials, case
        self.folder = trials.lay_out(case)
        self.calls, all_after = trials.steps_of(self.folder, case.words)
        self.before, self.after = visible(contents(self.folder)), visible(all_after)
        must(self.before != self.after, f"{case} writes nothing")
        must(not leftovers(all_after), f"{case} leaves {leftovers(all_after)}")
        self.seconds = self.time()
        self.known = {}  # what comes of a folder once it is like this
        self.found = collections.Counter()

    def time(self):
        """How long it runs, the middle of three."""
        took = []
        for _ in range(3):
            trial = self.trials.copy(self.folder, "timed")
            begun = time.monotonic()
            self.trials.run(trial, self.case.words)
            took.append(time.monotonic() - begun)
        return sorted(took)[1]

    def by_itself(self, fault, what):
        trial = self.trials.copy(self.folder, "killed")
        ran = self.trials.run(trial, self.case.words, {"FAULT": fault})
        return self.ended(trial, ran.status, f"{self.case}, {what}")

    def from_outside(self, seconds):
        trial = self.trials.copy(self.folder, "killed")
        process = self.trials.start(trial, self.case.words)
        time.sleep(seconds)
        process.kill()
        process.communicate()
        return self.ended(trial, process.returncode, f"{self.case}, killed after {1000 * seconds:.1f} ms")

    def ended(self, trial, status, what):
        """Whether it was killed; all must be well in either case."""
        if status == 0:
            must(visible(contents(trial)) == self.after, f"{what}: done, but not as it should be")
            return False
        must(status == -signal.SIGKILL, f"{what}: status {status}")
        now = contents(trial)
        state = state_of(now)
        if state not in self.known:
            self.known[state] = self.look_after(trial, now, what)
        self.found[self.known[state]] += 1
        return True

    def look_after(self, trial, now, what):
        """Whole files now; all old or all new once the next ellwand has read them; the same again does what is left."""
        must_be_whole(visible(now), self.before, self.after, what)
        read = self.trials.run(trial, ["estimate", "demo/pieces/sedge.toml"])
        must(read.status == 0, f"{what}: the next estimate: {read.told}")
        now = visible(contents(trial))
        if self.case.verb != "start" and not self.case.apart:
            must_be_one_of(now, self.before, self.after, what)
        if now == self.after:
            return "new"
        was_old = now == self.before
        again = self.trials.run(trial, self.case.words)
        must(again.status == 0, f"{what}: the same again: {again.told}")
        if not self.case.apart:
            must(visible(contents(trial)) == self.after, f"{what}: the same again gives something else")
        return "old" if was_old else "begun"

    def at_each_step(self):
        for step, call in enumerate(self.calls, 1):
            must(self.by_itself(f"kill:{step}", f"killed at step {step}"), f"{self.case} lived on at step {step}")
            if call.name == "write":
                must(self.by_itself(f"half:{step}", f"killed in the middle of step {step}"), f"{self.case} lived on")

    def at_random(self, kills, chance):
        killed = tried = 0
        while killed < kills:
            must(tried < 5 * kills + 50, f"{self.case}: hardly ever is it killed before it is done")
            tried += 1
            if chance.random() < 0.25:
                killed += self.from_outside(chance.uniform(0, self.seconds))
                continue
            step = chance.randrange(len(self.calls))
            later = round(chance.uniform(0, self.calls[step].microseconds))
            killed += self.by_itself(f"later:{step + 1}:{later}", f"killed {later} us after step {step + 1}")

    def clean_up(self):
        """What a kill left of the same files is gone after a run an hour later."""
        trial = self.trials.copy(self.folder, "killed")
        self.trials.run(trial, self.case.words, {"FAULT": "kill:3"})
        left = [name for name in leftovers(contents(trial)) if ".new-" in name]
        must(left, f"{self.case}: a kill at step 3 leaves nothing, so this test sees nothing")
        for name in left:
            for path in (trial / name, (trial / name).parent):
                os.utime(path, (time.time() - 7200, time.time() - 7200))
        ran = self.trials.run(trial, self.case.words)
        must(ran.status == 0, f"{self.case}: {ran.told}")
        still = [name for name in leftovers(contents(trial)) if name in left]
        must(not still, f"{self.case}: {still} is never cleaned up")


def tried(number, kills, places):
    """One case, in a process of its own."""
    case = CASES[number]
    trials = Trials(*places)
    try:
        killing = Killing(trials, case)
        killing.at_each_step()
        killing.at_random(kills, random.Random(number))
        if case.verb in ("record", "notebook", "sheet"):
            killing.clean_up()
    finally:
        trials.close()
    print(f"{len(killing.calls):4} steps, {1000 * killing.seconds:5.0f} ms, {len(killing.known):3} states  {case}", flush=True)
    return killing.found


def main():
    places = sys.argv[1:4]
    of_each = int(sys.argv[4]) if len(sys.argv) > 4 else 300
    cases_of = collections.Counter(case.verb for case in CASES)
    found = collections.Counter()
    with concurrent.futures.ProcessPoolExecutor(os.cpu_count()) as pool:
        running = [pool.submit(tried, number, -(-of_each // cases_of[case.verb]), places)
                   for number, case in enumerate(CASES)]
        try:
            for one in concurrent.futures.as_completed(running):
                found += one.result()
        except Failed as failed:
            pool.shutdown(cancel_futures=True)
            sys.exit(f"FAILED: {failed}")
    print(f"{len(cases_of)} verbs killed {sum(found.values())} times; left behind " +
          ", ".join(f"{what} {n} times" for what, n in sorted(found.items())))


main()
