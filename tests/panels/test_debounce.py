"""What can wait is done once after the last call, and at once where there is no event loop to wait on."""

from __future__ import annotations

import asyncio

from simkit.panels.debounce import Debounced


def test_without_an_event_loop_it_is_done_at_once() -> None:
    done: list[int] = []
    Debounced(lambda: done.append(1)).call()
    assert done == [1]


def test_only_the_last_call_is_done() -> None:
    done: list[int] = []

    async def drag() -> None:
        put_off = Debounced(lambda: done.append(1), seconds=0.02)
        for _ in range(5):
            put_off.call()
            await asyncio.sleep(0.001)
        assert done == []
        await asyncio.sleep(0.1)
        assert done == [1]
        put_off.call()
        put_off.cancel()
        await asyncio.sleep(0.05)

    asyncio.run(drag())
    assert done == [1]
