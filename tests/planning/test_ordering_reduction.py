"""Nodes that may as well be done together become one."""

from __future__ import annotations

from witnessmark.planning.ordering_reduction import reduce_task
from witnessmark.planning.ordering_task import Fork, Task
from witnessmark.procedure.problem import ANYWHERE


def stands_for(task: Task, *, merge: bool = True) -> set[tuple[int, ...]]:
    return set(reduce_task(task, merge=merge).stands_for)


def at_one_place(earlier: tuple[int, ...], *forks: Fork) -> Task:
    return Task((1,) * len(earlier), (1,) * len(earlier), earlier, forks)


def test_steps_at_one_place_that_follow_one_another_are_done_in_one_go():
    assert stands_for(at_one_place((0, 0b1, 0b11))) == {(0, 1, 2)}


def test_a_step_that_also_waits_for_another_place_is_not_drawn_forward():
    # 2, at the place of 0, waits for 1 as well, and 3 waits for 0.
    task = Task((1, 2, 1, 3), (1, 1, 1, 1), (0, 0, 0b11, 0b1))
    assert stands_for(task) == {(0,), (1,), (2,), (3,)}


def test_a_step_is_drawn_back_to_the_only_one_that_waits_for_it():
    # 0 and 1 wait for nothing; 2, at the place of 0, waits for both.
    task = Task((1, 2, 1), (1, 1, 1), (0, 0, 0b11))
    assert stands_for(task) == {(0, 2), (1,)}


def test_steps_that_wait_for_the_same_are_done_together():
    task = Task((2, 1, 1, 3, 4), (1, 1, 1, 1, 1), (0, 0b1, 0b1, 0b11, 0b101))
    assert (1, 2) in stands_for(task)


def test_free_steps_are_left_out_and_what_waits_for_them_still_waits():
    task = Task((1, ANYWHERE, 2), (1, ANYWHERE, 1), (0, 0b1, 0b11))
    reduced = reduce_task(task, merge=False)
    assert set(reduced.stands_for) == {(0,), (2,)}
    assert reduced.task.earlier == (0, 0b1)


def test_a_step_with_any_tool_is_done_with_the_tool_in_hand_but_not_the_other_way_round():
    assert stands_for(Task((1, 1), (1, ANYWHERE), (0, 0b1))) == {(0, 1)}
    # The first with any tool, but 2 waits for it as well: it cannot wait for the socket.
    task = Task((1, 1, 2), (ANYWHERE, 1, 2), (0, 0b1, 0b1))
    assert stands_for(task) == {(0,), (1,), (2,)}


def test_steps_of_an_open_fork_are_left_alone():
    fork = Fork(block=0, opened=1, closed=2)
    assert stands_for(at_one_place((0, 0, 0b10), fork)) == {(0,), (1,), (2,)}


def test_nothing_is_merged_when_told_not_to():
    assert stands_for(at_one_place((0, 0b1)), merge=False) == {(0,), (1,)}
