"""What the bench form leaves to Tornado: signed sessions and tokens, attacked one by one.

Each attack is what OWASP's cheat sheets on session management and on cross-site request forgery name
(from memory): made-up, altered, old and planted sessions; planted and borrowed tokens; replays.
"""

from __future__ import annotations

import base64
import time

import pytest
from tornado.web import create_signed_value

from coursekit.classroom.bench import bench_record
from coursekit.classroom.register import phone_code

from .benches import on_paper, opened
from .form_client import Visitor, serving

SESSION, XSRF = "bench_session", "bench_xsrf"
SESSION_DAYS = 0.5

HOME = "/bench?student=bench-01&lesson=small"


@pytest.fixture
def phones(tmp_path):
    """The form as phones see it, where nobody gets a session unasked."""
    folder, _ = opened(tmp_path)
    on_paper(folder, "bench-01", "bench-02")
    with serving(folder, tmp_path, phones=True) as form:
        yield form


@pytest.fixture
def come(phones):
    """Make visitors, with a session or without."""
    made = []

    def visitor(inside=True):
        one = Visitor(phones, phone=True)
        made.append(one)
        if inside:
            assert one.enter().get(HOME)[0] == 200
        return one

    yield visitor
    for one in made:
        one.close()


MINE = "0" * 32 + " bench-01"


def signed(form, name, value, age_days=0.0, version=2):
    """Sign as the form does, at another time or in another way."""

    def clock():
        return time.time() - age_days * 24 * 3600

    return create_signed_value(form.secret, name, value, version, clock).decode()


def session_of(one):
    """A visitor's session as it was signed; in a cookie it stands in quotes."""
    return one.cookies[SESSION].strip('"')


def is_out(one, fields=None):
    """Whether a visitor is shown the door, and a post records nothing."""
    status, headers, text = one.get(HOME)
    assert (status, headers.get("Location"), text) in [(302, "/enter", ""), (200, None, text)]
    posted = one.post("/bench", (fields or {}) | {"r.gap.1": "0.35"})[0]
    assert bench_record.readings(one.form.folder) == [] or posted == 303
    return (status, posted) == (302, 403)


def altered(session):
    """Every way to touch a signed session without its secret."""
    version, key, stamp, name, value, mark = session.split("|")
    later = f"10:{int(stamp[3:]) + 9999}"
    return [
        "", "x", "|", "2|", "2||||", session[:-1], session + "0", session.upper(), session[2:],
        "|".join((version, key, later, name, value, mark)),
        "|".join((version, key, stamp, name, "4:YWJj", mark)),
        "|".join((version, key, stamp, name, value, "")),
        "|".join((version, key, stamp, name, value, "0" * 64)),
        "|".join(("1", key, stamp, name, value, mark)),
        "|".join(("3", key, stamp, name, value, mark)),
        "|".join((version, "1:1", stamp, name, value, mark)),
        "|".join((value[3:], stamp[3:], mark)),
        "0" * 32, "é|é|é|é|é|é",
    ]  # fmt: skip


def test_a_session_cannot_be_made_up_or_altered(come):
    guest, thief = come(), come(inside=False)
    fields = guest.page()
    for forged in altered(session_of(guest)):
        thief.cookies = guest.cookies | {SESSION: forged.encode().decode("latin-1")}
        assert is_out(thief, fields), forged
    thief.cookies = dict(guest.cookies)
    assert not is_out(thief, fields), "the same cookies unaltered do come in: the check can fail"


def test_a_session_ends_with_its_hours_and_with_its_run(phones, come, tmp_path):
    one = come(inside=False)
    one.cookies = {SESSION: signed(phones, SESSION, MINE, SESSION_DAYS - 0.001)}
    assert one.get(HOME)[0] == 200
    one.cookies = {SESSION: signed(phones, SESSION, MINE, SESSION_DAYS + 0.001)}
    assert is_out(one)
    guest = come()
    folder, _ = opened(tmp_path / "next evening")
    with serving(folder, tmp_path / "next evening", phones=True) as again:
        late = Visitor(again, phone=True)
        late.cookies = dict(guest.cookies)
        assert is_out(late, guest.page()), "another run's"
        late.close()


