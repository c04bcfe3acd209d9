from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from recordings.readiness.rows import rows_for
from studio.models import Clinic, Entry, Student


@require_safe
@login_required
def my_music(request: HttpRequest) -> HttpResponse:
    """What the signed-in person has to play, on each of their instruments."""
    students = Student.objects.filter(user=request.user).select_related("teacher")
    return render(request, "recordings/my_music.html", {"pages": music_of(students), "own": True})


def music_of(students) -> list[dict]:
    """For each student the rows of entries, auditions still open first."""
    entries = Entry.objects.filter(student__in=students).select_related("student", "audition__season")
    rows = sorted(rows_for(list(entries)), key=lambda row: row.entry.audition.is_closed())
    return [
        {
            "student": student,
            "clinics": Clinic.objects.upcoming()
            .inviting([student.pk])
            .select_related("excerpt")
            .defer("excerpt__musicxml"),
            "answers": student.questions.answered_lately()
            .select_related("excerpt")
            .defer("excerpt__musicxml"),
            "rows": [row for row in rows if row.entry.student_id == student.pk],
        }
        for student in students
    ]
