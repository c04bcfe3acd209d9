"""Clinics: the list, one evening with its notes and questions, its hand-out, and setting one up."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.cache import patch_cache_control
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from repertoire.paging import page_of
from repertoire.paper.music import PAPERS
from repertoire.show.engraved import DESK_PX, engraved_svg
from repertoire.show.stretches import stretch_with
from studio.access import clinic_or_404, invited_student_or_403, may_lead, require_leader, role_required
from studio.forms.clinic import ClinicForm, ClinicMusicForm
from studio.models import Clinic, Role
from studio.request import SignedInRequest
from studio.services.clinic_acceptance import accept, own_acceptances
from studio.services.clinic_page import evening, hand_out_lines, hand_out_pdf


@require_safe
@role_required(Role.DIRECTOR, Role.TEACHER)
def clinic_list(request: SignedInRequest) -> HttpResponse:
    """What lies ahead, the nearest first; with ?show=past what is over, the latest first."""
    show_past = request.GET.get("show") == "past"
    clinics = Clinic.objects.past() if show_past else Clinic.objects.upcoming()
    listed = clinics.select_related("excerpt", "leader").defer("excerpt__musicxml")
    return render(
        request, "studio/clinic_list.html", {"page": page_of(request, listed), "show_past": show_past}
    )


@require_safe
@login_required
def clinic_detail(request: SignedInRequest, pk: int) -> HttpResponse:
    clinic = clinic_or_404(request.user, pk)
    changes = may_lead(request.user, clinic)
    context = {
        "clinic": clinic,
        "lines": evening(clinic, request.user),
        "may_change": changes,
        "invited_count": clinic.invited.count() if request.user.is_staff else None,
        "own_students": own_acceptances(clinic, request.user),
    }
    return render(request, "studio/clinic_detail.html", context)


@require_POST
@login_required
def clinic_accept(request: SignedInRequest, pk: int, student_id: int) -> HttpResponse:
    """The student or a guardian says that the student comes, and whether the leader may see the name."""
    clinic = clinic_or_404(request.user, pk)
    student = invited_student_or_403(request.user, clinic, student_id)
    accept(clinic, student, by=request.user, may_be_named="may_be_named" in request.POST)
    messages.success(request, _("The leader knows that %(name)s comes.") % {"name": student.name})
    return redirect("clinic_detail", clinic.pk)


@require_POST
@login_required
def clinic_decline(request: SignedInRequest, pk: int, student_id: int) -> HttpResponse:
    """Taken back; from then on the leader reads none of this student's questions."""
    clinic = clinic_or_404(request.user, pk)
    student = invited_student_or_403(request.user, clinic, student_id)
    clinic.acceptances.filter(student=student).delete()
    messages.success(request, _("The leader no longer reads questions of %(name)s.") % {"name": student.name})
    return redirect("clinic_detail", clinic.pk)


@require_safe
@login_required
def clinic_hand_out(request: SignedInRequest, pk: int) -> HttpResponse:
    """To print for everyone in the room: music, notes and shared answers, no student's name."""
    clinic = clinic_or_404(request.user, pk)
    shown = stretch_with(clinic.excerpt)
    svg = engraved_svg(clinic.excerpt, DESK_PX, bars=shown, ribbon_room=False)
    context = {"clinic": clinic, "lines": hand_out_lines(clinic), "svg": svg, "shown": shown}
    return render(request, "studio/clinic_hand_out.html", context)


@require_safe
@login_required
def clinic_paper(request: SignedInRequest, pk: int) -> HttpResponse:
    """The hand-out as a PDF, ?paper=a4 or letter."""
    clinic = clinic_or_404(request.user, pk)
    paper = request.GET.get("paper", "a4")
    if paper not in PAPERS:
        raise Http404
    headers = {"Content-Disposition": f'inline; filename="clinic-{clinic.pk}.pdf"'}
    response = HttpResponse(
        hand_out_pdf(clinic, paper=paper), content_type="application/pdf", headers=headers
    )
    patch_cache_control(response, private=True)
    return response


@require_http_methods(["GET", "HEAD", "POST"])
@role_required(Role.DIRECTOR, Role.TEACHER)
def clinic_add(request: SignedInRequest) -> HttpResponse:
    """Two steps without a script: the music (`?excerpt=`), then day, place and who is invited."""
    choice = ClinicMusicForm(request.GET or None)
    if not choice.is_valid():
        return render(request, "studio/clinic_music.html", {"form": choice})
    return _clinic_form(request, Clinic(excerpt=choice.cleaned_data["excerpt"]), _("New clinic"))


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def clinic_edit(request: SignedInRequest, pk: int) -> HttpResponse:
    clinic = clinic_or_404(request.user, pk)
    require_leader(request.user, clinic)
    return _clinic_form(request, clinic, _("Change the clinic"))


def _clinic_form(request: SignedInRequest, clinic: Clinic, heading: str) -> HttpResponse:
    form = ClinicForm(request.POST if request.method == "POST" else None, instance=clinic, user=request.user)
    if form.is_bound and form.is_valid():
        saved = form.save()
        messages.success(request, _("The clinic is saved."))
        return redirect("clinic_detail", saved.pk)
    context = {"form": form, "heading": heading, "within": clinic.excerpt.title}
    return render(request, "studio/form_page.html", context)


@require_POST
@login_required
def clinic_remove(request: SignedInRequest, pk: int) -> HttpResponse:
    clinic = clinic_or_404(request.user, pk)
    require_leader(request.user, clinic)
    clinic.delete()
    messages.success(request, _("The clinic is removed; its notes and questions stay with the music."))
    return redirect("clinic_list")
