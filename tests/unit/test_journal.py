from __future__ import annotations

import hashlib
import json
import os
import signal
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from studio.basics.errors import OutputError
from studio.model.finding import found
from studio.production.journal import (
    JournalEntry,
    JournalWriter,
    file_digest,
    is_whole,
    order_digest,
    read_journal,
)
from studio.production.row_result import RunRow

ROOT = Path(__file__).parents[2]
PRINT, PROOF = "prints/0001-ida.png", "proofs/0001-ida.png"


def entry(row: int, text: str = "Ida", digest: str = "d") -> JournalEntry:
    """Return a finished row as the journal holds it."""
    result = RunRow(row, row + 1, "", text, "made", print=PRINT, proof=PROOF, findings=(found("reads-from", "3 m"),))
    return JournalEntry(digest, None, result)


def journal(folder: Path) -> Path:
    """Return the journal's path."""
    return folder / ".sapwood" / "journal.jsonl"


def made(folder: Path) -> JournalEntry:
    """Make both files of row 1 and return its entry."""
    for name in (PRINT, PROOF):
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_bytes(name.encode())
    result = replace(entry(1).result, sha256=hashlib.sha256(PRINT.encode()).hexdigest())
    return JournalEntry("d", hashlib.sha256(PROOF.encode()).hexdigest(), result)


def whole(folder: Path, held: JournalEntry, *, digest: str = "d", print_name: str = PRINT) -> bool:
    """Return whether an entry still counts."""
    return is_whole(held, folder, digest=digest, print_name=print_name, proof_name=PROOF)


def test_what_is_written_is_read(tmp_path: Path) -> None:
    """Entries come back by row, the last one of a row counting."""
    with JournalWriter(tmp_path) as writer:
        for held in (entry(2), entry(1), entry(2, "Tom", "e")):
            writer.add(held)
        writer.settle()
    assert read_journal(tmp_path) == {1: entry(1), 2: entry(2, "Tom", "e")}
    assert read_journal(tmp_path / "elsewhere") == {}


def test_resuming_adds_and_starting_afresh_does_not(tmp_path: Path) -> None:
    """A resumed journal keeps the old entries; a new one has none of them."""
    for resume, rows in ((False, {1}), (True, {1, 2}), (False, {3})):
        with JournalWriter(tmp_path, resume=resume) as writer:
            writer.add(entry(max(rows)))
        assert set(read_journal(tmp_path)) == rows


def test_a_torn_last_line_costs_itself_only(tmp_path: Path) -> None:
    """Cut anywhere within its last line, a journal gives the lines before, and the next entry is whole."""
    with JournalWriter(tmp_path) as writer:
        writer.add(entry(1))
        first = journal(tmp_path).stat().st_size
        writer.add(entry(2))
    data = journal(tmp_path).read_bytes()
    for end in range(first, len(data), 7):
        journal(tmp_path).write_bytes(data[:end])
        assert read_journal(tmp_path) == {1: entry(1)}
        with JournalWriter(tmp_path, resume=True) as writer:
            writer.add(entry(3))
        assert read_journal(tmp_path) == {1: entry(1), 3: entry(3)}


@pytest.mark.parametrize(
    "rubbish", [b"{}", b"null", b"[" * 100_000, b"\0" * 512, b"\xff\xfe", b'{"digest": 1, "proof_sha256": 2}', b""]
)
def test_rubbish_between_good_lines_is_passed_over(tmp_path: Path, rubbish: bytes) -> None:
    """A spoiled line, such as a power cut leaves, does not hide the lines round it."""
    with JournalWriter(tmp_path) as writer:
        writer.add(entry(1))
        journal(tmp_path).write_bytes(journal(tmp_path).read_bytes() + rubbish + b"\n")
        writer._stream.seek(0, os.SEEK_END)
        writer.add(entry(2))
    assert set(read_journal(tmp_path)) == {1, 2}


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=50)
@given(st.binary(max_size=200))
def test_any_bytes_are_a_journal(tmp_path: Path, data: bytes) -> None:
    """Whatever the file holds, reading gives entries or none."""
    journal(tmp_path).parent.mkdir(exist_ok=True)
    journal(tmp_path).write_bytes(data)
    assert read_journal(tmp_path) == {}


