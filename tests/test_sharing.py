"""What many ask for at once is made once, from the records as they stood when each of them asked, or later."""

from collections.abc import Callable, Iterator
from queue import Queue
from threading import Event, Thread

import pytest
from flask import Flask

from app.server.sharing import shared


class Making:
    """A making that waits to be let go on, and tells what it saw of the records when it began."""

    def __init__(self) -> None:
        self.newest, self.begun, self.go_on = 1, Queue[int](), Queue[None]()

    def __call__(self) -> int:
        saw = self.newest
        self.begun.put(saw)
        self.go_on.get(timeout=30)
        return saw


@pytest.fixture
def app() -> Flask:
    return Flask("sharing")


@pytest.fixture
def making() -> Making:
    return Making()


@pytest.fixture
def ask(app: Flask, making: Making) -> Iterator[Callable[[], Queue[int]]]:
    """Asks in a thread of its own for what was made since the newest record; gives where the answer arrives."""
    threads: list[Thread] = []

    def asking() -> Queue[int]:
        answers, has_asked, newest = Queue[int](), Event(), making.newest

        def get() -> None:
            def is_current(value: int) -> bool:
                has_asked.set()
                return value >= newest

            with app.app_context():
                answers.put(shared("page", is_current=is_current, make=making))

        threads.append(Thread(target=get))
        threads[-1].start()
        has_asked.wait(0.2)  # the first of all has nothing to look at
        return answers

    yield asking
    for thread in threads:
        thread.join(30)


def test_all_who_wait_get_what_one_of_them_made(making: Making, ask: Callable[[], Queue[int]]) -> None:
    first = ask()
    making.begun.get(timeout=30)
    others = [ask() for _ in range(5)]
    making.go_on.put(None)
    assert [answers.get(timeout=30) for answers in (first, *others)] == [1] * 6
    assert making.begun.empty()


def test_who_asks_after_something_was_written_gets_it(making: Making, ask: Callable[[], Queue[int]]) -> None:
    early = ask()
    making.begun.get(timeout=30)
    making.newest = 2
    late = ask()
    making.go_on.put(None)  # the one that began before it was written
    assert early.get(timeout=30) == 1
    assert making.begun.get(timeout=30) == 2
    making.go_on.put(None)
    assert late.get(timeout=30) == 2


def test_what_is_current_is_not_made_again(making: Making, ask: Callable[[], Queue[int]]) -> None:
    making.go_on.put(None)
    assert ask().get(timeout=30) == 1
    assert ask().get(timeout=30) == 1
    assert making.begun.qsize() == 1


def test_a_failure_is_told_and_forgotten(app: Flask) -> None:
    with app.app_context():
        with pytest.raises(ZeroDivisionError):
            shared("page", is_current=bool, make=lambda: 1 // 0)
        assert shared("page", is_current=bool, make=lambda: 7) == 7


def test_what_was_asked_for_long_ago_is_let_go(app: Flask) -> None:
    made: list[int] = []

    def make() -> int:
        made.append(1)
        return len(made)

    with app.app_context():
        for number in range(300):
            shared(number, is_current=bool, make=make)
        shared(299, is_current=bool, make=make)
        assert len(made) == 300
        shared(0, is_current=bool, make=make)
        assert len(made) == 301
