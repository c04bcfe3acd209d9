"""The main pages of the demo by role, and the takes that show them best."""

PAGES = {
    "director": (
        "/readiness/",
        "/seasons/",
        "/students/",
        "/students/new/",
        "/students/import/",
        "/people/",
        "/people/invite/",
        "/music/",
        "/music/new/",
        "/music/scales/new/",
        "/music/import/",
        "/music/scales/set/",
        "/marking-forms/",
        "/marking-forms/new/",
        "/studio/",
    ),
    "teacher": (
        "/questions/",
        "/clinics/",
        "/clinics/new/",
        "/reviews/",
        "/reviews/?show=released",
        "/readiness/",
        "/music/",
    ),
    "student": ("/my-music/", "/account/"),
    "guardian": ("/children/",),
}
PUBLIC = ("/accounts/login/", "/accounts/login/code/", "/accounts/password/reset/")
# From a list to what is behind its first line, and on from there.
BEHIND = {
    "director": (
        ("/seasons/", "main a[href^='/seasons/']:not([href$='/new/'])"),
        ("/music/", "main th a[href^='/music/']"),
        ("/music/?kind=etude", "main th a[href^='/music/']", "main .spread a[href$='/edit/']"),
        (
            "/seasons/",
            "main th a[href^='/seasons/']",
            "main a[href^='/auditions/']:not([href*='new'])",
            "main a[href^='/requirements/']",
        ),
        ("/marking-forms/", "main a[href^='/marking-forms/']:not([href*='new'])"),
        ("/readiness/", "a.cell-link"),
    ),
    "teacher": (("/reviews/", "main td a.button"), ("/reviews/?show=released", "main td a.button")),
    "student": (("/my-music/", "article h3 a"),),
    "guardian": (("/children/", "main a[href^='/students/']"),),
}


def walk(page, who: str):
    """Open every page of one role, one after the other; yields the address of each once it is open."""
    for address in PAGES[who]:
        page.goto(address)
        yield address
    for listed, *links in BEHIND[who]:
        page.goto(listed)
        for link in links:
            page.goto(page.locator(link).first.get_attribute("href"))
        yield f"{listed} -> {page.url}"
