"""What the tests of faults share: a studio to spoil, the verbs that write into it, and what must hold afterwards."""

import collections
import os
import pathlib
import shutil
import subprocess
import tempfile

SKIPPED = 77  # what ctest takes as not run

BAD_INPUT = 3

A_DAY = "1780315200"  # 2026-06-01, noon

OLD_SHELF = "Yarn;Grams\nrug-wool-ash;55\nrug-wool-rust;41,5\n"
SWATCH = ("swatch --swatch more-1 --date 2026-05-01 --loom frame --warp-yarn seine-12-6 --ends 45 --width-cm 18 "
          "--work weave --yarn rug-wool-ash --rows 40 --used-g 7.5").split()


class Case:
    """A verb that writes, told by the words after `ellwand` in the folder that holds the studio `demo`."""

    def __init__(self, words, before=(), apart=False, swatches=None):
        self.words = words.split() if isinstance(words, str) else words
        self.before = [one.split() if isinstance(one, str) else one for one in before]
        self.apart = apart  # the files it writes do not hang together
        self.swatches = swatches  # so many of the demo's only, where fits would take most of the time

    @property
    def verb(self):
        return self.words[0]

    def __str__(self):
        return " ".join(self.words[:5])


CASES = [
    Case("start new"),
    Case("start new --demo"),
    Case(["record", "demo"] + SWATCH),
    Case("record demo swatch --amend --used-g 6.5", before=[["record", "demo"] + SWATCH]),
    Case("record demo swatch --undo"),
    Case("record demo lot --yarn rug-wool-ink --lot I9 --net-g 100"),
    Case("record demo lot --amend --net-g 50"),
    Case("record demo lot --undo"),
    Case("record demo minutes --piece saltmarsh --band 2 --rows 36 --minutes 95 --date 2026-05-01"),
    Case("record demo minutes --undo"),
    Case("record demo finished --piece saltmarsh --yarn rug-wool-rust --used-g 21 --date 2026-05-01"),
    Case("record demo finished --piece saltmarsh --amend --used-g 12.5",
         before=["record demo finished --piece saltmarsh --yarn rug-wool-rust --used-g 21 --date 2026-05-01"]),
    Case("record demo finished --piece saltmarsh --undo",
         before=["record demo finished --piece saltmarsh --yarn rug-wool-rust --used-g 21 --date 2026-05-01"]),
    Case("calibrate demo", swatches=4),
    Case("calibrate demo", swatches=4, before=["calibrate demo", ["record", "demo"] + SWATCH, "calibrate demo",
                                   "record demo swatch --amend --used-g 9"]),
    Case("calibrate demo --back", swatches=4, before=["calibrate demo", ["record", "demo"] + SWATCH, "calibrate demo"]),
    Case(["bring-in", "demo", "lots", "shelf.csv", "--columns", "yarn = Yarn, net_g = Grams", "--write"]),
    Case("notebook demo -o export", swatches=3),
    Case("notebook demo -o export --again", before=["notebook demo -o export", ["record", "demo"] + SWATCH], swatches=2),
    Case("sheet demo/pieces/saltmarsh.toml -o sheet.html", before=["sheet demo/pieces/sedge.toml -o sheet.html"]),
    Case("estimate demo/pieces/saltmarsh.toml --freeze"),
    Case("estimate demo --freeze -o all.txt", apart=True),
    Case("buy demo -o list.txt"),
    Case("kit demo/pieces/wrackline.toml -o kit.txt"),
    Case("price demo/pieces/saltmarsh.toml --quote -o quote.txt"),
    Case("howfar demo/pieces/tideline.toml --change size -o howfar.txt"),
    Case("swap demo/pieces/saltmarsh.toml --yarn rug-wool-ash -o swap.txt"),
    Case(["enough", "demo/pieces/saltmarsh.toml"] + "--band 5 --rows 12 --yarn rug-wool-rust --left 23.5g --start 34g".split() +
         ["-o", "enough.txt"]),
    Case("page -o page.html"),
]


Call = collections.namedtuple("Call", "name microseconds")


class Ran:
    def __init__(self, status, out, told):
        self.status, self.out, self.told = status, out, told


