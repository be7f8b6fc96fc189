"""Judges the tests of `wiring` and `rules` by mutants: small faults put into the code, one at a time.

    python3 sample.py FOLDER     judge what is not yet judged, in FOLDER
    python3 sample.py --table    write docs/mutants.md anew from judged.tsv and reasons.tsv

The mutants are those that cargo-mutants lists for both crates. The sample is fixed by SEED: mutants are taken in the order
of a hash of the seed and of what the mutant is (file, function, change, and which of its like), so a mutant keeps its place
when other code moves.

FOLDER holds a copy of the tree and its build. All mutants of the sample are built at once: a function with mutants begins
with `if on(n) { return { its body with the fault }; }` for each, and a variable of the environment names the one that is on.
What does not compile so is passed over and does not count: nearly all of it would not compile passed_over either, a few are
constants or functions of opaque types. First the tests nearest to the change run; what they let pass is judged by the
other tests of both crates and then by what reaches it through whole designs. A mutant that keeps a test from ending counts
as caught. Results are added to judged.tsv as they come, so that a run can be taken up again.

Needs cargo-mutants and cargo-nextest; not part of the tests.
"""

import csv
import hashlib
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
from collections import Counter, defaultdict

SEED = "wattwright 2026"
CRATES = ["wiring", "rules"]
SAMPLE = 200
HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parents[1]
JUDGED, REASONS, TABLE = HERE / "judged.tsv", HERE / "reasons.tsv", ROOT / "docs" / "mutants.md"
SWITCH = "WATTWRIGHT_MUTANT"
BUILT = ["-p", "wiring", "-p", "rules", "-p", "study", "-p", "output"]
# Tests of whole years and of weather files take long and reach neither wiring nor the rules beside their own.
LONG = "test(/^(energy|placement::weather|placement::bear|uses|money|permits)/)"
# What reaches a subject through whole designs: kept to tests that run within seconds.
THROUGH_DESIGNS = (
    "(package(study) and (binary(accepted) or binary(wire_list))) or "
    "(package(output) and (binary(wiring_schedules) or binary(lock_out_pages)))"
)
# Rules that read a module, asked before the others.
READ_BY = {
    "disconnection": "fault_not_parted|residual",
    "electrodes": "electrode",
    "service_load": "dwelling_load",
    "surge": "surge",
    "terminals": "terminal_unfit",
    "working_space": "working_space",
}
HUNG = '[profile.default]\nfail-fast = true\nslow-timeout = { period = "120s", terminate-after = 3 }\n'
SWITCHBOARD = f'''
/// Whether this mutant is on.
pub(crate) mod mutants {{
    pub(crate) fn on(number: u32) -> bool {{
        static ON: std::sync::OnceLock<Option<u32>> = std::sync::OnceLock::new();
        *ON.get_or_init(|| std::env::var("{SWITCH}").ok().and_then(|text| text.parse().ok())) == Some(number)
    }}
}}
'''


def listed(tree):
    """All mutants of the crates with a name that lasts, in the order of the sample."""
    command = ["cargo", "mutants", "--list", "--json", "--no-shuffle", "-d", str(tree)]
    for crate in CRATES:
        command += ["-p", crate]
    mutants = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
    seen = Counter()
    for mutant in mutants:
        change = re.sub(r":\d+:\d+: ", ": ", mutant["name"], count=1)
        change = " ".join(change.split())
        seen[change] += 1
        mutant["key"] = change if seen[change] == 1 else f"{change} ({seen[change]})"
    order = lambda mutant: hashlib.sha256(f"{SEED} {mutant['key']}".encode()).hexdigest()
    return sorted(mutants, key=order)


def offset(text, at):
    """Of a line and column, counted from 1."""
    lines = text.split("\n")
    return sum(len(line) + 1 for line in lines[: at["line"] - 1]) + at["column"] - 1


def body(text, start, end):
    """The outermost braces that end at `end`: the body of the function that stands between."""
    token = re.compile(
        r'//[^\n]*|/\*.*?\*/|r(#*)".*?"\1|b?"(?:\\.|[^"\\])*"|b?\'(?:\\(?:u\{[^}]*\}|x..|.)|[^\\\'])\'|[{}]', re.S
    )
    opened, last = [], None
    for found in token.finditer(text, start, end):
        if found.group() == "{":
            opened.append(found.start())
        elif found.group() == "}":
            last = (opened.pop(), found.end())
    return last


