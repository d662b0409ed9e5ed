"""mutate.py TABLE PATTERN: see run.sh. Rows of the table: four fields apart by ' | '
    FILE | OLD | NEW | TESTS
OLD stands once in src/FILE; TESTS are names of meson tests apart by ';'. A row that begins with '?'
is a change known to survive; its reason stands in the comment before it."""
import json
import subprocess
import sys

DEADLINE = 300


def rows(path, pattern):
    with open(path, encoding="utf-8") as table:
        for number, line in enumerate(table, 1):
            line = line.rstrip("\n")
            if not line or line.startswith("#") or pattern not in line:
                continue
            fields = line.split(" | ")
            if len(fields) != 4:
                sys.exit(f"{path}:{number}: {len(fields)} fields; write FILE | OLD | NEW | TESTS")
            yield number, fields


def programs():
    """What has to be built for a test, by the test's name."""
    shown = subprocess.run(["meson", "introspect", "build", "--tests"], capture_output=True,
                           check=True, text=True)
    return {t["name"]: t for t in json.loads(shown.stdout)}


def passes(tests, known):
    targets = {"src/boxcall"}
    for name in tests:
        if name not in known:
            sys.exit(f"there is no test '{name}'")
        targets |= {part.split("/build/")[1] for part in known[name]["cmd"] if "/build/" in part}
    built = subprocess.run(["ninja", "-C", "build", *sorted(targets)], capture_output=True)
    if built.returncode:
        return False  # the compiler noticed
    for name in tests:
        try:
            done = subprocess.run(["meson", "test", "-C", "build", "--no-rebuild", name],
                                  capture_output=True, timeout=DEADLINE)
        except subprocess.TimeoutExpired:
            return False
        if done.returncode:
            return False
    return True


def main():
    known, tried, survivors, expected = programs(), 0, [], 0
    for number, (file, old, new, tests) in rows(sys.argv[1], sys.argv[2]):
        survives = file.startswith("?")
        path = "src/" + file.lstrip("? ")
        with open(path, encoding="utf-8") as source:
            text = source.read()
        if text.count(old) != 1:
            sys.exit(f"table.txt:{number}: '{old}' stands {text.count(old)} times in {path}")
        with open(path, "w", encoding="utf-8") as source:
            source.write(text.replace(old, new))
        try:
            alive = passes([t.strip() for t in tests.split(";")], known)
        finally:
            with open(path, "w", encoding="utf-8") as source:
                source.write(text)
        tried += 1
        expected += alive and survives
        if alive:
            survivors.append(f"{path}: {old}  ->  {new}")
        print(f"{'survived' if alive else 'killed  '} {number}: {path}: {old} -> {new}", flush=True)
    print(f"{tried} changes, {tried - len(survivors)} killed, {len(survivors)} survived "
          f"({expected} of them known)")
    return len(survivors) > expected


sys.exit(main())
