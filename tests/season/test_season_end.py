"""What a season taught: cold told from other losses, gluts and gaps, and sharing without names."""

from __future__ import annotations

from datetime import date

from bot.core.season.lessons import LessonKind, Loss, Picked, Shares, lessons, shares, taken_by_cold

NOBODY = Shares(8, 0, 0, 0, 0)


def kinds(**given: object) -> list[LessonKind]:
    return [one.kind for one in taught(**given)]


def taught(**given: object) -> list:  # type: ignore[type-arg]
    none = {
        "cold_losses": (), "uncalled": (), "needless_n": 0, "calls_n": 0, "undone_n": 0, "duties_n": 0, "work": NOBODY,
        "picked": (),
    }  # fmt: skip
    return list(lessons(**{**none, **given}))  # type: ignore[arg-type]


def test_a_loss_within_three_days_of_a_cold_night_is_the_cold_s_and_a_later_one_is_not() -> None:
    night = date(2026, 5, 5)
    soon, late, before = (Loss("courgette", 4, date(2026, 5, day)) for day in (8, 9, 4))
    assert taken_by_cold([soon, late, before], {night}) == (soon,)


def test_spring_s_cold_says_after_which_day_and_autumn_s_before_which() -> None:
    lost = [Loss("courgette", 4, date(2026, 5, 6)), Loss("courgette", 2, date(2026, 5, 19))]
    lost.append(Loss("courgette", 3, date(2026, 10, 2)))
    later, earlier = taught(cold_losses=lost)
    assert (later.kind, later.on, later.n) == (LessonKind.LATER, date(2026, 5, 19), 6)
    assert (earlier.kind, earlier.on, earlier.n) == (LessonKind.EARLIER, date(2026, 10, 2), 3)


def test_south_of_the_equator_october_s_cold_is_spring_s() -> None:
    (lesson,) = taught(cold_losses=[Loss("courgette", 4, date(2026, 10, 6))], south=True)
    assert lesson.kind is LessonKind.LATER


def test_a_crop_of_which_most_came_in_one_week_is_a_glut_and_a_steady_one_is_none() -> None:
    glut = [Picked("lettuce", kg, date(2026, 6, day)) for kg, day in ((1.0, 1), (7.0, 10), (1.0, 20))]
    steady = [Picked("bean", 3.0, date(2026, 6, day)) for day in (1, 10, 20)]
    (lesson,) = taught(picked=[*glut, *steady])
    # 10 June 2026 is a Wednesday of the week that begins on Monday 8 June (ISO 8601).
    assert (lesson.kind, lesson.crop, lesson.on, lesson.kg) == (LessonKind.GLUT, "lettuce", date(2026, 6, 8), 7.0)


def test_the_longest_time_without_any_harvest_is_named_from_three_weeks_on() -> None:
    def picked(*days: int) -> list[Picked]:
        return [Picked("bean", 1.0, date(2026, 6, day)) for day in days]

    assert kinds(picked=picked(1, 21)) == []
    (gap,) = taught(picked=picked(1, 22))
    assert (gap.kind, gap.on, gap.until_on) == (LessonKind.GAP, date(2026, 6, 1), date(2026, 6, 22))


def test_sharing_is_said_in_numbers_and_few_hands_only_when_there_was_work() -> None:
    work = shares({1: 5, 2: 1, 3: 0}, 8)
    assert work == Shares(members_n=8, helpers_n=2, turns_n=6, fewest_n=1, most_n=5)
    assert kinds(work=work) == [LessonKind.FEW_HANDS]
    assert kinds(work=NOBODY) == []


def test_calls_for_nothing_are_named_when_they_were_more_than_half_of_four_or_more() -> None:
    assert kinds(needless_n=2, calls_n=3) == []
    assert kinds(needless_n=2, calls_n=4) == []
    assert kinds(needless_n=3, calls_n=4) == [LessonKind.NEEDLESS]