def test_whole_means_the_bytes_and_not_the_name(tmp_path: Path) -> None:
    """A row counts as done only while both files hold what was written."""
    held = made(tmp_path)
    assert whole(tmp_path, held)
    (tmp_path / PRINT).write_bytes(b"something else")
    assert not whole(tmp_path, held)
    held = made(tmp_path)
    (tmp_path / PROOF).unlink()
    assert not whole(tmp_path, held)


def test_a_changed_order_is_made_again(tmp_path: Path) -> None:
    """A row whose digest or file name differs from the journal's does not count as done."""
    held = made(tmp_path)
    assert not whole(tmp_path, held, digest="other")
    assert not whole(tmp_path, held, print_name="prints/0001-tom.png")


@pytest.mark.parametrize(("state", "kept"), [("refused", True), ("failed", False), ("fits", False)])
def test_rows_without_files(tmp_path: Path, state: str, kept: bool) -> None:
    """A refused row stays refused without being tried again; one that failed is tried again."""
    bare = replace(entry(1).result, state=state, print=None, proof=None)
    assert whole(tmp_path, JournalEntry("d", None, bare)) is kept


def test_an_entry_without_digests_does_not_count(tmp_path: Path) -> None:
    """An entry that cannot prove its files is not believed."""
    made(tmp_path)
    assert not whole(tmp_path, entry(1))


def test_the_digest_depends_on_every_part_and_not_on_their_order() -> None:
    """Changing any value changes the digest; changing the order of keys does not."""
    parts = {"text": "Ida", "options": {"face": "Lobster", "cap": 3.5}, "versions": ["1", "2"]}
    same = {"versions": ["1", "2"], "options": {"cap": 3.5, "face": "Lobster"}, "text": "Ida"}
    assert order_digest(parts) == order_digest(same)
    for key, value in (("text", "Idä"), ("options", {"face": "Lobster", "cap": 3.6}), ("versions", ["2", "1"])):
        assert order_digest(parts | {key: value}) != order_digest(parts)
    spelled = '{"options":{"cap":3.5,"face":"Lobster"},"text":"Ida","versions":["1","2"]}'
    assert order_digest(parts) == hashlib.sha256(spelled.encode()).hexdigest()


def test_file_digests(tmp_path: Path) -> None:
    """A file's digest is its SHA-256; what cannot be read has none."""
    (tmp_path / "a").write_bytes(b"abc")
    assert file_digest(tmp_path / "a") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert file_digest(tmp_path) is None
    assert file_digest(tmp_path / "gone") is None
    assert file_digest(Path("a\0b")) is None


def test_a_killed_writer_leaves_whole_lines(tmp_path: Path) -> None:
    """After kill -9 in the middle of writing, every entry that was written is there."""
    script = (
        "import sys\nfrom pathlib import Path\nfrom studio.production.journal import JournalEntry, JournalWriter\n"
        "from studio.production.row_result import RunRow\nwriter = JournalWriter(Path(sys.argv[1]))\n"
        "for row in range(1, 10**9):\n"
        "    writer.add(JournalEntry('d', None, RunRow(row, row, '', 'x' * 2000, 'refused')))\n"
        "    print(row, flush=True)\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", script, str(tmp_path)], cwd=ROOT, stdout=subprocess.PIPE, text=True
    ) as writer:
        assert writer.stdout is not None
        told = 0
        while told < 50:
            told = int(writer.stdout.readline())
        writer.send_signal(signal.SIGKILL)
        writer.wait()
        told = max([told, *(int(line) for line in writer.stdout.read().split())])
    rows = read_journal(tmp_path)
    assert set(range(1, told + 1)) <= set(rows)
    lines = journal(tmp_path).read_bytes().split(b"\n")
    assert [json.loads(line)["result"]["row"] for line in lines[:-1]] == list(range(1, len(lines)))


def test_a_journal_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    """A file in place of the run's folder is an error about writing."""
    (tmp_path / "out").write_bytes(b"")
    with pytest.raises(OutputError, match="is a file, not a folder"):
        JournalWriter(tmp_path / "out")
