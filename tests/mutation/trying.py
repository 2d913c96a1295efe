"""The tests of each mutant: those that reach its place, the quickest first.

Each test is run once by itself without a mutant, and notes which places it comes through and how long it takes. What
is noted of a test is kept beside the results; a test that was changed since is not run again for its notes.
"""
import os
import re
import resource
import subprocess
import sys
import time

# They take minutes: what only they would kill counts as survived.
LONG = "*Fault.*:BitFlip.*:*Kill.*:*PowerCut*:Hole.Whatever*:AuditLines.BesideGits*:SmallDisk.*:HouseTest.*"
LONGEST = 60  # seconds; a test that takes longer is left out too
PATIENCE = 120  # seconds of scenarios for one mutant
TOGETHER = 3  # seconds of tests that are run by one process


def run(program, names, seconds, **environment):
    """'passed', 'timed out' or 'killed by' a test."""
    flags = program.parent / f"{os.getpid()}.flags"
    flags.write_text("--gtest_filter=" + ":".join(names) + "\n")
    env = dict(os.environ, GTEST_FAIL_FAST="1", GTEST_BRIEF="1", **environment)

    def bounded():
        resource.setrlimit(resource.RLIMIT_AS, (8 << 30, 8 << 30))
        resource.setrlimit(resource.RLIMIT_FSIZE, (2 << 30, 2 << 30))
        os.setsid()

    ran = subprocess.Popen([program, f"--gtest_flagfile={flags}"], env=env, preexec_fn=bounded, cwd=program.parent,
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


class Tests:
    """Which mutants each test reaches, and its seconds."""

    def __init__(self, folder, notes, places):
        self.folder, self.notes, self.places = folder, notes, places
        self.known = {}
        for line in notes.read_text().splitlines() if notes.exists() else []:
            program, name, seconds, reached = line.split("\t")
            self.known[program, name] = (float(seconds), {int(each) for each in reached.split()})

    def names(self, program):
        listed = subprocess.run([self.folder / program, "--gtest_list_tests", f"--gtest_filter=-{LONG}"],
                                capture_output=True, text=True, errors="replace", check=True).stdout
        suite = ""
        for line in listed.splitlines():
            word = line.split()[0]
            if line.startswith(" "):
                yield suite + word
            elif word.endswith("."):
                suite = word

    def note(self, program, name):
        marks = self.folder / f"{os.getpid()}.reached"
        marks.write_bytes(bytes(self.places))
        began = time.time()
        what = run(self.folder / program, [name], LONGEST, KEEPWAY_REACHED=str(marks))
        seconds = time.time() - began
        if what.startswith("killed"):  # by the noting? Some watch every file that is written to
            what = run(self.folder / program, [name], LONGEST)
        if what != "passed":
            print(f"left out: {name}, without any mutant {what}", flush=True)
        reached = {i for i, mark in enumerate(marks.read_bytes()) if mark} if what == "passed" else set()
        self.known[program, name] = (seconds, reached)
        with self.notes.open("a") as out:
            out.write(f"{program}\t{name}\t{seconds:.3f}\t{' '.join(map(str, sorted(reached)))}\n")

    def near(self, program):
        """Of each mutant, the seconds and names of the tests that reach it, the quickest first."""
        found = {}
        for name in self.names(program):
            if (program, name) not in self.known:
                self.note(program, name)
            seconds, reached = self.known[program, name]
            for number in reached:
                found.setdefault(number, []).append((seconds, name))
        return {number: sorted(tests) for number, tests in found.items()}


def in_groups(tests):
    """Tests of a few seconds together: their seconds and names."""
    seconds, names = 0, []
    for each, name in tests:
        seconds += each
        names.append(name)
        if seconds > TOGETHER:
            yield seconds, names
            seconds, names = 0, []
    if names:
        yield seconds, names


class Tries:
    """Each mutant against its tests: units first, since they are quick, then scenarios."""

    def __init__(self, results, mutants):
        self.results, self.mutants = results, mutants
        rows = [line.split("\t") for line in results.read_text().splitlines()] if results.exists() else []
        self.done = {int(row[0]): row for row in rows}

    def of_all(self, tests):
        left = [each for each in self.mutants if each not in self.done or self.done[each][1].startswith("SURVIVED")]
        tried = {number: 0 for number in left}
        reaching = dict(tried)
        for program, patience in (("unit_tests", 3600), ("scenario_tests", PATIENCE)):
            near = tests.near(program)
            if not near:
                sys.exit(f"{program} reach no mutant: they do not pass $KEEPWAY_MUTANT on")
            for number in list(left):
                own = near.get(number, [])
                reaching[number] += len(own)
                spent = 0
                for seconds, names in in_groups(own):
                    if spent > patience:
                        break
                    spent += seconds
                    what = run(tests.folder / program, names, 30 + 5 * seconds, KEEPWAY_MUTANT=str(number))
                    if what != "passed":
                        self.note(number, what)
                        left.remove(number)
                        break
                    tried[number] += len(names)
        for number in left:
            self.note(number, f"SURVIVED {tried[number]} of {reaching[number]}")
        return [self.done[number] for number in left]

    def note(self, number, fate):
        self.done[number] = [str(number), fate, *self.mutants[number]]
        with self.results.open("a") as out:
            out.write("\t".join(self.done[number]) + "\n")
        print("  ".join(self.done[number][1:]), flush=True)
