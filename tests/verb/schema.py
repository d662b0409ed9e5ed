"""schema.py SCHEMA NAME=FILE...: each JSON file is what the schema says under #/$defs/NAME, by an
independent validator of JSON Schema (draft 2020-12); and no document with a member more, a member
less or a member of another kind is. Prints what is not so; the exit status is 1 then."""

import copy
import json
import re
import sys

import jsonschema

OPTIONAL = {"all"}  # of 'count at': where there are several places


def places(value, path=()):
    """(path, object) of all objects in a document."""
    if isinstance(value, dict):
        yield path, value
        for key, inner in value.items():
            yield from places(inner, path + (key,))
    elif isinstance(value, list):
        for i, inner in enumerate(value):
            yield from places(inner, path + (i,))


def at(document, path):
    for step in path:
        document = document[step]
    return document


def broken(document, seen):
    """(what was done, document) for one object of each kind in it that was not seen before."""
    for path, found in places(document):
        kind = (tuple(p for p in path if isinstance(p, str)), tuple(found), found.get("kind"))
        if kind in seen:
            continue
        seen.add(kind)
        for key in (k for k in found if k not in OPTIONAL):
            for what in ("removed", "of another kind"):
                other = copy.deepcopy(document)
                if what == "removed":
                    del at(other, path)[key]
                else:
                    at(other, path)[key] = {"no": "such"}
                yield f"{'.'.join(map(str, path))}: '{key}' {what}", other
        other = copy.deepcopy(document)
        at(other, path)["added"] = None
        yield f"{'.'.join(map(str, path))}: a member added", other


def main():
    with open(sys.argv[1], encoding="utf-8") as f:
        schema = json.load(f)
    jsonschema.Draft202012Validator.check_schema(schema)
    bad = tried = 0
    kinds = {}
    for arg in sys.argv[2:]:
        name, path = arg.split("=", 1)
        seen = kinds.setdefault(name, set())
        with open(path, encoding="utf-8") as f:
            document = json.load(f)
        one = {**schema, "$ref": "#/$defs/" + name}
        del one["anyOf"]
        validator = jsonschema.Draft202012Validator(one)
        for error in validator.iter_errors(document):
            print(f"{path}: {name}: {error.json_path}: {error.message}"[:400])
            bad += 1
        if not jsonschema.Draft202012Validator(schema).is_valid(document):
            print(f"{path}: {name}: is not one of the documents of the whole schema")
            bad += 1
        for what, other in broken(document, seen):
            tried += 1
            if validator.is_valid(other):
                print(f"{path}: {name}: is taken for one with {what}")
                bad += 1
    print(f"{tried} broken documents")
    return 1 if bad or not re.match(r"[1-9]", str(tried)) else 0


sys.exit(main())
