"""What can wait is done once after the last wish, and at once where there is no event loop to wait on."""

from __future__ import annotations

import asyncio

from simkit.panels.debounce import Rest


def test_without_an_event_loop_it_is_done_at_once() -> None:
    done: list[int] = []
    Rest(lambda: done.append(1)).wish()
    assert done == [1]


def test_only_the_last_wish_is_granted() -> None:
    done: list[int] = []

    async def drag() -> None:
        rest = Rest(lambda: done.append(1), seconds=0.02)
        for _ in range(5):
            rest.wish()
            await asyncio.sleep(0.001)
        assert done == []
        await asyncio.sleep(0.1)
        assert done == [1]
        rest.wish()
        rest.drop()
        await asyncio.sleep(0.05)

    asyncio.run(drag())
    assert done == [1]
