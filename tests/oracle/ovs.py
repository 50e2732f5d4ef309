"""Open vSwitch in a folder of its own, with dummy devices: wirings in, fates of frames and console captures out."""

from __future__ import annotations

import json
import os
import re
import shutil
import socket
import subprocess
import tempfile
import time
from pathlib import Path
from types import TracebackType
from typing import NamedTuple, NoReturn, Self

import pytest

from .actions import OracleError, TagPcp, outputs
from .wirings import C_TPID, MOST_TAGS, S_TPID, Frame, Wiring

PACKAGE = "openvswitch-switch"  # Debian's name
PROGRAMS = ("ovsdb-tool", "ovsdb-server", "ovs-vswitchd", "ovs-vsctl")
_PATIENCE = 30.0  # seconds until a daemon that does not answer is an error


class Delivery(NamedTuple):
    """One copy of a frame that leaves by an edge port or a bridge's local port."""

    bridge: str  # name of the bridge
    port: str  # name of the port
    frame: Frame  # the tags it wears on the wire


def missing_programs(path: str | None = None) -> list[str]:
    """Return the programs of Open vSwitch that are not on `path` (default: the environment's, and /usr/sbin)."""
    return [name for name in PROGRAMS if _program(name, path) is None]


def unavailable(missing: list[str]) -> NoReturn:
    """Skip the test and name what to install; fail it where VLANCHECK_REQUIRE_ORACLE=1 asks for the switch."""
    reason = f"{', '.join(missing)} not found: install Debian package {PACKAGE}"
    if os.environ.get("VLANCHECK_REQUIRE_ORACLE") == "1":
        pytest.fail(reason)
    pytest.skip(reason)


class Ovs:
    """A running Open vSwitch; use it in a `with` statement, which stops its daemons."""

    def __init__(self) -> None:
        """Choose the folder; nothing runs yet."""
        # Not pytest's temporary folder: a socket's path may hold 107 bytes only (unix(7)).
        self._folder = Path(tempfile.mkdtemp(prefix="ovs-"))
        self._daemons: list[subprocess.Popen[bytes]] = []
        self._control: socket.socket | None = None
        self._bridges: list[str] = []
        self._number_of: dict[tuple[str, str], int] = {}
        self._port_at: dict[int, tuple[str, str]] = {}

    def __enter__(self) -> Self:
        try:
            self._start()
        except BaseException:
            self._stop()
            raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._stop()

    def build(self, wiring: Wiring, *extra: str) -> None:
        """Replace whatever stands by a wiring; `extra` are further ovs-vsctl words for the same transaction."""
        self.reset()
        self._bridges = [bridge.name for bridge in wiring.bridges]
        self._vsctl(*wiring.commands()[1:], *extra)
        self._number_of = dict(_port_numbers(self.control("dpif/show")))
        self._port_at = {number: port for port, number in self._number_of.items()}
        if missing := set(wiring.edges()) - self._number_of.keys():
            raise OracleError(f"the datapath lacks ports: {sorted(missing)}")

    def reset(self) -> None:
        """Delete every bridge."""
        words = [word for name in self._bridges for word in ("--", "--if-exists", "del-br", name)]
        if words:
            self._vsctl(*words[1:])
        self._bridges, self._number_of, self._port_at = [], {}, {}

    def capture(self, host: str = "lab") -> str:
        """Return the console text a person would save: each prompt with its command, then what ovs-vsctl printed."""
        prompt = f"root@{host}:~# "
        tables = (f"--format=json list {table}" for table in ("bridge", "port", "interface"))
        return "".join(f"{prompt}ovs-vsctl {words}\n{self._vsctl(*words.split())}" for words in tables) + prompt + "\n"

    def trace(self, bridge: str, port: str, frame: Frame) -> set[Delivery]:
        """Return where a broadcast frame of priority 0 goes entering by an edge or local port; nothing is learned."""
        copies = self.trace_with_pcp(bridge, port, tuple((tpid, vid, 0) for tpid, vid in frame))
        return {Delivery(*where, tuple((tpid, vid) for tpid, vid, _ in tags)) for where, tags in copies}

    def trace_with_pcp(
        self, bridge: str, port: str, tags: tuple[TagPcp, ...]
    ) -> list[tuple[tuple[str, str], tuple[TagPcp, ...]]]:
        """Return ((bridge, port), tags) of every copy, a repeated one included; a tag is (TPID, VID, PCP)."""
        printed = self.control("ofproto/trace", "ovs-dummy", _flow(self._number_of[bridge, port], tags))
        found = re.search(r"^Datapath actions: (.*)$", printed, re.MULTILINE)
        if found is None or "Translation failed" in printed:
            raise OracleError(f"no datapath actions in the trace:\n{printed}")
        return [(self._port_at[number], worn) for number, worn in outputs(found[1], tags)]

    def control(self, command: str, *words: str) -> str:
        """Return what the switch daemon answers to a command of ovs-appctl, asked over its socket without a process."""
        assert self._control is not None, "not started"
        # JSON-RPC 1.0 without framing: an answer ends where its JSON does.
        self._control.sendall(json.dumps({"id": 0, "method": command, "params": words}).encode())
        received = b""
        while True:
            part = self._control.recv(1 << 16)
            if not part:
                raise OracleError(f"ovs-vswitchd went away at {command}; its log ends:\n{self._log()}")
            received += part
            try:
                answer = json.loads(received)
            except ValueError:
                continue
            if answer["error"] is not None:
                raise OracleError(f"{command} {' '.join(words)}: {answer['error']}")
            return str(answer["result"])

    def _start(self) -> None:
        self._run("ovsdb-tool", "create", str(self._folder / "conf.db"))
        database = f"punix:{self._folder}/db.sock"
        self._spawn("ovsdb-server", str(self._folder / "conf.db"), f"--remote={database}")
        self._connect("db.sock").close()
        self._vsctl("--no-wait", "init", "--", "set", "Open_vSwitch", ".", f"other_config:vlan-limit={MOST_TAGS}")
        self._spawn("ovs-vswitchd", f"unix:{self._folder}/db.sock", "--enable-dummy=override", "--disable-system")
        self._control = self._connect("ovs-vswitchd.ctl")
        self._control.settimeout(_PATIENCE)

    def _stop(self) -> None:
        if self._control is not None:
            self._control.close()
        for daemon in reversed(self._daemons):
            daemon.terminate()
            try:
                daemon.wait(timeout=5)
            except subprocess.TimeoutExpired:
                daemon.kill()
                daemon.wait()
        shutil.rmtree(self._folder, ignore_errors=True)

    def _spawn(self, name: str, *words: str) -> None:
        """Start a daemon in the foreground, so that it is our child, with its control socket and log in our folder."""
        options = (f"--unixctl={self._folder}/{name}.ctl", f"--log-file={self._folder}/{name}.log", "-vconsole:off")
        with (self._folder / f"{name}.stderr.log").open("wb") as complaints:
            self._daemons.append(
                subprocess.Popen(
                    [_required(name), *words, *options],
                    env=self._environment(),
                    stdin=subprocess.DEVNULL,
                    stdout=subprocess.DEVNULL,
                    stderr=complaints,
                )
            )

    def _connect(self, name: str) -> socket.socket:
        """Return a connection to a daemon's socket once it answers."""
        until = time.monotonic() + _PATIENCE
        while True:
            connection = socket.socket(socket.AF_UNIX)
            try:
                connection.connect(str(self._folder / name))
                return connection
            except OSError as error:
                connection.close()
                dead = [daemon.args for daemon in self._daemons if daemon.poll() is not None]
                if dead or time.monotonic() > until:
                    raise OracleError(f"no answer at {name} ({error}); ended: {dead}; log:\n{self._log()}") from error
                time.sleep(0.01)

    def _vsctl(self, *words: str) -> str:
        """Return the output of ovs-vsctl, which waits until the switch has taken the change over."""
        return self._run("ovs-vsctl", f"--db=unix:{self._folder}/db.sock", f"--timeout={_PATIENCE:.0f}", *words)

    def _run(self, name: str, *words: str) -> str:
        done = subprocess.run(
            [_required(name), *words], env=self._environment(), stdin=subprocess.DEVNULL, capture_output=True, text=True
        )
        # ovs-vsctl reports a port that could not be made on stderr only and still ends with 0.
        if done.returncode or done.stderr:
            raise OracleError(f"{name} {' '.join(words)}\nended with {done.returncode}:\n{done.stderr}")
        return done.stdout

    def _environment(self) -> dict[str, str]:
        """Return an environment in which nothing of Open vSwitch is read or written outside our folder."""
        return os.environ | dict.fromkeys(
            ("OVS_RUNDIR", "OVS_LOGDIR", "OVS_DBDIR", "OVS_SYSCONFDIR"), str(self._folder)
        )

    def _log(self) -> str:
        """Return the end of the daemons' logs."""
        logs = sorted(self._folder.glob("*.log"))
        return "\n".join(line for log in logs for line in log.read_text(errors="replace").splitlines()[-10:])


