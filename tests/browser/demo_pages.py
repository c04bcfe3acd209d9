"""Every page of the demo by the role that sees it best.

Numbers name the first of everything in the demo: the season, the audition, Ada Thornbury with her entry, its
etude (requirement 1) and scale (8), her question (2) and takes (2 answered by the teacher, 3 waiting for an
answer), the music, its marking form, clinic and bar note.
"""

PAGES = {
    "director": (
        "/readiness/",
        "/this-week/",
        "/seasons/",
        "/seasons/new/",
        "/seasons/1/",
        "/seasons/1/edit/",
        "/seasons/1/set-up/",
        "/seasons/1/auditions/new/",
        "/auditions/1/",
        "/auditions/1/edit/",
        "/auditions/1/set-up/",
        "/auditions/1/sending-rules/",
        "/auditions/1/sending/",
        "/entries/1/sending/",
        "/auditions/1/set-up/?about=agreement",
        "/auditions/1/requirements/new/",
        "/auditions/1/requirements/new/?instrument=violin",
        "/auditions/1/requirements/many/",
        "/auditions/1/requirements/many/?instrument=violin&instrument=flute",
        "/auditions/1/entries/new/",
        "/requirements/1/edit/",
        "/students/",
        "/students/new/",
        "/students/1/edit/",
        "/students/import/",
        "/people/",
        "/people/invite/",
        "/people/events/",
        "/studio/",
        "/studio/verdicts/",
        "/music/",
        "/music/?kind=etude",
        "/music/new/",
        "/music/import/",
        "/music/scales/new/",
        "/music/scales/set/",
        "/music/1/edit/",
        "/music/1/correct/",
        "/music/1/pages/",
        "/music/1/share/",
        "/marking-forms/",
        "/marking-forms/new/",
        "/marking-forms/1/",
        "/marking-forms/1/edit/",
        "/accounts/2fa/",
    ),
    "teacher": (
        "/reviews/",
        "/this-week/",
        "/reviews/?show=released",
        "/takes/3/review/",
        "/takes/2/review/",
        "/students/1/file/",
        "/questions/",
        "/questions/?show=answered",
        "/questions/1/",
        "/clinics/",
        "/clinics/?show=past",
        "/clinics/new/",
        "/clinics/new/?excerpt=1",
        "/clinics/1/",
        "/clinics/1/edit/",
        "/music/1/",
        "/music/1/notes/new/",
        "/music/notes/1/edit/",
        "/music/1/fingering/",
        "/nowhere/",
    ),
    "student": (
        "/my-music/",
        "/students/1/",
        "/entries/1/requirements/1/",
        "/entries/1/requirements/8/",
        "/takes/2/",
        "/takes/2/plan/",
        "/takes/3/",
        "/takes/3/remove/",
        "/music/1/",
        "/music/1/questions/new/",
        "/questions/2/",
        "/clinics/1/",
        "/clinics/1/hand-out/",
        "/account/",
        "/accounts/password/change/",
        "/accounts/logout/",
    ),
    "guardian": ("/children/", "/students/1/", "/students/1/consent/", "/takes/2/"),
}
PUBLIC = (
    "/accounts/login/",
    "/accounts/login/code/",
    "/accounts/password/reset/",
    "/invitation/unknown/",
)
# Sounds, drawings, files, what a page fetches by itself, and the door that only leads on.
NO_PAGES = {
    "student_export",
    "requirement_print",
    "take_progress",
    "take_sound",
    "excerpt_svg",
    "excerpt_print",
    "excerpt_musicxml",
    "excerpt_page",
    "excerpt_times",
    "fingering_svg",
    "clinic_paper",
    "calendar_feed",
    "healthz",
    "home",
}


def walk(page, who: str):
    """Open every page of one role, one after the other; yields the address of each once it is open."""
    for address in PAGES[who]:
        answer = page.goto(address)
        assert answer.ok or address == "/nowhere/", f"{address}: {answer.status}"
        yield address
