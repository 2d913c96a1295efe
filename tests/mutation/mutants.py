"""See tests/mutants."""
import hashlib
import os
import random
import re
import shutil
import subprocess
import sys
from pathlib import Path

sys.path.insert(0, os.path.dirname(__file__))
from places import places, switched  # noqa: E402
from trying import Tests, Tries  # noqa: E402

SOURCE = Path(__file__).resolve().parents[2]
WORK = SOURCE / "build-mutants"
TREE = WORK / "tree"
BUILD = WORK / "build"
SWITCH = """#pragma once
#include <cstdlib>
#include <fcntl.h>
#include <sys/mman.h>
#include <unistd.h>
// Whether this mutant is the chosen one. $KEEPWAY_REACHED, a file with a byte for each, notes who was asked for.
inline bool keepway_mutant(int number) {
  static const int chosen = [] {
    const char* text = std::getenv("KEEPWAY_MUTANT");
    return text == nullptr ? 0 : std::atoi(text);
  }();
  static char* const reached = []() -> char* {
    const char* path = std::getenv("KEEPWAY_REACHED");
    const int file = path == nullptr ? -1 : ::open(path, O_RDWR | O_CLOEXEC);
    if (file < 0)
      return nullptr;
    void* bytes = ::mmap(nullptr, BYTES, PROT_READ | PROT_WRITE, MAP_SHARED, file, 0);
    ::close(file);
    return bytes == MAP_FAILED ? nullptr : static_cast<char*>(bytes);
  }();
  if (reached != nullptr)
    reached[number] = 1;
  return number == chosen;
}
"""


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


def copy_tree(count):
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
    switch, text = TREE / "src" / "keepway_mutant.hpp", SWITCH.replace("BYTES", str(2 * count + 1))
    if not switch.exists() or switch.read_text() != text:
        switch.write_text(text)


def forget_others(count, seed):
    """What was found out holds for the same places of the same source."""
    sum_of_all = hashlib.sha256(f"{count} {seed}".encode())
    for path in sorted((SOURCE / "src").rglob("*.cpp")):
        sum_of_all.update(path.read_bytes())
    mark = WORK / "source"
    if not mark.exists() or mark.read_text() != sum_of_all.hexdigest():
        for name in ("dropped", "results.tsv", "reached.tsv"):
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


def where(path, place):
    changed = place.changed.replace("\0", ", ") or "(not called)"
    return [f"{path}:{line_of((SOURCE / path).read_text(), place.begin)}", place.kind,
            " ".join(place.original.split()), " ".join(changed.split())]


def main():
    numbers = [int(each) for each in sys.argv[1:] if each != "--build"]
    count = numbers[0]
    seed = numbers[1] if len(numbers) > 1 else 1
    WORK.mkdir(exist_ok=True)
    forget_others(count, seed)
    copy_tree(count)
    mutants = compiled(chosen(count, seed), count)
    if "--build" in sys.argv:
        return 0
    tries = Tries(WORK / "results.tsv", {number: where(path, place) for number, path, place in mutants})
    tests = Tests(BUILD / "tests", WORK / "reached.tsv", 2 * count + 1)
    survived = tries.of_all(tests)
    print(f"\n{len(mutants)} mutants, {len(mutants) - len(survived)} killed, {len(survived)} survived")
    for each in survived:
        print("  " + "  ".join(each[1:]))
    return 1 if survived else 0


if __name__ == "__main__":
    sys.exit(main())
