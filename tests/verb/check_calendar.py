"""check_calendar.py ICS JSON ZONE [old]: the calendar is what RFC 5545 asks, by its bytes and by an independent
parser (python3-icalendar); one event is the whole rehearsal, with every caution; each block of the
plan (JSON) is an event of it with that start, end and summary, and with the cautions that are about
it; and the offsets of its VTIMEZONE are those of the system's database as Python reads it.
Of an old plan it is not known what is about which block, so each says everything. Prints what is not
so; the exit status is 1 then. ZONE '-' is none."""

import datetime
import json
import re
import sys
import unicodedata
import zoneinfo

import icalendar

UTC = datetime.timezone.utc
bad = 0


def expect(truth, *what):
    global bad
    if not truth:
        print(*what)
        bad += 1


def octets(data):
    """3.1: CRLF, 75 octets; no control characters in text (3.3.11)."""
    expect(data.endswith(b"\r\n"), "the last line does not end")
    for line in data[:-2].split(b"\r\n"):
        expect(len(line) <= 75, "a line of", len(line), line)
        try:
            line.decode("utf-8")
        except UnicodeDecodeError:
            expect(False, "a character is cut", line)
    text = data.decode("utf-8").replace("\r\n", "")
    for ch in text:
        expect(unicodedata.category(ch) != "Cc" and ch != "\u202e", "a control character", repr(ch))


def tame(text):
    """As names are shown everywhere."""
    hides = lambda c: unicodedata.category(c) == "Cc" or c == "\u202e"
    flat = text.replace("\r\n", " ").replace("\n", " ").replace("\t", " ")
    return "".join("?" * len(c.encode()) if hides(c) else c for c in flat)


def texts(data):
    """Of each event, its texts as RFC 5545, sections 3.1 and 3.3.11 have them: icalendar 4.0.3 takes
    escapes off twice, so that backslashes are lost."""
    found = []
    for line in data.decode("utf-8").replace("\r\n ", "").split("\r\n"):
        name, _, value = line.partition(":")
        if line == "BEGIN:VEVENT":
            found.append({})
        elif name in ("SUMMARY", "DESCRIPTION") and found:
            expect(not re.search(r"(?<!\\)(?:\\\\)*[;,]", value), "not escaped", value)
            found[-1][name] = re.sub(r"\\([\\;,nN])", lambda m: "\n" if m[1] in "nN" else m[1],
                                     value)
    return found


def summary(block):
    kind, name = block["kind"], block["name"]
    if kind == "break":
        return "Break"
    if kind == "sectional":
        return "Sectional: " + block["who"][0]
    if kind == "run":
        return name[0].upper() + name[1:].split(";")[0]
    if kind in ("fixed", "rest"):
        return name
    sets = block["sets"]
    faults = list(dict.fromkeys(f["fault"] for f in block["fixes"]))
    return (f"Set {sets[0]}" if len(sets) == 1 else f"Sets {sets[0]}-{sets[-1]}") + (
        ": " + ", ".join(faults[:2]) + (" ..." if len(faults) > 2 else "") if faults else "")


def offset_by(zone, moment):
    """What a VTIMEZONE says: the observance that began last (3.6.5)."""
    began = []
    for o in zone.subcomponents:
        expect(o.name in ("STANDARD", "DAYLIGHT"), o.name)
        at = o["DTSTART"].dt.replace(tzinfo=UTC) - o["TZOFFSETFROM"].td
        began.append((at, o["TZOFFSETTO"].td, str(o["TZNAME"]), o.name))
    past = [b for b in began if b[0] <= moment]
    return max(past) if past else (None, None, None, None)


def check_zone(zone, name, moments):
    expect(str(zone["TZID"]) == name, "TZID", zone["TZID"])
    here = zoneinfo.ZoneInfo(name)
    for m in moments:
        at = m.astimezone(here)
        _, offset, short, kind = offset_by(zone, m)
        expect(offset == at.utcoffset(), m, "is", offset, "not", at.utcoffset())
        expect(short == at.tzname(), m, "is called", short, "not", at.tzname())
        expect((kind == "DAYLIGHT") == bool(at.dst()), m, "is", kind)