def test_nothing_else_that_is_signed_is_a_session(phones, come):
    guest, thief = come(), come(inside=False)
    fields = guest.page()
    old_way = signed(phones, SESSION, MINE, version=1)
    other_name = signed(phones, "bench_typed_by", MINE)
    for word in (fields["post"], fields["_xsrf"], guest.cookies[XSRF], old_way, other_name):
        thief.cookies = guest.cookies | {SESSION: word}
        assert is_out(thief, fields), word


def test_a_session_that_was_planted_is_never_taken_over(phones, come):
    """Whoever comes in gets a new one, even if the thief's is good (session fixation)."""
    thief, victim = come(), come(inside=False)
    victim.cookies = dict(thief.cookies)
    victim.enter()
    assert victim.cookies[SESSION] != thief.cookies[SESSION]
    assert thief.post("/bench", victim.page() | {"r.gap.1": "0.35"})[0] == 403
    victim.cookies[SESSION] = "chosen-by-the-thief"
    assert is_out(victim)


def test_a_session_of_the_instructor_is_none_on_a_phone_and_the_other_way_round(phones, come):
    """Both signed by this run: what is shown depends on where the request comes from too."""
    phone, desk = come(inside=False), Visitor(phones)
    assert desk.get(HOME)[0] == 200
    phone.cookies = dict(desk.cookies)
    assert is_out(phone, desk.page())
    for made_up in ("0" * 32, "0" * 32 + " ", " ", ""):
        phone.cookies = {SESSION: signed(phones, SESSION, made_up)}
        assert is_out(phone), made_up
    guest = come()
    desk.cookies = dict(guest.cookies)
    assert desk.post("/bench", guest.page() | {"r.gap.1": "0.35"})[0] == 403
    assert desk.get("/bench?student=bench-02&lesson=small")[0] == 200, "begins anew, as itself"
    assert bench_record.readings(phones.folder) == []
    desk.close()


def test_without_phones_a_made_up_session_is_replaced(tmp_path):
    folder, _ = opened(tmp_path)
    with serving(folder, tmp_path) as form:
        one = Visitor(form)
        one.cookies = {SESSION: "chosen-by-the-thief"}
        status = one.get("/")[0]
        one.close()
    assert (status, session_of(one)[:2]) == (200, "2|")


def test_a_planted_token_does_not_help(come):
    """Another program at this address can plant cookies: Tornado's own check then finds a match.

    So the name of the posting, which belongs to one session, must stop it.
    """
    victim, thief = come(), come()
    theirs, planted = victim.page(), thief.page()
    for token in (planted["_xsrf"], "planted", "2|00000000|" + "41" * 16 + "|1"):
        victim.cookies[XSRF] = thief.cookies[XSRF] if token == planted["_xsrf"] else token
        for post in (planted["post"], "", "x", session_of(victim)):
            fields = theirs | {"_xsrf": token, "post": post, "r.gap.1": "0.35"}
            assert victim.post("/bench", fields)[0] == 403, (token, post)
    assert bench_record.readings(victim.form.folder) == []


def test_a_token_must_match_its_cookie(come):
    victim = come()
    fields = victim.page() | {"r.gap.1": "0.35"}
    cookies = dict(victim.cookies)
    for cookie in (None, "", "x", "1|2", "2|x|y|z", "9|" + "0" * 40, session_of(victim)):
        victim.cookies = cookies | {XSRF: cookie}
        if cookie is None:
            del victim.cookies[XSRF]
        assert victim.post("/bench", fields)[0] == 403, cookie
    victim.cookies = dict(cookies)
    bare = {k: v for k, v in fields.items() if k != "_xsrf"}
    assert victim.post("/bench", bare, X_Xsrftoken="x")[0] == 403
    assert bench_record.readings(victim.form.folder) == []
    assert victim.post("/bench", fields)[0] == 303


