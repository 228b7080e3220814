"""Official warnings by the Common Alerting Protocol: the standard's own examples, and what each element means."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot.core.warnings.official import Alert, Area, Info, Reference, Shape, closes, covers, held, is_told, unplaced
from bot.core.weather.forecast import ForecastError
from bot.forecasts import cap

DATA = Path(__file__).parent / "data"
#: Within the polygon of the standard's example A.2 (worked out by hand), outside it, and in one of its counties.
KIRKWOOD, SACRAMENTO = (38.48, -119.94), (38.58, -121.49)
ALPINE = frozenset({("SAME", "006003")})
SENT = datetime(2003, 6, 17, 21, 57, tzinfo=UTC)  # 14:57 -07:00


def oasis(name: str) -> Alert:
    return cap.parse((DATA / f"cap-oasis-{name}.xml").read_text(encoding="utf-8"))


STORM = oasis("thunderstorm")


def test_the_standards_thunderstorm_is_read_as_it_is_written() -> None:
    (info,) = STORM.infos
    assert STORM.me == Reference("KSTO@NWS.NOAA.GOV", "KSTO1055887203", SENT)
    assert (STORM.status, STORM.kind, STORM.scope) == ("Actual", "Alert", "Public")
    assert (info.event, info.severity, info.issuer) == (
        "SEVERE THUNDERSTORM", "Severe", "NATIONAL WEATHER SERVICE SACRAMENTO CA",
    )  # fmt: skip
    assert info.expires_at == datetime(2003, 6, 17, 23, 0, tzinfo=UTC)
    assert info.instruction == "TAKE COVER IN A SUBSTANTIAL SHELTER UNTIL THE STORM PASSES."
    assert info.language == "en-US", "the standard's default"
    (area,) = info.areas
    assert area.codes == (("SAME", "006109"), ("SAME", "006009"), ("SAME", "006003"))
    assert len(area.shapes[0].points) == 5


def test_it_holds_within_its_polygon_and_for_its_counties_until_it_expires() -> None:
    (one,) = held([STORM], *KIRKWOOD, (), SENT)
    assert (one.starts_at, one.ends_at) == (SENT, datetime(2003, 6, 17, 23, 0, tzinfo=UTC))
    assert closes(one.severity)
    assert held([STORM], *SACRAMENTO, (), SENT) == ()
    assert held([STORM], *SACRAMENTO, ALPINE, SENT)
    assert held([STORM], *SACRAMENTO, {("FIPS6", "006003")}, SENT) == (), "the same number by another system"
    assert held([STORM], *KIRKWOOD, (), one.ends_at) == ()


def test_the_standards_earthquake_is_past_and_warns_nobody() -> None:
    quake = oasis("earthquake")
    assert quake.references[0].identifier == "TRI13970876.1"
    assert quake.infos[0].areas[0].shapes == (Shape(((32.9525, -115.5527),), 0.0),)
    assert held([quake], 32.9525, -115.5527, (), quake.me.sent_at) == ()


def test_the_standards_call_in_two_languages_is_read_and_left_to_the_police() -> None:
    amber = oasis("two-languages")
    assert [one.language for one in amber.infos] == ["en-US", "es-US"]
    county = {("SAME", "006037")}
    assert held([amber], 34.0, -118.2, county, amber.me.sent_at) == ()
    flood = replace(amber, infos=tuple(replace(one, categories=("Met",)) for one in amber.infos))
    (one,) = held([flood], 34.0, -118.2, county, amber.me.sent_at)
    assert len(one.infos) == 2
    assert one.ends_at == amber.me.sent_at + timedelta(hours=24), "it names no end"


@pytest.mark.parametrize("status", ["Exercise", "System", "Test", "Draft"])
def test_what_is_no_real_warning_is_kept_apart(status: str) -> None:
    assert held([replace(STORM, status=status)], *KIRKWOOD, (), SENT) == ()


@pytest.mark.parametrize("scope", ["Restricted", "Private"])
def test_what_is_not_for_the_public_is_not_passed_on(scope: str) -> None:
    assert held([replace(STORM, scope=scope)], *KIRKWOOD, (), SENT) == ()


def _after(kind: str, **changed: str) -> Alert:
    infos = tuple(replace(one, **changed) for one in STORM.infos)  # type: ignore[arg-type]
    me = Reference(STORM.me.sender, f"later {kind}", SENT + timedelta(minutes=10))
    return replace(STORM, me=me, kind=kind, references=(STORM.me,), infos=infos)


def test_an_update_takes_the_place_of_what_it_refers_to_in_whatever_order_they_come() -> None:
    update = _after("Update", severity="Extreme")
    for order in ([STORM, update], [update, STORM]):
        (one,) = held(order, *KIRKWOOD, (), SENT)
        assert one.severity == "Extreme"


def test_a_cancel_takes_it_back_and_an_acknowledgement_or_an_error_does_not() -> None:
    assert held([STORM, _after("Cancel")], *KIRKWOOD, (), SENT) == ()
    assert held([STORM, _after("Ack"), _after("Error")], *KIRKWOOD, (), SENT)


def test_a_test_of_a_cancel_takes_nothing_back() -> None:
    assert held([STORM, replace(_after("Cancel"), status="Test")], *KIRKWOOD, (), SENT)


def test_all_clear_and_what_is_past_warn_of_nothing() -> None:
    for one in (replace(STORM.infos[0], responses=("AllClear",)), replace(STORM.infos[0], urgency="Past")):
        assert held([replace(STORM, infos=(one,))], *KIRKWOOD, (), SENT) == ()


@pytest.mark.parametrize(
    ("severity", "told", "closing"),
    [
        ("Minor", False, False),
        ("Moderate", False, False),
        ("Unknown", True, False),
        ("Severe", True, True),
        ("Extreme", True, True),
        ("Odd", True, False),
    ],
)
def test_how_severe_it_is_decides_whether_people_hear_and_whether_they_stay_in(
    severity: str, told: bool, closing: bool
) -> None:
    assert (is_told(severity), closes(severity)) == (told, closing)


def _area(*shapes: Shape) -> Area:
    return Area("somewhere", shapes)


def test_a_circle_reaches_as_far_as_its_radius() -> None:
    # One degree of latitude is 111.2 km on a sphere of 6,371 km.
    circle = _area(Shape(((52.0, 5.0),), 112.0))
    assert covers(circle, 53.0, 5.0, ())
    assert not covers(_area(Shape(((52.0, 5.0),), 111.0)), 53.0, 5.0, ())


def test_a_polygon_over_the_date_line_is_one_piece() -> None:
    fiji = _area(Shape(((-19.0, 177.0), (-19.0, -178.0), (-15.0, -178.0), (-15.0, 177.0), (-19.0, 177.0))))
    assert covers(fiji, -17.0, 179.5, ()) and covers(fiji, -17.0, -179.5, ())
    assert not covers(fiji, -17.0, 0.0, ()) and not covers(fiji, -17.0, 176.0, ())


def test_a_bay_in_a_polygon_is_outside_it() -> None:
    bay = _area(Shape(((0.0, 0.0), (0.0, 4.0), (4.0, 4.0), (1.0, 2.0), (4.0, 0.0), (0.0, 0.0))))
    assert covers(bay, 0.5, 2.0, ())
    assert not covers(bay, 3.0, 2.0, ())


def test_an_area_of_words_alone_is_said_to_be_unplaced() -> None:
    words = replace(STORM, infos=(replace(STORM.infos[0], areas=(Area("the whole county"),)),))
    assert held([words], *KIRKWOOD, ALPINE, SENT) == ()
    assert unplaced(words) == ("the whole county",)
    assert unplaced(STORM) == ()


@pytest.mark.parametrize(
    "polygon", ["38.47,-120.14 38.62,-119.89 38.47,-120.14", "38.47,-120.14 38.34,-119.95 38.52,-119.74 38.62,-119.89",
                "38.47,-120.14 38.52 38.62,-119.89 38.47,-120.14", "", "north"],
)  # fmt: skip
def test_a_polygon_that_is_none_is_left_out(polygon: str) -> None:
    text = (DATA / "cap-oasis-thunderstorm.xml").read_text(encoding="utf-8")
    start, end = text.index("<polygon>") + 9, text.index("</polygon>")
    assert cap.parse(text[:start] + polygon + text[end:]).infos[0].areas[0].shapes == ()


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("", "no XML"),
        ("{}", "no XML"),
        ("<html><body>Sorry</body></html>", "expected a CAP <alert>"),
        ('<alert xmlns="urn:oasis:names:tc:emergency:cap:1.2"><sent>yesterday</sent></alert>', "when it was sent"),
        (
            '<alert xmlns="urn:oasis:names:tc:emergency:cap:1.2"><sent>2003-06-17T14:57:00</sent></alert>',
            "when it was sent",
        ),
        ("<alert><sent>2003-06-17T14:57:00-07:00</sent><sender>a</sender></alert>", "no <identifier>"),
        ('<!DOCTYPE a [<!ENTITY e "x">]><alert>&e;</alert>', "EntitiesForbidden"),
        ('<!DOCTYPE a SYSTEM "file:///etc/passwd"><alert>&x;</alert>', "no XML"),
    ],
)
def test_what_is_no_warning_is_refused_and_said(text: str, complaint: str) -> None:
    with pytest.raises(ForecastError, match=complaint):
        cap.parse(text)


ATOM = """<feed xmlns="http://www.w3.org/2005/Atom"><title>Warnings</title>
  <entry><id>one</id><link href="/cap/one.xml" type="application/cap+xml"/><link href="/one.html" rel="related"/></entry>
  <entry><id>https://warn.example/two.cap</id></entry>
  <entry><id>again</id><link href="/cap/one.xml"/></entry></feed>"""
#: The form of MET Norway's MetAlerts 2.0 (current.rss, read in a stored copy of 12 November 2026).
RSS = """<rss version="2.0"><channel><title>MET Norway Weather alerts</title><link>https://api.met.no</link>
  <item><title>Snow, yellow level</title>
  <link>https://api.met.no/weatherapi/metalerts/2.0/current?cap=2.49.0.1.578.0.20261111072845.042</link>
  <guid>2.49.0.1.578.0.20261111072845.042</guid></item></channel></rss>"""


def test_feeds_list_their_files() -> None:
    assert cap.links(ATOM, "https://warn.example/atom") == (
        "https://warn.example/cap/one.xml",
        "https://warn.example/two.cap",
    )
    assert cap.links(RSS, "https://api.met.no/weatherapi/metalerts/2.0/current.rss") == (
        "https://api.met.no/weatherapi/metalerts/2.0/current?cap=2.49.0.1.578.0.20261111072845.042",
    )
    with pytest.raises(ForecastError, match="expected an Atom or RSS feed"):
        cap.links("<html></html>", "https://warn.example/")


def test_the_worst_that_holds_here_counts_with_the_widest_hours() -> None:
    first = STORM.infos[0]
    onset_at, ends_at = SENT + timedelta(hours=5), SENT + timedelta(hours=9)
    more: Info = replace(first, severity="Extreme", onset_at=onset_at, expires_at=ends_at)
    (one,) = held([replace(STORM, infos=(first, more))], *KIRKWOOD, (), SENT)
    assert (one.severity, one.starts_at, one.ends_at) == ("Extreme", SENT, ends_at)