def wrapped(text, chosen):
    """The file with all chosen mutants behind their numbers; and those that cannot stand so."""
    by_body, passed_over = defaultdict(list), []
    for number, mutant in chosen:
        function = mutant["function"]
        braces = function and body(text, *(offset(text, function["span"][edge]) for edge in ("start", "end")))
        begin = offset(text, mutant["span"]["start"])
        signature = function and text[offset(text, function["span"]["start"]) : (braces or (0,))[0]]
        fits = braces and begin >= braces[0] and "const fn" not in signature and "impl " not in function["return_type"]
        if fits:
            by_body[braces].append((number, mutant))
        else:
            passed_over.append(number)
    spans = sorted(by_body)
    for outer in spans:
        for inner in spans:
            if outer[0] < inner[0] and inner[1] <= outer[1]:
                passed_over += [number for number, _ in by_body.pop(inner, [])]
    for begin, end in sorted(by_body, reverse=True):
        cases = ""
        for number, mutant in by_body[begin, end]:
            first, last = offset(text, mutant["span"]["start"]), offset(text, mutant["span"]["end"])
            faulty = text[begin:first] + mutant["replacement"] + text[last:end]
            cases += f" if crate::mutants::on({number}) {{ return {faulty}; }}"
        text = text[: begin + 1] + cases + text[begin + 1 :]
    return text, passed_over


def put(tree, files, chosen):
    """Writes the files of the tree with the chosen mutants; the numbers of those that cannot stand so."""
    by_file, passed_over = defaultdict(list), []
    for number, mutant in chosen:
        by_file[mutant["file"]].append((number, mutant))
    for file in files:
        text, left = wrapped((ROOT / file).read_text(), by_file[file])
        passed_over += left
        write(tree / file, text + SWITCHBOARD * file.endswith("src/lib.rs"))
    return passed_over


def write(path, text):
    if path.read_text() != text:
        path.write_text(text)


def errors(tree):
    """Places of errors of a check of both crates: file and line."""
    command = ["cargo", "check", "--message-format", "json", "--keep-going"] + [w for c in CRATES for w in ("-p", c)]
    out = subprocess.run(command, cwd=tree, capture_output=True, text=True)
    places = []
    for line in out.stdout.splitlines():
        message = json.loads(line).get("message") or {}
        if message.get("level") == "error":
            places += [(s["file_name"], s["line_start"], s["column_start"]) for s in message["spans"] if s["is_primary"]]
    if out.returncode and not places:
        sys.exit(out.stderr)
    return places


def number_at(tree, place):
    """The mutant in whose braces an error stands."""
    file, line, column = place
    text = (tree / file).read_text()
    at = offset(text, {"line": line, "column": column})
    found = None
    for start in re.finditer(r"if crate::mutants::on\((\d+)\) \{ return \{", text):
        if start.start() <= at:
            found = int(start.group(1))
    return found


def runner(tree, metadata, number, tests):
    """Runs a set of tests with a mutant on: the first that failed, or nothing."""
    command = ["cargo", "nextest", "run", "--config-file", str(tree / "hung.toml"), "--color", "never"]
    command += metadata + ["--no-tests", "pass", "-E", tests]
    environment = os.environ | {SWITCH: str(number)}
    out = subprocess.run(command, cwd=tree, capture_output=True, text=True, env=environment)
    said = out.stdout + out.stderr
    failed = re.findall(r"^ +(FAIL|TIMEOUT|SIGABRT|SIGSEGV|LEAK-FAIL) \[.*?\] (?:\(.*?\) )?(.*)$", said, re.M)
    if out.returncode == 0:
        return None
    if not failed:
        sys.exit(said[-3000:])
    return " ".join(failed[0][1].split())


def tests_of(mutant):
    """Sets of tests, the nearest first."""
    module = pathlib.Path(mutant["file"]).stem
    own = f"package({mutant['package']})"
    if mutant["package"] == "rules":
        yield f"{own} and kind(lib) and test(/(^|::){module}::/)"
        yield f"{own} and test(/^(dc|means|wire)::/)"
        yield f"{own} and not test(/(^|::){module}::/) and not {LONG}"
    else:
        yield own
        if module in READ_BY:
            yield f"package(rules) and test(/{READ_BY[module]}/)"
        yield f"package(rules) and not {LONG}"
    yield THROUGH_DESIGNS


def prebuilt(tree):
    """Builds all tests once: what lets nextest run them without asking cargo again."""
    listing = ["cargo", "nextest", "list", "--list-type", "binaries-only", "--message-format", "json"] + BUILT
    out = subprocess.run(listing, cwd=tree, capture_output=True, text=True)
    if out.returncode:
        return None
    (tree / "binaries.json").write_text(out.stdout)
    described = subprocess.run(["cargo", "metadata", "--format-version", "1"], cwd=tree, capture_output=True, check=True)
    (tree / "metadata.json").write_bytes(described.stdout)
    return ["--binaries-metadata", "binaries.json", "--cargo-metadata", "metadata.json"]


def judged():
    if not JUDGED.exists():
        return {}
    with open(JUDGED, encoding="utf-8") as file:
        rows = csv.reader((line for line in file if not line.startswith("#")), delimiter="\t", quoting=csv.QUOTE_NONE)
        return {row[0]: row[1:] for row in rows}