def _program(name: str, path: str | None = None) -> str | None:
    """Return where a program is; daemons live in /usr/sbin, which is not on every user's search path."""
    search = os.environ.get("PATH", os.defpath) + os.pathsep + "/usr/sbin" if path is None else path
    return shutil.which(name, path=search)


def _required(name: str) -> str:
    found = _program(name)
    if found is None:
        raise OracleError(f"{name} is not installed; Debian package {PACKAGE} has it")
    return found


def _port_numbers(shown: str) -> list[tuple[tuple[str, str], int]]:
    """Return ((bridge, port), datapath port number) from dpif/show; patch ports have no number there."""
    numbers: list[tuple[tuple[str, str], int]] = []
    bridge = ""
    for line in shown.splitlines():
        if found := re.fullmatch(r"  (\S+):", line):
            bridge = found[1]
        elif found := re.match(r"    (\S+) \d+/(\d+): ", line):
            numbers.append(((bridge, found[1]), int(found[2])))
    return numbers


def _flow(in_port: int, tags: tuple[TagPcp, ...]) -> str:
    """Return a broadcast frame as a datapath flow; raise ValueError for a tag that this form cannot express."""
    nested = "eth_type(0x1234)"
    for tpid, vid, pcp in reversed(tags):
        if tpid not in (C_TPID, S_TPID) or not 0 <= vid < 4096 or not 0 <= pcp < 8:
            raise ValueError(f"not a tag: TPID {tpid:#06x}, VID {vid}, PCP {pcp}")
        nested = f"eth_type({tpid:#06x}),vlan(vid={vid},pcp={pcp}),encap({nested})"
    return f"in_port({in_port}),eth(src=50:54:00:00:00:01,dst=ff:ff:ff:ff:ff:ff),{nested}"