class Trials:
    """Folders to try a case in, made from one that is laid out once."""

    def __init__(self, top, program, preload=None):
        self.program = str(pathlib.Path(program).resolve())
        self.preload = preload and str(pathlib.Path(preload).resolve())
        # In memory where there is room for it: every file that is written is forced to the disk.
        memory = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
        self.room = pathlib.Path(tempfile.mkdtemp(prefix="ellwand-faults-", dir=memory))
        data = self.room / "data"
        shutil.copytree(pathlib.Path(top) / "data", data)
        (data / "page.html").write_text("<!doctype html>\n" + "<p>the page\n" * 2000)
        # One day throughout: some files tell the day, and midnight may fall into a test.
        self.environment = {**os.environ, "ELLWAND_DATA": str(data), "LC_ALL": "C", "SOURCE_DATE_EPOCH": A_DAY}

    def close(self):
        shutil.rmtree(self.room, ignore_errors=True)

    def lay_out(self, case):
        """A folder in the state that the case begins with."""
        folder = self.room / "laid out"
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir()
        shutil.copytree(self.room / "data/demo", folder / "demo")
        (folder / "shelf.csv").write_text(OLD_SHELF)
        if case.swatches is not None:
            rows = (folder / "demo/swatches.csv").read_text().splitlines(keepends=True)
            (folder / "demo/swatches.csv").write_text("".join(rows[:1 + case.swatches]))
        for words in case.before:
            ran = self.run(folder, words)
            must(ran.status == 0, f"laying out for {case}: {ran.told}")
        return folder

    def copy(self, folder, name):
        trial = self.room / name
        shutil.rmtree(trial, ignore_errors=True)
        shutil.copytree(folder, trial, symlinks=True)
        return trial

    def start(self, folder, words, fault=None, **more):
        environment = dict(self.environment)
        if fault is not None:
            environment.update(fault)
            environment["LD_PRELOAD"] = self.preload
        return subprocess.Popen([self.program, *words], cwd=folder, env=environment, stdin=subprocess.DEVNULL,
                                stdout=subprocess.PIPE, stderr=subprocess.PIPE, **more)

    def run(self, folder, words, fault=None, **more):
        process = self.start(folder, words, fault, **more)
        out, told = process.communicate(timeout=120)
        return Ran(process.returncode, out, told.decode("utf-8", "replace"))

    def steps_of(self, folder, words):
        """The calls that change files in order, each its name and how many microseconds later the next comes or the
        program ends; and what the folder is like afterwards."""
        trial = self.copy(folder, "undisturbed")
        calls = self.room / "calls"
        ran = self.run(trial, words, {"FAULT": "", "FAULT_STEPS": str(calls)})
        must(ran.status == 0, f"{words} undisturbed: {ran.told}")
        told = [line.split() for line in calls.read_text().splitlines()]
        times = [int(time) for _, time in told]
        return [Call(name, later - time) for (name, _), time, later in zip(told, times, times[1:])], contents(trial)


class Failed(Exception):
    pass


def must(holds, what):
    if not holds:
        raise Failed(what)


def contents(folder):
    """Every file below a folder by name."""
    return {str(file.relative_to(folder)): file.read_bytes() for file in folder.rglob("*") if file.is_file()}


def is_hidden(name):
    return any(part.startswith(".") for part in pathlib.PurePath(name).parts)


def visible(files):
    return {name: text for name, text in files.items() if not is_hidden(name)}


def leftovers(files):
    return sorted(name for name in files if is_hidden(name))


def must_be_whole(now, before, after, what):
    """Each file is the old one or the new one."""
    for name in {*now, *before, *after}:
        must(now.get(name) in (before.get(name), after.get(name)), f"{what}: {name} is neither the old nor the new one")


def must_be_one_of(now, before, after, what):
    must(now in (before, after), f"{what}: some files are old and some new: " +
         ", ".join(sorted(name for name in {*now, *before, *after} if now.get(name) != before.get(name))))


def must_be_told(ran, what):
    """A refusal is told in one or a few lines, and is no accident. What was kept before it is told as well."""
    must(ran.status == BAD_INPUT, f"{what}: status {ran.status}, told {ran.told!r}")
    lines = [line for line in ran.told.splitlines() if line and not line.startswith("Kept as ")]
    must(1 <= len(lines) <= 3, f"{what}: told in {len(lines)} lines: {ran.told!r}")
    for word in ("filesystem error", "what()", "terminate", "exception"):
        must(word not in ran.told, f"{what}: told as {ran.told!r}")


