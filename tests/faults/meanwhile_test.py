"""What others do meanwhile: another program changes the file that is written, or takes the folder away, at every step; two and
four programs record at once; what is found was left by older and newer programs.

    meanwhile_test.py TOP PROGRAM PRELOAD
"""

import json
import os
import pathlib
import signal
import sys
import threading

from studios import (BAD_INPUT, CASES, Case, Failed, Ran, Trials, contents, leftovers, must, must_be_one_of, must_be_told,
                     visible)

RECORDS = [case for case in CASES if case.verb in ("record", "bring-in", "calibrate")]
EACH = 50  # records of each writer


def stopped_at(trials, folder, case, step, meanwhile, what):
    """Runs it, does something else at one of its steps, and lets it go on. Nothing where it does not stop there."""
    trial = trials.copy(folder, "stopped")
    process = trials.start(trial, case.words, {"FAULT": f"stop:{step}"})
    _, status = os.waitpid(process.pid, os.WUNTRACED)
    if not os.WIFSTOPPED(status):
        process.communicate()
        return None
    meanwhile(trial)
    os.kill(process.pid, signal.SIGCONT)
    out, told = process.communicate(timeout=60)
    must(process.returncode in (0, BAD_INPUT), f"{what}: status {process.returncode}, {told!r}")
    return trial, Ran(process.returncode, out, told.decode("utf-8", "replace"))


def changed_meanwhile(trials, case):
    """Another program adds a remark to each file that the verb changes. Where that comes before the verb has
    looked for the last time it is refused, later it was done first; never is the remark or the record lost."""
    folder = trials.lay_out(case)
    calls, after = trials.steps_of(folder, case.words)
    steps = len(calls)
    before = contents(folder)
    changed = sorted(name for name in visible(after) if after[name] != before.get(name, after[name]))
    remark = {".csv": b"", ".toml": b"# looked through\n", ".json": b"\n"}
    tried = 0
    for name in changed:
        # A row of a table is what another program would add.
        added = remark[pathlib.Path(name).suffix] or last_row(before[name])
        for step in range(1, steps + 1):
            what = f"{case}, {name} changed at step {step} of {steps}"

            def meanwhile(trial, name=name, added=added):
                here = trial / name
                (trial / "written anew").write_bytes(here.read_bytes() + added)
                (trial / "written anew").rename(here)

            stopped = stopped_at(trials, folder, case, step, meanwhile, what)
            if stopped is None:
                continue
            trial, ran = stopped
            now = visible(contents(trial))
            tried += 1
            if ran.status == 0:
                # Its own text was in place by then, or another program's under it: both are there.
                must(now[name] == after[name] + added, f"{what}: done, and the other's change is gone")
                continue
            must_be_told(ran, what)
            theirs = {**visible(before), name: before[name] + added}
            must(now == theirs, f"{what}: refused, but it changed " +
                 ", ".join(one for one in now if now[one] != theirs.get(one)))
            must(not leftovers(contents(trial)), f"{what}: {leftovers(contents(trial))} is left behind")
    return tried


def last_row(table):
    return table.splitlines(keepends=True)[-1]


def vanished_meanwhile(trials, case):
    folder = trials.lay_out(case)
    calls, after = trials.steps_of(folder, case.words)
    steps = len(calls)
    before = visible(contents(folder))
    tried = 0
    for step in range(1, steps + 1):
        what = f"{case}, its studio moved away at step {step}"
        stopped = stopped_at(trials, folder, case, step, lambda trial: (trial / "demo").rename(trial / "moved"), what)
        if stopped is None:
            continue
        trial, ran = stopped
        must(not (trial / "demo").exists(), f"{what}: it was made anew")
        (trial / "moved").rename(trial / "demo")
        if ran.status != 0:
            must_be_told(ran, what)
        trials.run(trial, ["estimate", "demo/pieces/sedge.toml"])
        now = visible(contents(trial))
        # Noted files that were hindered at the last moment are written when the studio is back.
        must_be_one_of(now, before, visible(after), what)
        must(ran.status != 0 or now == visible(after), f"{what}: it was done, and is not there")
        tried += 1
    return tried


def writer(trials, folder, words, results):
    for number in range(EACH):
        results.append((number, trials.run(folder, [word.format(number) for word in words])))


