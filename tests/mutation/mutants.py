"""See tests/mutants."""
import hashlib
import os
import random
import re
import resource
import shutil
import subprocess
import sys
import time
from pathlib import Path

sys.path.insert(0, os.path.dirname(__file__))
from places import places, switched  # noqa: E402

SOURCE = Path(__file__).resolve().parents[2]
WORK = SOURCE / "build-mutants"
TREE = WORK / "tree"
BUILD = WORK / "build"
SWITCH = """#pragma once
#include <cstdlib>
inline bool keepway_mutant(int number) {
  static const int chosen = [] {
    const char* text = std::getenv("KEEPWAY_MUTANT");
    return text == nullptr ? 0 : std::atoi(text);
  }();
  return number == chosen;
}
"""
# The scenarios that use a room, by test suite; units are those of the files called after it. Suites that take minutes
# (faults, kills, power cuts) are left out: a mutant that only they would kill counts as survived.
NEAR = {
    "base": "Bytes Commands Everyday Terminal Dates AtOnce",
    "state": "NormalForm ChangesScreen Verdicts RestoreItem Trust",
    "media": "MediaIntake MediaRestore MediaPrepare MediaSlots MediaCapture Bytes PileTest HostileShapes",
    "layout": "Commands Verdicts DocumentsInAShop GuidesExample Documents RestoreItem",
    "reader": "NormalForm ChangesScreen Trust Verdicts Readings RestoreItem Restore HostileShapes",
    "survey": "Commands Documents DocumentsInAShop",
    "namebook": "Commands ChangesScreen Documents DocumentsInAShop Pages",
    "compare": "ChangesScreen Trust Verdicts Trial Twin RestoreItem DriversTest RowWithAValue",
    "spelling": "Trust ChangesScreen Everyday",
    "verdict": "Verdicts Trust Reasons Everyday Newest GuidesExample",
    "restore": "Restore RestoreItem Twin MediaRestore Trial",
    "git": "Bytes Durable Hole AuditTest AuditLines HostileTest HooksTest AtOnce BrokenFiles Trust",
    "store": "Bytes Durable Hole AuditTest AuditLines Trial HostileTest AtOnce Everyday Readings",
    "index": "ChangesScreen Readings Everyday Commands AuditTest Newest Withdraw Pages",
    "shop": "Everyday Newest Withdraw Reasons Trial Restore Commands Hole Trust ChangesScreen Pages OlderReader",
    "pile": "PileTest Dates",
    "git_hooks": "HooksTest HookProgramTest PushTest",
    "sync": "SyncTest PushTest HostileTest",
    "audit": "AuditTest AuditLines Hole BrokenFiles OlderReader BitFlip",
    "show": "Commands ChangesScreen Everyday Pages View ShopView Documents DocumentsInAShop GuidesExample Terminal",
    "cli": "Commands Everyday Terminal Documents DocumentsInAShop GuidesExample Counter MediaSlots Trial Disk",
}
# Rooms whose units stand under other names.
UNITS = {"base": ["base", "state"], "compare": ["compare", "merge"], "git_hooks": ["git_hooks", "git_form"],
         "spelling": ["reader_spellings", "compare_spelling"]}


def candidates():
    found = []
    for path in sorted((SOURCE / "src").rglob("*.cpp")):
        text = path.read_text()
        for place in places(text):
            found.append((path.relative_to(SOURCE), place))
    return found


def chosen(count, seed):
    """Twice as many as asked for, none within another: not all will compile."""
    all_places = candidates()
    rng = random.Random(seed)
    rng.shuffle(all_places)
    taken = []
    by_file = {}
    for path, place in all_places:
        if len(taken) == 2 * count:
            break
        others = by_file.setdefault(path, [])
        if any(place.begin < o.end and o.begin < place.end for o in others):
            continue
        others.append(place)
        taken.append((len(taken) + 1, path, place))
    print(f"{len(all_places)} places to change; {len(taken)} tried for {count}")
    return taken


def line_of(text, at):
    return text.count("\n", 0, at) + 1