def record(mutant, outcome, by):
    print(outcome, "|", mutant["key"], "|", by, flush=True)
    with open(JUDGED, "a", encoding="utf-8") as file:
        file.write(f"{mutant['key']}\t{outcome}\t{by}\n")


def judge(tree, mutant, number, metadata, last):
    """By the nearest tests first; where `last`, one that they let pass is judged by all others too."""
    nearest, *others = tests_of(mutant)
    open_still = judged().get(mutant["key"], [""])[0] == "open"
    for tests in ([] if open_still else [nearest]) + (others if last else []):
        by = runner(tree, metadata, number, tests)
        if by:
            return record(mutant, "caught", by)
    record(mutant, "survived" if last else "open", "")


def main(folder):
    tree = pathlib.Path(folder).resolve()
    names = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout.split("\n")
    for name in filter(None, names):
        (tree / name).parent.mkdir(parents=True, exist_ok=True)
        if not (tree / name).exists() or (tree / name).read_bytes() != (ROOT / name).read_bytes():
            shutil.copy(ROOT / name, tree / name)
    (tree / "hung.toml").write_text(HUNG)
    # Some more than are wanted: those that do not compile are passed over.
    chosen = list(enumerate(listed(ROOT)[: SAMPLE * 5 // 4], 1))
    files = {m["file"] for _, m in chosen} | {f"crates/{c}/src/lib.rs" for c in CRATES}
    # Kept, so that a run that is taken up again finds its build.
    kept = tree / "passed_over.json"
    passed_over = set(json.loads(kept.read_text())) if kept.exists() else set()
    while True:
        left = put(tree, files, [(n, m) for n, m in chosen if n not in passed_over])
        wrong = {number_at(tree, place) for place in errors(tree)} - {None}
        passed_over |= wrong | set(left)
        kept.write_text(json.dumps(sorted(passed_over)))
        if not wrong:
            break
    print(f"{len(chosen) - len(passed_over)} built at once, {len(passed_over)} passed over", flush=True)
    metadata = prebuilt(tree)
    if not metadata:
        sys.exit("the tests do not build")
    if not judged():
        everything = " or ".join(f"(package({c}) and not {LONG})" for c in CRATES)
        by = runner(tree, metadata, 0, f"{everything} or {THROUGH_DESIGNS}")
        if by:
            sys.exit(f"fails without any mutant: {by}")
    # What the nearest tests let pass takes longest: it comes last, when it is known how many there are.
    for last in (False, True):
        for number, mutant in chosen:
            outcome = judged().get(mutant["key"], [None])[0]
            if number not in passed_over and outcome in (None, "open") and (last or outcome is None):
                judge(tree, mutant, number, metadata, last)


HEAD = """\
# Mutants

How good are the tests of `wiring` and `rules`? {count} small faults, taken by a fixed seed from the {of} that cargo-mutants
lists for both crates, were put in one at a time (`cases/mutants/sample.py`, outside the tests): {caught} were seen by a
test, {share:.1f} %. At least 90 % are asked for. A fault that was seen is not judged again when tests are added. Tables and
constants are not changed; they are held to their laws in `VALIDATION.md`.

| Crate | Faults | Seen | By the tests of |
|---|---|---|---|
{crates}

## Not seen

| Fault | Why it stays |
|---|---|
{rows}
"""


def table():
    reasons = dict(csv.reader(open(REASONS, encoding="utf-8"), delimiter="\t", quoting=csv.QUOTE_NONE))
    results, order = judged(), listed(ROOT)
    sample = [m for m in order if results.get(m["key"], [""])[0] in ("caught", "survived")][:SAMPLE]
    assert len(sample) == SAMPLE, len(sample)
    seen = [m for m in sample if results[m["key"]][0] == "caught"]
    crates = []
    for crate in CRATES:
        own, caught = ([m for m in some if m["package"] == crate] for some in (sample, seen))
        by = Counter(results[m["key"]][1].split()[0].split("::")[0] for m in caught)
        by = ", ".join(f"{name} {count}" for name, count in by.most_common())
        crates.append(f"| {crate} | {len(own)} | {len(caught)} | {by} |")
    rows = []
    for mutant in sample:
        if mutant not in seen:
            fault = mutant["key"].removeprefix("crates/").replace("|", "\\|")
            rows.append(f"| {fault} | {reasons[mutant['key']]} |")
    TABLE.write_text(
        HEAD.format(
            count=len(sample), of=len(order), caught=len(seen), share=100 * len(seen) / len(sample),
            crates="\n".join(crates), rows="\n".join(rows),
        )
    )


if __name__ == "__main__":
    if sys.argv[1:] == ["--table"]:
        table()
    elif len(sys.argv) == 2:
        main(sys.argv[1])
    else:
        sys.exit(__doc__)
