from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from recordings.sight.forms import NewExerciseForm
from recordings.sight.new import AllPlayed, new_exercise
from recordings.sight.page import room_context
from studio.request import SignedInRequest


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def sight_room(request: SignedInRequest) -> HttpResponse:
    """A student makes an exercise for themselves, staff the same one for all who learn a piece."""
    context = room_context(request, request.user)
    choices, asked = context["choices"], request.POST if request.method == "POST" else None
    form = NewExerciseForm(asked, initial=request.GET.dict(), choices=choices)
    if form.is_bound and form.is_valid():
        staff = request.user.is_staff
        students = list(form.choice.students)
        level, requirement = form.cleaned_data["level"], form.choice.requirement
        try:
            made = new_exercise(students, requirement, level, set_by=request.user if staff else None)
        except AllPlayed:
            form.add_error("level", _("No new exercise was found at this level; please choose another."))
        else:
            if not staff:
                return redirect("sight_reading", made[0].pk)
            set_for = ngettext("Set for %(n)d student.", "Set for %(n)d students.", len(made))
            messages.success(request, set_for % {"n": len(made)})
            return redirect("sight_room")
    status = 422 if form.is_bound else 200
    return render(request, "recordings/sight_room.html", {**context, "form": form}, status=status)