def moment(event, key, zone, offsets):
    value = event[key].dt
    expect(isinstance(value, datetime.datetime), key, "is no time")
    if value.tzinfo is not None and event[key].to_ical().endswith(b"Z"):
        return value.astimezone(UTC)
    expect(event[key].params.get("TZID") == zone, key, "has the zone", event[key].params)
    local = value.replace(tzinfo=None)
    if zone is None:
        return local.replace(tzinfo=UTC)
    at = local.replace(tzinfo=zoneinfo.ZoneInfo(zone)).astimezone(UTC)
    _, offset, _, _ = offset_by(offsets, at)  # what a reader without a database would make of it
    expect(offset is not None and local.replace(tzinfo=UTC) - offset == at, key, local, offset)
    return at


def check_block(event, said, block, begin, zone, offsets):
    start = begin + datetime.timedelta(seconds=block["start_s"])
    end = start + datetime.timedelta(seconds=block["seconds"])
    expect(moment(event, "DTSTART", zone, offsets) == start, event["DTSTART"].dt, "not", start)
    expect(moment(event, "DTEND", zone, offsets) == end, event["DTEND"].dt, "not", end)
    title, text = said["SUMMARY"], said.get("DESCRIPTION", "").replace("\n", " ")
    expect(title == tame(summary(block)), repr(title), "not", repr(tame(summary(block))))
    if "\\" not in title:
        expect(str(event["SUMMARY"]) == title, "is read otherwise", repr(str(event["SUMMARY"])))
    for fix in block["fixes"]:
        expect(tame(fix["fault"]) in text, "lacks", fix["fault"], "in", repr(text))
    for work in block.get("list", [block] if block["kind"] == "rep" else []):
        reps = f", {work['counts']} counts"
        expect(reps in text, "lacks", reps, "in", repr(text))


def cautions(plan):
    """The plan's, told apart by how they begin: those about one set, those about hard moves."""
    near = re.findall(r"set (\S+): [^.]*?; walk it before it is run", plan["caution"])
    hard = re.search(r"hard on the body: (.*?); no more than", plan["caution"])
    sets = re.findall(r"sets? +((?:\S+ )+?)(?:move|has|have)", hard[1]) if hard else []
    return set(near), {s for some in sets for s in some.split()}


def sets_of(block):
    works = block.get("list", [block])
    return {s for w in works for s in w.get("sets", [])}


def check_cautions(said, block, plan):
    """A block says what is about it, all of it and nothing else: a near meeting with the reps of that
    set, a hard move with what runs it, how long a break is with the break. Who decides about heat
    and rest is said with whatever is a caution."""
    text = said.get("DESCRIPTION", "")
    near, hard = cautions(plan)
    mine = sets_of(block)
    lines = text.split("\n")
    for label in near:
        told = any(line.startswith(f"set {label}: ") for line in lines)
        expect(told == (label in mine and block["kind"] != "run"), "set", label, told, text)
    told = any(line.startswith("hard on the body: ") for line in lines)
    expect(told == bool(hard & mine), "hard", hard, mine, told, text)
    rest = block["kind"] in ("break", "rest")
    expect(("WBGT" in text) <= rest, "heat in", text)
    told = any(line.startswith(("breaks: ", "any 60 min")) for line in lines)
    expect(told == (rest and "breaks: " in plan["caution"]), "rest", told, text)
    expect("nobody attends" not in text, "who is absent", text)


