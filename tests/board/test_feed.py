"""The feed: the present state at once, the latest state wins, and nobody is waited for."""

import asyncio
from collections.abc import AsyncIterator

from handsfree.board.feed import Feed, Update

NEVER_S = 3600.0  # no sign of life in a test that does not ask for one


async def first(updates: AsyncIterator[Update]) -> Update:
    return await anext(updates)


def test_a_reader_that_comes_late_gets_the_present_view_at_once() -> None:
    feed = Feed()
    feed.publish("one")
    feed.publish("two")
    assert asyncio.run(first(feed.follow(NEVER_S))) == Update(2, "two")


def test_a_reader_that_waits_is_woken_by_a_view_from_another_thread() -> None:
    async def read() -> Update:
        feed = Feed()
        waiting = asyncio.ensure_future(first(feed.follow(NEVER_S)))
        await asyncio.sleep(0)  # let the reader begin to wait
        await asyncio.to_thread(feed.publish, "one")
        return await waiting

    assert asyncio.run(read()) == Update(1, "one")


def test_a_slow_reader_misses_what_was_replaced_and_gets_the_latest() -> None:
    async def read() -> list[Update]:
        feed = Feed()
        updates = feed.follow(NEVER_S)
        feed.publish("0")
        got = [await anext(updates)]
        for number in range(1, 1001):
            feed.publish(str(number))
        got.append(await anext(updates))
        feed.close()
        got += [update async for update in updates]
        return got

    assert asyncio.run(read()) == [Update(1, "0"), Update(1001, "1000")]


def test_a_silent_feed_gives_signs_of_life() -> None:
    async def read() -> list[Update]:
        updates = Feed().follow(beat_s=0)
        return [await anext(updates), await anext(updates)]

    assert asyncio.run(read()) == [Update(0, None), Update(0, None)]


def test_a_closed_feed_gives_its_last_view_and_ends() -> None:
    async def read() -> list[Update]:
        return [update async for update in feed.follow(NEVER_S)]

    feed = Feed()
    feed.publish("last")
    feed.close()
    assert asyncio.run(read()) == [Update(1, "last")]


def test_a_reader_that_leaves_is_forgotten() -> None:
    async def read() -> tuple[int, int]:
        updates = feed.follow(NEVER_S)
        await anext(updates)
        during = feed.readers
        await updates.aclose()
        return during, feed.readers

    feed = Feed()
    feed.publish("one")
    assert asyncio.run(read()) == (1, 0)


def test_publishing_to_a_reader_whose_loop_has_ended_is_harmless() -> None:
    feed = Feed()
    feed.publish("one")
    updates = feed.follow(NEVER_S)  # held, so that it is not tidied away with its loop
    loop = asyncio.new_event_loop()
    loop.run_until_complete(first(updates))
    loop.close()
    feed.publish("two")
    feed.publish("three")


def test_a_loop_that_stands_still_is_woken_once_and_not_flooded() -> None:
    """What waits for a loop that has no time is one call, however much is published."""

    async def read() -> int:
        feed = Feed()
        waiting = asyncio.ensure_future(first(feed.follow(NEVER_S)))
        await asyncio.sleep(0)
        loop = asyncio.get_running_loop()
        calls = 0
        real = loop.call_soon_threadsafe

        def counted(*args: object, **more: object) -> object:
            nonlocal calls
            calls += 1
            return real(*args, **more)  # type: ignore[arg-type]

        loop.call_soon_threadsafe = counted  # type: ignore[assignment, method-assign]
        for number in range(1000):
            feed.publish(str(number))
        loop.call_soon_threadsafe = real  # type: ignore[method-assign]
        assert await waiting == Update(1000, "999")
        return calls

    assert asyncio.run(read()) == 1