def test_the_name_of_a_posting_is_this_sessions_and_of_these_hours(phones, come):
    victim = come()
    fields = victim.page() | {"r.gap.1": "0.35"}
    session = session_of(victim)
    for name, age, version in (
        ("posting of ", 0, 2),
        ("posting of " + MINE, 0, 2),
        (SESSION, 0, 2),
    ):
        post = signed(phones, name, "0" * 16, age, version)
        assert victim.post("/bench", fields | {"post": post})[0] == 403, name
    word = session.split("|")[4].partition(":")[2]
    own = "posting of " + base64.b64decode(word).decode()
    for age, version in ((SESSION_DAYS + 0.001, 2), (0, 1)):
        post = signed(phones, own, "0" * 16, age, version)
        assert victim.post("/bench", fields | {"post": post})[0] == 403
    assert bench_record.readings(phones.folder) == []
    assert victim.post("/bench", fields | {"post": signed(phones, own, "0" * 16)})[0] == 303


def test_two_windows_of_one_phone_both_record_and_a_replay_of_either_counts_once(come):
    phone = come()
    first, second = phone.page(), phone.page()
    assert first["post"] != second["post"]
    assert first["_xsrf"] != second["_xsrf"], "masked anew, so that it cannot be told from sizes"
    posts = [first | {"r.gap.1": "0.35"}, second | {"r.gap.2": "0.4"}]
    for fields in (*posts, *posts, posts[0]):
        assert phone.post("/bench", fields)[0] == 303
    kept = bench_record.readings(phone.form.folder)
    assert [(r.reading, r.value) for r in kept] == [(1, 0.35), (2, 0.4)]
    assert len({r.post for r in kept}) == 2


def test_the_record_keeps_no_secret_of_a_session(come):
    phone = come()
    fields = phone.page() | {"r.gap.1": "0.35"}
    assert phone.post("/bench", fields)[0] == 303
    (kept,) = bench_record.readings(phone.form.folder)
    assert len(kept.post) == 16
    assert kept.post not in phone.cookies[SESSION]
    again = fields | {"post": kept.post, "r.gap.1": "0.4"}
    assert phone.post("/bench", again)[0] == 403, "the kept name alone opens nothing"


def test_no_script_and_no_other_site_gets_a_cookie(phones, come):
    phone = come(inside=False)
    answers = [
        phone.post("/enter", {"code": phone_code.phone_code(phones.folder, "bench-01")}),
        phone.get(HOME),
        phone.post("/bench", phone.page() | {"r.gap.1": "0.35", "by": "Änn; =|"}),
    ]
    seen = {}
    for _, headers, _ in answers:
        for cookie in headers.get_all("Set-Cookie", []):
            name, _, rest = cookie.partition("=")
            seen[name] = {part.strip() for part in rest.split(";")[1:]}
    names = {"bench_session", "bench_xsrf", "bench_typed_by"}
    assert set(seen) == names, "a name of our own: `_xsrf` is what Jupyter uses at this address"
    for name, parts in seen.items():
        assert {"HttpOnly", "SameSite=Strict", "Path=/"} <= parts, name
        assert not any(part.lower().startswith("domain") for part in parts), name
    assert any(part.startswith("Max-Age=43200") for part in seen[SESSION])
    assert phone.page()["by"] == "Änn; =|"


def test_a_flood_of_forged_posts_is_counted_like_any_other(come):
    """Tornado would refuse a post without a token before anything of ours could count it."""
    thief = come(inside=False)
    assert {thief.post("/bench", {"r.gap.1": "1"})[0] for _ in range(300)} == {403, 429}
