from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext_lazy as _

from studio.models import Role
from studio.request import SignedInRequest

ROOMS = {
    Role.DIRECTOR: ("readiness", _("Readiness"), _("Where every student stands with every requirement.")),
    Role.TEACHER: ("review_queue", _("To hear"), _("Takes of your students that wait for your ear.")),
    Role.STUDENT: ("my_music", _("My music"), _("What you play, by when, and your reviews.")),
    Role.GUARDIAN: ("my_children", _("My children"), _("Your child's music, takes and your agreement.")),
    Role.GUEST: ("panel_list", _("Panels"), _("Takes you were asked to hear blind.")),
}


@login_required
def home(request: SignedInRequest) -> HttpResponse:
    # Whoever runs the season or teaches in it comes for that; the other rooms are in the menu.
    for role in (Role.DIRECTOR, Role.TEACHER):
        if request.user.has_role(role):
            return redirect(ROOMS[role][0])
    rooms = [room for role, room in ROOMS.items() if request.user.has_role(role)]
    if len(rooms) == 1:
        return redirect(rooms[0][0])
    return render(request, "studio/home.html", {"rooms": rooms})