def write_mutated(mutants):
    """The sources with these mutants; of each line of them, which mutants it holds."""
    held = {}
    by_file = {path.relative_to(SOURCE): [] for path in (SOURCE / "src").rglob("*.cpp")}
    for number, path, place in mutants:
        by_file[path].append((number, place))
    for path, own in by_file.items():
        text = (SOURCE / path).read_text()
        out, at, spans = '#include "keepway_mutant.hpp"\n' if own else "", 0, []
        for number, place in sorted(own, key=lambda each: each[1].begin):
            out += text[at:place.begin]
            begin = len(out)
            out += switched(place, number)
            spans.append((begin, len(out), number))
            at = place.end
        out += text[at:]
        for begin, end, number in spans:
            for line in range(line_of(out, begin), line_of(out, end) + 1):
                held.setdefault((str(path), line), []).append(number)
        target = TREE / path
        if not target.exists() or target.read_text() != out:
            target.write_text(out)
    return held


def build(*targets):
    command = os.environ.get("KEEPWAY_BUILD")
    if command:
        return subprocess.run([command, TREE, BUILD, *targets], capture_output=True, text=True)
    if not (BUILD / "build.ninja").exists():
        subprocess.run(["cmake", "-S", TREE, "-B", BUILD, "-G", "Ninja", "-DCMAKE_BUILD_TYPE=Debug",
                        "-DCMAKE_CXX_FLAGS_DEBUG=-O0"], check=True, stdout=subprocess.DEVNULL)
    return subprocess.run(["ninja", "-k", "0", "-C", BUILD, *targets], capture_output=True, text=True)


def copy_tree():
    TREE.mkdir(parents=True, exist_ok=True)
    listed = subprocess.run(["git", "ls-files", "--cached", "--others", "--exclude-standard"], cwd=SOURCE,
                            capture_output=True, text=True, check=True)
    for name in listed.stdout.splitlines():
        source, target = SOURCE / name, TREE / name
        if not source.is_file():
            continue
        target.parent.mkdir(parents=True, exist_ok=True)
        if name.startswith("src/") and name.endswith(".cpp"):
            target.parent.mkdir(parents=True, exist_ok=True)  # see write_mutated()
            continue
        if not target.exists() or target.read_bytes() != source.read_bytes():
            shutil.copy2(source, target)
    (TREE / "src" / "keepway_mutant.hpp").write_text(SWITCH)


def forget_others(count, seed):
    """What was found out holds for the same places of the same source."""
    sum_of_all = hashlib.sha256(f"{count} {seed}".encode())
    for path in sorted((SOURCE / "src").rglob("*.cpp")):
        sum_of_all.update(path.read_bytes())
    mark = WORK / "source"
    if not mark.exists() or mark.read_text() != sum_of_all.hexdigest():
        for name in ("dropped", "results.tsv"):
            (WORK / name).unlink(missing_ok=True)
        mark.write_text(sum_of_all.hexdigest())


def compiled(mutants, count):
    """Those that compile, built; the first `count` of them."""
    dropped = WORK / "dropped"
    known = {int(word) for word in dropped.read_text().split()} if dropped.exists() else set()
    mutants = [each for each in mutants if each[0] not in known]
    while True:
        held = write_mutated(mutants)
        ran = build("libkeepway", "keepway")
        if ran.returncode == 0:
            break
        wrong = set()
        for kind in ("error", "note"):  # of a function that is no constexpr any more, the note names the line
            for match in re.finditer(rf"(src/[\w/]+\.cpp):(\d+):\d+: {kind}", ran.stdout + ran.stderr):
                wrong.update(held.get((match.group(1), int(match.group(2))), []))
            if wrong:
                break
        if not wrong:
            print(ran.stdout[-4000:], ran.stderr[-2000:])
            sys.exit("the copy does not build, and no mutant is to blame")
        mutants = [each for each in mutants if each[0] not in wrong]
        with dropped.open("a") as out:
            out.write(" ".join(map(str, sorted(wrong))) + "\n")
        print(f"{len(wrong)} do not compile", flush=True)
    ran = build("unit_tests", "scenario_tests", "fault")
    if ran.returncode != 0:
        sys.exit("the tests do not build: " + ran.stdout[-4000:])
    return mutants[:count]


def suites_of(path):
    tests = r"^(?:TEST|TEST_F|TEST_P|RC_GTEST_PROP|RC_GTEST_FIXTURE_PROP)\((\w+)"
    return sorted(set(re.findall(tests, path.read_text(), re.M)))


