"""The intake as it runs: a process at 127.0.0.1, many readers at once, and what survives its sudden death."""

from __future__ import annotations

import asyncio
import json
import os
import socket
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from ledger.replies.intake.settings import from_environment
from tests.intakes import HOST, ORIGIN, TOKEN, Intake, Line, Load, free_port, reply, send, solved, through_a_kill

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def running(tmp_path: Path) -> Iterator[Intake]:
    """An intake that listens."""
    one = Intake(tmp_path / "intake.sqlite", free_port(), ("--no-log",))
    one.start()
    yield one
    assert one.process is not None
    if one.process.poll() is None:
        one.kill()


def kept(path: Path) -> list[str]:
    """The ids that the file holds, and that its structure is whole."""
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        return [row[0] for row in connection.execute("SELECT id FROM reply")]


def test_every_acknowledged_reply_survives_a_kill_once(running: Intake) -> None:
    """Fifty readers send while the process is killed and started again: all that was acknowledged is there, once."""
    load = asyncio.run(through_a_kill(running, 400, 50))
    assert len(load.acknowledged) == len(set(load.acknowledged)) == 400
    assert max(load.sendings.values()) > 1
    stored = kept(running.store)
    assert len(stored) == len(set(stored))
    assert set(stored) == set(load.acknowledged)


def test_what_was_acknowledged_before_the_kill_needs_no_second_sending(running: Intake) -> None:
    """Nothing acknowledged was only in memory: killed at once after the last answer, everything is on the disk."""
    replies = [reply(number) for number in range(1, 101)]
    load = Load()
    asyncio.run(send(running.port, replies, asyncio.run(solved(running.port, replies)), 50, load))
    running.kill()
    assert sorted(kept(running.store)) == sorted(load.acknowledged)
    assert len(load.acknowledged) == 100


def test_it_ends_when_it_is_asked_to(running: Intake) -> None:
    """Ctrl+C ends it in order, and the store is one file again."""
    replies = [reply(1)]
    load = Load()
    asyncio.run(send(running.port, replies, asyncio.run(solved(running.port, replies)), 1, load))
    assert running.stop() == 0
    assert kept(running.store) == load.acknowledged
    assert [path.name for path in running.store.parent.iterdir()] == ["intake.sqlite"]


def test_long_heads_and_noise_do_it_no_harm(running: Intake) -> None:
    """What is no HTTP, a head without end, and a connection that says nothing are let go; the next reader is served."""
    with socket.create_connection((HOST, running.port)):
        for noise in (b"\x16\x03\x01\x02\x00\x01\x00", b"GET / HTTP/1.1\r\nX: " + b"a" * 100_000, b"\r\n" * 1_000):
            with socket.create_connection((HOST, running.port), timeout=10) as one:
                try:
                    one.sendall(noise)
                    assert b" 200 " not in one.recv(4_096)
                except ConnectionError:
                    pass
        line = Line(running.port)

        async def well() -> int:
            status, _ = await line.ask("GET", "/health")
            line.close()
            return status

        assert asyncio.run(well()) == 200


def test_the_command_says_where_it_listens_and_what_is_closed(tmp_path: Path) -> None:
    """It prints its address; without a token, that counts and export stay closed."""
    words = ["intake", str(tmp_path / "i.sqlite"), "--origin", ORIGIN, "--port", "0"]
    environment = {name: value for name, value in os.environ.items() if name != "WITNESS_INTAKE_TOKEN"}
    command = [sys.executable, "-u", "-c", "from ledger.cli import main; main()", *words]
    with subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        said = [process.stdout.readline() for _ in range(2)]
        process.kill()
    assert said[0].startswith("The intake listens at http://127.0.0.1:")
    assert "stay closed" in said[1]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--origin", "https://site.example/"], "without a slash"),
        (["--origin", "site.example"], "an origin such as"),
        (["--origin", "https://SITE.example"], "as browsers do"),
        (["--origin", "https://user@site.example"], "an origin such as"),
        (["--origin", "https://site.example:99999"], "an origin such as"),
        (["--origin", ORIGIN, "--bits", "31"], "from 0 to 30"),
        (["--origin", ORIGIN, "--burst", "0"], "burst"),
        (["--origin", ORIGIN, "--hourly", "0"], "replies an hour"),
        (["--origin", ORIGIN, "--trusted-proxy", "everyone"], "an address, a network, or `unix`"),
    ],
    ids=" ".join,
)
def test_settings_that_cannot_be_are_told(run: Run, tmp_path: Path, words: list[str], said: str) -> None:
    """With what was given, what was expected and how to mend it; and nothing is left behind but perhaps the store."""
    code, _, err = run("intake", tmp_path / "i.sqlite", *words)
    assert code == 1
    assert said in " ".join(err.split())