def at_once(trials, writers):
    """Each records its own, again and again; all are there, or their refusal was told."""
    folder = trials.lay_out(Case("start new"))
    results = [[] for _ in writers]
    threads = [threading.Thread(target=writer, args=(trials, folder, words, its)) for words, its in zip(writers, results)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    files = contents(folder)
    recorded = refused = 0
    for words, its in zip(writers, results):
        for number, ran in its:
            mark = next(word for word in words if "{}" in word).format(number).encode()
            place = "demo/pieces/saltmarsh.toml" if "finished" in words else f"demo/{words[2].replace('minutes', 'time').replace('lot', 'lots')}.csv"
            count = files[place].count(mark)
            if ran.status == 0:
                must(count == 1, f"{words[2]} {number} was recorded, and is there {count} times")
                recorded += 1
            else:
                must_be_told(ran, f"{words[2]} {number}, others writing")
                must(count == 0, f"{words[2]} {number} was refused, and is there")
                refused += 1
    must(not leftovers(files), f"{leftovers(files)} is left behind")
    return folder, recorded, refused


def two_writers(trials):
    lot = ["record", "demo", "lot", "--yarn", "rug-wool-ink", "--net-g", "10", "--lot"]
    _, recorded, refused = at_once(trials, [lot + ["first-{}-"], lot + ["second-{}-"]])
    must(recorded + refused == 2 * EACH, "a record is missing")
    # Finished pieces take off the shelf what lots are added to meanwhile: 50 times 0.5 of 34 g.
    finished = ["record", "demo", "finished", "--piece", "saltmarsh", "--yarn", "rug-wool-rust", "--lot", "R5", "--used-g", "0.5", "--note", "note-{}-"]
    minutes = ["record", "demo", "minutes", "--piece", "sedge", "--minutes", "5", "--note", "note-{}-"]
    folder, more, others = at_once(trials, [lot + ["third-{}-"], finished, minutes])
    shelf = (folder / "demo/lots.csv").read_text()
    done = (folder / "demo/pieces/saltmarsh.toml").read_text().count("[[measured]]")
    left = next(float(row.split(",")[3]) for row in shelf.splitlines() if row.startswith("rug-wool-rust,R5"))
    must(abs(left - (34 - 0.5 * done)) < 1e-6, f"{done} pieces were finished, and {left} g of 34 are left")
    return recorded + more, refused + others


def other_schemas(trials):
    """What other versions wrote is read, or refused and left as it is."""
    folder = trials.lay_out(Case("calibrate demo", before=["calibrate demo", "estimate demo/pieces/saltmarsh.toml --freeze",
                                                          ["record", "demo", "finished", "--piece", "saltmarsh", "--yarn",
                                                           "rug-wool-ash", "--used-g", "21"]]))
    kept = json.loads((folder / "demo/calibration.json").read_text())
    tried = 0
    for schema in (0, 2, 17, "1", 1.5, None, [1]):
        for verb in ("estimate demo", "calibrate demo", "calibrate demo --back", "sheet demo/pieces/sedge.toml",
                     "weave-next demo", "notebook demo -o export"):
            trial = trials.copy(folder, "other")
            (trial / "demo/calibration.json").write_text(json.dumps({**kept, "schema": schema, "new_in_it": {"a": 1}}))
            before = contents(trial)
            ran = trials.run(trial, verb.split())
            what = f"{verb}, a calibration of schema {schema}"
            reads_none = verb.split()[0] in ("notebook", "weave-next") and ran.status == 0
            if not reads_none:
                must_be_told(ran, what)
            now = {name: text for name, text in contents(trial).items() if not name.startswith("export/")}
            must(now == before, f"{what}: it changed something")
            tried += 1
    changes = {
        "calibration.json": lambda text: json.dumps({**json.loads(text), "new_in_it": {"a": 1}}),
        "studio.toml": lambda text: "version = 7\n" + text + "\n[new_in_it]\na = 1\n",
        "pieces/saltmarsh.toml": lambda text: text.replace("[piece]\n", "[piece]\nnew_in_it = 1\n") + "\n[new_in_it]\na = 1\n",
        "lots.csv": lambda text: "".join(line + (",new_in_it" if i == 0 else ",x") + "\n" for i, line in enumerate(text.splitlines())),
        "swatches.csv": lambda text: "".join(line + (",new_in_it" if i == 0 else ",x") + "\n" for i, line in enumerate(text.splitlines())),
    }
    for name, change in changes.items():
        trial = trials.copy(folder, "other")
        file = trial / "demo" / name
        file.write_text(change(file.read_text()))
        before = contents(trial)
        ran = trials.run(trial, ["estimate", "demo/pieces/saltmarsh.toml"])
        must(ran.status == 0, f"{name} with more than is known: {ran.told}")
        must(contents(trial) == before, f"{name} with more than is known: it changed")
        for words in ("record demo lot --yarn rug-wool-ink --net-g 5", "record demo lot --undo", "calibrate demo"):
            ran = trials.run(trial, words.split())
            must(ran.status == 0, f"{name} with more than is known, {words}: {ran.told}")
        must(name == "calibration.json" or file.read_bytes() == before[f"demo/{name}"], f"{name}: more than is known, and it is lost")
        tried += 4
    for frozen in sorted((folder / "demo/estimates").glob("*.json")):
        for text in ("", "{", json.dumps({**json.loads(frozen.read_text()), "schema": 9}), "[]", '{"schema": 1}'):
            trial = trials.copy(folder, "other")
            file = trial / "demo/estimates" / frozen.name
            file.write_text(text)
            ran = trials.run(trial, ["calibrate", "demo", "--dry-run"])
            must(ran.status == 0 and frozen.name in ran.told, f"a kept estimate that reads {text[:20]!r}: {ran.status}, {ran.told!r}")
            must(file.read_text() == text, "a kept estimate was changed")
            tried += 1
    trial = trials.copy(folder, "other")
    for junk in ("", "no note\n", "[{}]", '[{"file": 1}]', "{"):
        (trial / "demo/.changing").write_text(junk)
        before = visible(contents(trial))
        ran = trials.run(trial, ["estimate", "demo/pieces/sedge.toml"])
        must(ran.status == 0 and visible(contents(trial)) == before, f"a note that reads {junk!r}: {ran.told!r}")
        ran = trials.run(trial, "record demo lot --yarn rug-wool-ink --net-g 5".split())
        must(ran.status == 0, f"a note that reads {junk!r}: {ran.told!r}")
        tried += 2
    return tried


def main():
    top, program, preload = sys.argv[1:4]
    trials = Trials(top, program, preload)
    try:
        changed = sum(changed_meanwhile(trials, case) for case in RECORDS)
        vanished = sum(vanished_meanwhile(trials, case) for case in RECORDS)
        print(f"{changed} changes by another program, {vanished} folders moved away", flush=True)
        recorded, refused = two_writers(trials)
        print(f"{recorded} recorded at once, {refused} refused", flush=True)
        print(f"{other_schemas(trials)} runs on what other versions wrote")
    except Failed as failed:
        sys.exit(f"FAILED: {failed}")
    finally:
        trials.close()


main()