def unit_suites(room):
    names = UNITS.get(room, [room])
    found = []
    for name in names:
        for path in sorted((SOURCE / "tests" / "unit").glob(f"{name}*_test.cpp")):
            found += suites_of(path)
    return found


def run(program, suites, number, seconds):
    """'passed', 'killed' or 'timed out'."""
    if not suites:
        return "passed"
    env = dict(os.environ, KEEPWAY_MUTANT=str(number), GTEST_FAIL_FAST="1", GTEST_BRIEF="1")
    arguments = [BUILD / "tests" / program, "--gtest_filter=" + ":".join(f"{s}.*:*/{s}.*" for s in suites)]

    def bounded():
        resource.setrlimit(resource.RLIMIT_AS, (8 << 30, 8 << 30))
        resource.setrlimit(resource.RLIMIT_FSIZE, (2 << 30, 2 << 30))
        os.setsid()

    ran = subprocess.Popen(arguments, env=env, preexec_fn=bounded, cwd=BUILD,
                           stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, errors="replace")
    try:
        out, _ = ran.communicate(timeout=seconds)
    except subprocess.TimeoutExpired:
        os.killpg(ran.pid, 9)
        ran.communicate()
        return "timed out"
    if ran.returncode == 0:
        return "passed"
    failed = re.search(r"\[  FAILED  \] ([\w./]+)", out)
    return "killed by " + (failed.group(1) if failed else f"exit {ran.returncode}")


class Runs:
    """The tests of each mutant: units first, since they are quick, then one suite of scenarios after the other."""

    def __init__(self, results):
        self.results = results
        rows = [line.split("\t") for line in results.read_text().splitlines()] if results.exists() else []
        self.done = {int(row[0]): row for row in rows}
        self.slow = {}

    def limit(self, program, suites):
        """How long the tests may take; they have to pass without any mutant."""
        key = (program, *suites)
        if key not in self.slow:
            began = time.time()
            what = run(program, suites, 0, 3600)
            if what != "passed":
                sys.exit(f"without any mutant: {' '.join(suites)} of {program} {what}")
            self.slow[key] = 30 + 5 * (time.time() - began)
        return self.slow[key]

    def try_all(self, mutants, passes):
        for program, suites_of_room in passes:
            for number, path, place in mutants:
                if number in self.done and self.done[number][1] != "SURVIVED":
                    continue
                suites = suites_of_room(path.parts[1])
                if not suites:
                    continue
                what = run(program, suites, number, self.limit(program, suites))
                if what != "passed":
                    self.note(number, path, place, what)
        for number, path, place in mutants:
            if number not in self.done:
                self.note(number, path, place, "SURVIVED")

    def note(self, number, path, place, fate):
        where = f"{path}:{line_of((SOURCE / path).read_text(), place.begin)}"
        changed = place.changed.replace("\0", ", ") or "(not called)"
        self.done[number] = [str(number), fate, where, place.kind, " ".join(place.original.split()),
                             " ".join(changed.split())]
        with self.results.open("a") as out:
            out.write("\t".join(self.done[number]) + "\n")
        print("  ".join(self.done[number][1:]), flush=True)


def main():
    numbers = [int(each) for each in sys.argv[1:] if each != "--build"]
    count = numbers[0]
    seed = numbers[1] if len(numbers) > 1 else 1
    WORK.mkdir(exist_ok=True)
    forget_others(count, seed)
    copy_tree()
    mutants = compiled(chosen(count, seed), count)
    if "--build" in sys.argv:
        return 0
    runs = Runs(WORK / "results.tsv")
    most = max(len(suites.split()) for suites in NEAR.values())
    passes = [("unit_tests", unit_suites)]
    passes += [("scenario_tests", lambda room, at=at: NEAR[room].split()[at:at + 1]) for at in range(most)]
    runs.try_all(mutants, passes)
    survived = [each for each in runs.done.values() if each[1] == "SURVIVED"]
    print(f"\n{len(runs.done)} mutants, {len(runs.done) - len(survived)} killed, {len(survived)} survived")
    for each in survived:
        print("  " + "  ".join(each[2:]))
    return 1 if survived else 0


if __name__ == "__main__":
    sys.exit(main())
