"""An intake in a process of its own, and readers that send to it all at once. Only ever at 127.0.0.1."""

from __future__ import annotations

import asyncio
import json
import os
import signal
import socket
import subprocess
import sys
import time
import uuid
from collections.abc import Sequence
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from ledger.replies.intake.settings import Settings, settings

HOST, ORIGIN, TOKEN = "127.0.0.1", "https://site.example", "a-token-for-tests-and-for-nothing-else"
LONGEST_START = 120.0


def reply(number: int = 0, **changes: Any) -> dict[str, Any]:
    """Return a reply document; its id follows from the number."""
    return {
        "version": 1,
        "id": str(uuid.UUID(int=number, version=4)),
        "about": "questions/forks",
        "edition": {"number": 3, "fingerprint": f"{number:064x}"},
        "stance": "doubt",
        "text": f"I counted again, and it is {number}.",
        "confidences": {"hypotheses/drum": 0.6, "hypotheses/face-cam": 0.3, "none-of-these": 0.1},
        "inputs": {},
        "name": f"Reader {number}",
        "credit": "named",
        "contact": None,
        "consent": True,
        "sent": "2031-05-17",
        **changes,
    }


def solve(challenge: str) -> str:
    """Return the first number that answers a challenge, as a reader's page finds it."""
    bits = int(challenge.partition(".")[0])
    start = sha256(f"{challenge}:".encode())
    number = 0
    while True:
        tried = start.copy()
        tried.update(str(number).encode())
        if int.from_bytes(tried.digest()) >> (256 - bits) == 0:
            return str(number)
        number += 1


@dataclass
class Intake:
    """A running intake; `process` is the present one."""

    store: Path
    port: int
    words: tuple[str, ...]
    process: subprocess.Popen[str] | None = None

    def start(self) -> None:
        """Start it and wait until it listens. Limits are raised, as one address sends everything."""
        command = [
            *(sys.executable, "-c", "from ledger.cli import main; main()", "intake", str(self.store)),
            *("--origin", ORIGIN, "--port", str(self.port), "--bits", "8", "--burst", "1000000", "--most", "1000000"),
            *self.words,
        ]
        environment = {**os.environ, "WITNESS_INTAKE_TOKEN": TOKEN}
        self.process = subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True)
        until = time.monotonic() + LONGEST_START
        while time.monotonic() < until and self.process.poll() is None:
            with socket.socket() as tried:
                if tried.connect_ex((HOST, self.port)) == 0:
                    return
            time.sleep(0.05)
        raise RuntimeError("the intake did not start")

    def kill(self) -> None:
        """Kill it as a power cut would."""
        assert self.process is not None
        self.process.send_signal(signal.SIGKILL)
        self.process.communicate()

    def stop(self) -> int:
        """Ask it to end, and return its exit code."""
        assert self.process is not None
        self.process.send_signal(signal.SIGINT)
        self.process.communicate(timeout=30)
        return self.process.returncode


def free_port() -> int:
    """Return a port that nobody listens at."""
    with socket.socket() as taken:
        taken.bind((HOST, 0))
        return int(taken.getsockname()[1])


class Line:
    """One connection that is kept open, with as much HTTP as the intake needs."""

    def __init__(self, port: int) -> None:
        self.port = port
        self.reader: asyncio.StreamReader | None = None
        self.writer: asyncio.StreamWriter | None = None

    async def ask(self, method: str, path: str, body: bytes = b"") -> tuple[int, dict[str, Any]]:
        """Send a call and return status and answer. OSError or EOFError where the line breaks."""
        if self.writer is None or self.reader is None:
            self.reader, self.writer = await asyncio.open_connection(HOST, self.port)
        head = f"{method} {path} HTTP/1.1\r\nHost: {HOST}\r\nContent-Length: {len(body)}\r\n"
        self.writer.write((head + "Content-Type: application/json\r\n\r\n").encode() + body)
        await self.writer.drain()
        lines = (await self.reader.readuntil(b"\r\n\r\n")).decode().lower().split("\r\n")
        length = next(int(line.split(":")[1]) for line in lines if line.startswith("content-length:"))
        return int(lines[0].split(" ")[1]), json.loads(await self.reader.readexactly(length))

    def close(self) -> None:
        """Close it, or forget that it broke."""
        if self.writer is not None:
            self.writer.close()
        self.reader = self.writer = None


@dataclass
class Load:
    """What came of many readers sending at once.

    acknowledged  ids in the order of their answers; `marks` the seconds since the start at which each came
    sendings      how often each reply had to be sent
    """

    acknowledged: list[str] = field(default_factory=list)
    marks: list[float] = field(default_factory=list)
    sendings: dict[str, int] = field(default_factory=dict)

    def rate(self, first: int, last: int) -> float:
        """Return acknowledged replies a second between two of them."""
        return (last - first) / (self.marks[last] - self.marks[first])


async def solved(port: int, replies: Sequence[dict[str, Any]]) -> list[bytes]:
    """Return what to send for each reply, its proof solved."""
    line, bodies = Line(port), []
    for one in replies:
        _, answer = await line.ask("GET", f"/challenge?id={one['id']}")
        challenge = answer["challenge"]
        bodies.append(json.dumps({"reply": one, "challenge": challenge, "nonce": solve(challenge)}).encode())
    line.close()
    return bodies


async def send(port: int, replies: Sequence[dict[str, Any]], bodies: Sequence[bytes], clients: int, load: Load) -> None:
    """Send all replies from so many clients; each sends a reply again until it is acknowledged."""
    waiting = list(zip(replies, bodies, strict=True))[::-1]
    began = time.monotonic()

    async def client() -> None:
        line = Line(port)
        while waiting:
            one, body = waiting.pop()
            for _ in range(2_000):
                load.sendings[one["id"]] = load.sendings.get(one["id"], 0) + 1
                try:
                    status, answer = await line.ask("POST", "/replies", body)
                except (OSError, EOFError):
                    line.close()
                    await asyncio.sleep(0.05)
                    continue
                if status == 503:
                    await asyncio.sleep(0.05)
                    continue
                assert (status, answer.get("id")) == (200, one["id"]), (status, answer)
                load.acknowledged.append(one["id"])
                load.marks.append(time.monotonic() - began)
                break
        line.close()

    await asyncio.gather(*(client() for _ in range(clients)))


async def through_a_kill(intake: Intake, count: int, clients: int) -> Load:
    """Send so many replies from so many clients; kill the intake once half are acknowledged, and start it again."""
    replies = [reply(number) for number in range(1, count + 1)]
    bodies = await solved(intake.port, replies)
    load = Load()
    sending = asyncio.create_task(send(intake.port, replies, bodies, clients, load))
    while len(load.acknowledged) < count // 2 and not sending.done():
        await asyncio.sleep(0.002)
    await asyncio.to_thread(intake.kill)
    await asyncio.to_thread(intake.start)
    await sending
    return load


def chosen(folder: Path, **changes: Any) -> Settings:
    """Return settings of an intake whose limits no test meets by chance."""
    given = {"token": TOKEN, "bits": 4, "burst": 1_000_000, "hourly": 1e9, **changes}
    return settings(folder / "intake.sqlite", ORIGIN, **given)


def envelope(client: TestClient, one: dict[str, Any], **changes: Any) -> dict[str, Any]:
    """Return what a reader's page sends, with its proof."""
    challenge = client.get("/challenge", params={"id": one["id"]}).json()["challenge"]
    return {"reply": one, "challenge": challenge, "nonce": solve(challenge), **changes}


BEARER = {"Authorization": f"Bearer {TOKEN}"}