def test_a_port_that_is_taken_is_told(run: Run, tmp_path: Path) -> None:
    """With the place and the reason."""
    with socket.create_server((HOST, 0)) as taken:
        port = taken.getsockname()[1]
        code, _, err = run("intake", tmp_path / "i.sqlite", "--origin", ORIGIN, "--port", port)
    assert code == 1
    assert f"cannot listen at 127.0.0.1, port {port}" in " ".join(err.split())


def test_all_wrong_settings_are_told_at_once(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Origin, token, proxy and number together; the token itself is not printed."""
    monkeypatch.setenv("WITNESS_INTAKE_TOKEN", "short-secret")
    code, _, err = run(
        "intake", tmp_path / "i.sqlite", "--origin", "x", "--trusted-proxy", "y", "--bits", "99", "--most", "0"
    )
    assert code == 1
    assert "5 faults" in err
    assert "short-secret" not in err
    (tmp_path / "token").write_bytes(b"\xff")
    code, _, err = run("intake", tmp_path / "i.sqlite", "--origin", ORIGIN, "--token-file", tmp_path / "token")
    assert (code, "no file of text" in err) == (1, True)


def test_a_host_can_set_it_up_by_its_environment(tmp_path: Path) -> None:
    """Any ASGI host calls the factory; what is missing or no number is told at once."""
    from ledger.errors import FaultsFound

    made = from_environment(
        {
            "WITNESS_INTAKE_STORE": str(tmp_path / "i.sqlite"),
            "WITNESS_INTAKE_ORIGIN": ORIGIN,
            "WITNESS_INTAKE_TOKEN": TOKEN,
            "WITNESS_INTAKE_PROXIES": "127.0.0.1, unix, fd00::/8",
            "WITNESS_INTAKE_BITS": "18",
            "WITNESS_INTAKE_HOURLY": "2.5",
        }
    )
    assert (made.bits, made.hourly, made.unix, len(made.trusted), made.token) == (18, 2.5, True, 2, TOKEN)
    with pytest.raises(FaultsFound) as found:
        from_environment({"WITNESS_INTAKE_BITS": "many", "WITNESS_INTAKE_BURST": ""})
    assert {fault.field for fault in found.value.faults} == {
        "WITNESS_INTAKE_STORE", "WITNESS_INTAKE_ORIGIN", "WITNESS_INTAKE_BITS",
    }  # fmt: skip


def test_the_factory_serves_under_uvicorn_itself(tmp_path: Path) -> None:
    """The command that the README gives for other hosts runs, and trusts X-Forwarded-For only as it was told."""
    port = free_port()
    environment = {**os.environ, "WITNESS_INTAKE_STORE": str(tmp_path / "i.sqlite"), "WITNESS_INTAKE_ORIGIN": ORIGIN}
    words = ["--factory", "--no-proxy-headers", "--no-access-log", "--port", str(port)]
    command = [sys.executable, "-m", "uvicorn", *words, "ledger.replies.intake.serving:from_surroundings"]
    process = subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        line = Line(port)

        async def described() -> tuple[int, str]:
            for _ in range(600):
                try:
                    status, said = await line.ask("GET", "/openapi.json")
                    line.close()
                    return status, json.dumps(said)
                except OSError:
                    line.close()
                    await asyncio.sleep(0.1)
            raise AssertionError("it did not start")

        status, said = asyncio.run(described())
    finally:
        process.kill()
        process.wait()
    assert status == 200
    assert "/replies" in said
