"""annotations.py SCHEMA FILE...: each file is what the schema says, by an independent validator of JSON
Schema (draft 2020-12), and no file with one member less, or with a wrong one, is. Prints what is not
so; the exit status is 1 then."""

import copy
import json
import sys

import jsonschema

OPTIONAL = {"creator"}


def objects(value, path=()):
    """The paths of all objects in a document."""
    if isinstance(value, dict):
        yield path
    for key, inner in value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ():
        yield from objects(inner, path + (key,))


def at(document, path):
    for step in path:
        document = document[step]
    return document


def broken(document):
    """(what was done, document), for the objects of the first annotation and those around it."""
    for path in objects(document):
        if any(isinstance(step, int) and step > 0 for step in path):
            continue
        for key in at(document, path):
            for what, change in (("less", lambda o: o.pop(key)), ("another", lambda o: o.update({key: 7.5}))):
                if what == "less" and key in OPTIONAL:
                    continue
                other = copy.deepcopy(document)
                change(at(other, path))
                yield f"{what}: {path + (key,)}", other
        other = copy.deepcopy(document)
        at(other, path)["more"] = 1
        yield f"more: {path}", other


failed = 0
with open(sys.argv[1], encoding="utf-8") as f:
    schema = json.load(f)
jsonschema.Draft202012Validator.check_schema(schema)
validator = jsonschema.Draft202012Validator(schema)
tried = 0
for name in sys.argv[2:]:
    with open(name, encoding="utf-8") as f:
        document = json.load(f)
    for error in validator.iter_errors(document):
        failed += 1
        print(f"{name}: {list(error.absolute_path)}: {error.message[:200]}")
    for what, other in broken(document):
        tried += 1
        if validator.is_valid(other):
            failed += 1
            print(f"{name}: is valid with {what}")
sys.exit(1 if failed or tried < 30 else 0)