def check_frame(event, said, plan, begin, zone, offsets):
    """3.8.2.7: only what is OPAQUE takes time from whoever asks who is free, so that the rehearsal is
    booked once and not once more for each block in it."""
    end = begin + datetime.timedelta(minutes=plan["minutes"])
    expect(moment(event, "DTSTART", zone, offsets) == begin, event["DTSTART"].dt, "not", begin)
    expect(moment(event, "DTEND", zone, offsets) == end, event["DTEND"].dt, "not", end)
    expect(said["SUMMARY"] == tame("Rehearsal: " + plan["show"]), said["SUMMARY"])
    expect(event["TRANSP"] == "OPAQUE", "the frame is", event["TRANSP"])
    text = said["DESCRIPTION"].replace("\n", " ")
    expect(tame(plan["caution"]) in text, "lacks", plan["caution"], text)
    at = 0
    for block in plan["blocks"]:  # every one of them, in order
        name = block["who"][0] if block["kind"] == "sectional" else summary(block)
        found = text.find(tame(name), at)
        expect(found >= 0, "lacks", name, "in", text)
        at = max(at, found)


def check_event(event):
    for key in ("UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "SEQUENCE", "STATUS",
                "LAST-MODIFIED", "TRANSP"):
        expect(key in event and not isinstance(event[key], list), "not one", key)
    expect(event["DTSTAMP"].to_ical().endswith(b"Z"), "DTSTAMP is not UTC")  # 3.8.7.2
    expect("LOCATION" not in event and "DURATION" not in event, "has more")
    expect(0 <= int(event["SEQUENCE"]) < 2**31, "SEQUENCE", event["SEQUENCE"])
    expect(str(event["STATUS"]) in ("CONFIRMED", "CANCELLED"), event["STATUS"])


def main():
    with open(sys.argv[1], "rb") as f:
        data = f.read()
    with open(sys.argv[2], encoding="utf-8") as f:
        plan = json.load(f)
    zone = None if sys.argv[3] == "-" else sys.argv[3]
    octets(data)
    calendar = icalendar.Calendar.from_ical(data)
    expect(calendar["VERSION"] == "2.0" and calendar["PRODID"], "VERSION, PRODID")  # 3.6
    zones = calendar.walk("VTIMEZONE")
    events = calendar.walk("VEVENT")
    expect(len(zones) == (zone is not None), len(zones), "zones")
    uids = [str(e["UID"]) for e in events]
    expect(len(set(uids)) == len(uids), "UIDs twice")
    for e in events:
        check_event(e)
    hour, minute = map(int, plan["start"].split(":"))
    local = datetime.datetime.fromisoformat(plan["date"]).replace(hour=hour, minute=minute)
    begin = local.replace(tzinfo=zoneinfo.ZoneInfo(zone) if zone else UTC).astimezone(UTC)
    said = texts(data)
    expect(len(said) == len(events), "texts make", len(said), "events")
    going = [e for e in events if str(e["STATUS"]) == "CONFIRMED"]
    framed = len(plan["blocks"]) + 1
    expect(len(going) == framed, len(going), "events,", len(plan["blocks"]), "blocks and a frame")
    offsets = zones[0] if zones else None
    check_frame(going[0], said[0], plan, begin, zone, offsets)
    for e, text, block in zip(going[1:], said[1:], plan["blocks"]):  # what is cancelled comes behind
        check_block(e, text, block, begin, zone, offsets)
        if sys.argv[4:] == ["old"]:
            said_all = tame(plan["caution"]) in text["DESCRIPTION"].replace("\n", " ")
            expect(said_all, "lacks", plan["caution"], "in", text)
        else:
            check_cautions(text, block, plan)
    for e in events:
        if e is not going[0]:
            expect(e["TRANSP"] == "TRANSPARENT", e["SUMMARY"], "is", e["TRANSP"])
    if zones:
        step = datetime.timedelta(minutes=5)
        check_zone(zones[0], zone, [begin + i * step for i in range(plan["minutes"] // 5 + 1)])
    print(len(going), "events,", len(events) - len(going), "cancelled")
    return 1 if bad else 0


sys.exit(main())
