"""``cleatwright serve``: what it refuses to start with, and the keys it makes."""

import socket

import pytest


@pytest.fixture
def data(tmp_path, monkeypatch):
    monkeypatch.delenv("DATABASE_URL", raising=False)
    return str(tmp_path / "data")


def test_a_public_address_needs_a_key(cleatwright, data):
    ran = cleatwright("serve", "--host", "0.0.0.0", "--port", "0", "--data", data)  # noqa: S104
    assert (ran.status, ran.out) == (2, "")
    assert "can be reached from elsewhere, and there is no key" in ran.err
    assert "--new-key" in ran.err


def test_keys_are_made_once_and_dropped(cleatwright, data):
    made = cleatwright("serve", "--data", data, "--new-key", "ada")
    assert made.status == 0
    assert made.out.startswith("cleat_")
    again = cleatwright("serve", "--data", data, "--new-key", "ada")
    assert (again.status, again.out) == (2, "")
    assert "there is a key named 'ada' already" in again.err
    assert cleatwright("serve", "--data", data, "--drop-key", "ada").status == 0
    assert cleatwright("serve", "--data", data, "--drop-key", "ada").status == 2
    cleatwright("serve", "--data", data, "--new-key", "bo")
    ran = cleatwright("serve", "--data", data, "--drop-key", "bo", "--erase")
    assert ran.out == "The key of bo is forgotten, and 0 things of theirs erased.\n"


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--port", "70000"), "'70000' is not a port"),
        (("--port", "http"), "'http' is not a port"),
        (("--jobs", "0"), "'0' is not a number of searches"),
        (("--scheduler", "tcp://x:1"), "give --cluster too"),
        (("--erase",), "give --drop-key too"),
    ],
)
def test_options_that_are_none(cleatwright, data, options, words):
    ran = cleatwright("serve", "--data", data, *options)
    assert (ran.status, ran.out) == (2, "")
    assert words in ran.err


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("DATABASE_URL", "mysql://root@localhost/x", "'mysql' is no database this can use"),
        ("DATABASE_URL", "nonsense", "is not the address of a database"),
        ("DATABASE_URL", "postgresql://nobody@127.0.0.1:1/none", "the database cannot be used"),
        ("CLEATWRIGHT_SECONDS", "ten", "CLEATWRIGHT_SECONDS: 'ten' is not a limit"),
    ],
)
def test_surroundings_that_are_wrong(cleatwright, data, monkeypatch, name, value, words):
    monkeypatch.setenv(name, value)
    ran = cleatwright("serve", "--data", data, "--port", "0")
    assert (ran.status, ran.out) == (2, "")
    assert words in ran.err
    assert "Traceback" not in ran.err


def test_an_address_that_is_taken(cleatwright, data):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        ran = cleatwright("serve", "--data", data, "--port", port)
    assert (ran.status, ran.out) == (1, "")
    assert ran.err == f"127.0.0.1:{port}: Address already in use\n"


def test_a_folder_that_another_server_uses(cleatwright, data):
    from pathlib import Path

    fcntl = pytest.importorskip("fcntl")
    Path(data).mkdir()
    with (Path(data) / "lock").open("a") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        ran = cleatwright("serve", "--data", data, "--port", "0")
    assert (ran.status, ran.out) == (2, "")
    assert f"another server uses {data}" in ran.err
