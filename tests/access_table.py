"""Who gets what at every address. `in`: sent to the sign-in page. A number: the HTTP status.

Everything in the table belongs to one student: the entry, the requirement, the take with its
review. The other teacher, student and guardian are strangers to it. POST is sent without
content, so 200 or 422 stand for "allowed, but the form is empty", 302 for "done".
Behind an address stand the objects its numbers name. The panel hears that take; its one listener is the
other teacher. `reading` is an exercise read at sight, `handed_reading` one its teacher may
hear. A calendar feed asks for no sign-in: whoever has its
address reads it, until it is ended.
"""

from dataclasses import dataclass

import pytest

PEOPLE = (
    "director",
    "teacher",
    "other_teacher",
    "student_user",
    "other_student_user",
    "guardian",
    "other_guardian",
    "anonymous",
)

TABLE = """
method name                objects            director teacher (other) student (other) guardian (other) nobody
GET    home                -                  302      302     302     302     302     302      302     in
GET    offline_worker      -                  200      200     200     200     200     200      200     200
GET    app_manifest        -                  200      200     200     200     200     200      200     200
GET    offline_page        -                  200      200     200     200     200     200      200     200
GET    offline_files       -                  200      200     200     200     200     200      200     200
GET    account             -                  200      200     200     200     200     200      200     in
GET    sign_ins            -                  200      200     200     200     200     200      200     in
POST   sign_in_end         -                  302      302     302     302     302     302      302     in
POST   account_notices     -                  403      403     403     302     302     302      302     in
POST   account_calendar    -                  200      200     200     200     200     200      200     in
POST   account_calendar_end -                 302      302     302     302     302     302      302     in
GET    calendar_feed       feed               200      200     200     200     200     200      200     200
GET    calendar_feed       ended_feed         404      404     404     404     404     404      404     404
GET    components          -                  404      404     404     404     404     404      404     404
GET    studio_edit         -                  200      403     403     403     403     403      403     in
POST   studio_edit         -                  200      403     403     403     403     403      403     in
GET    season_list         -                  200      200     200     403     403     403      403     in
GET    season_add          -                  200      403     403     403     403     403      403     in
POST   season_add          -                  200      403     403     403     403     403      403     in
GET    season_detail       season             200      200     200     403     403     403      403     in
GET    season_edit         season             200      403     403     403     403     403      403     in
POST   season_edit         season             200      403     403     403     403     403      403     in
GET    audition_add        season             200      403     403     403     403     403      403     in
POST   audition_add        season             200      403     403     403     403     403      403     in
GET    audition_detail     audition           200      200     200     403     403     403      403     in
GET    audition_edit       audition           200      403     403     403     403     403      403     in
POST   audition_edit       audition           200      403     403     403     403     403      403     in
GET    sending_rules       audition           200      403     403     403     403     403      403     in
POST   sending_rules       audition           200      403     403     403     403     403      403     in
GET    sending_rules_file  audition           200      403     403     403     403     403      403     in
POST   sending_rules_read  audition           200      403     403     403     403     403      403     in
GET    requirement_add     audition           200      403     403     403     403     403      403     in
POST   requirement_add     audition           200      403     403     403     403     403      403     in
GET    more_time            audition          200      403     403     403     403     403      403     in
POST   more_time            audition          200      403     403     403     403     403      403     in
POST   more_time_end        entry             302      403     403     403     403     403      403     in
GET    requirement_copy     audition          200      403     403     403     403     403      403     in
POST   requirement_copy     audition          200      403     403     403     403     403      403     in
GET    requirement_add_many audition          200      403     403     403     403     403      403     in
POST   requirement_add_many audition          200      403     403     403     403     403      403     in
GET    requirement_edit    requirement        200      403     403     403     403     403      403     in
POST   requirement_edit    requirement        200      403     403     403     403     403      403     in
POST   requirement_remove  requirement        302      403     403     403     403     403      403     in
GET    entry_add           audition           200      403     403     403     403     403      403     in
POST   entry_add           audition           200      403     403     403     403     403      403     in
POST   entry_remove        entry              302      403     403     403     403     403      403     in
GET    student_list        -                  200      403     403     403     403     403      403     in
GET    student_add         -                  200      403     403     403     403     403      403     in
POST   student_add         -                  200      403     403     403     403     403      403     in
GET    student_import      -                  200      403     403     403     403     403      403     in
POST   student_import      -                  200      403     403     403     403     403      403     in
GET    student_export      -                  200      403     403     403     403     403      403     in
GET    student_edit        student            200      403     403     403     403     403      403     in
POST   student_edit        student            200      403     403     403     403     403      403     in
POST   student_invite      student            302      403     403     403     403     403      403     in
GET    consent             student            403      403     404     403     404     200      404     in
POST   consent             student            403      403     404     403     404     200      404     in
GET    consent_withdraw    student            403      403     404     403     404     200      404     in
POST   consent_withdraw    student            403      403     404     403     404     200      404     in
GET    consent_receipt     student,agreement  200      403     404     200     404     200      404     in
GET    deletion_ask        student            403      403     404     403     404     200      404     in
POST   deletion_ask        student            403      403     404     403     404     200      404     in
POST   deletion_take_back  student            403      403     404     403     404     302      404     in
GET    deletion_decline    student            200      403     403     403     403     403      403     in
POST   deletion_decline    student            200      403     403     403     403     403      403     in
GET    student_data        student            200      403     404     200     404     200      404     in
POST   student_data_make   student            302      403     404     302     404     302      404     in
GET    student_data_progress student          200      403     404     200     404     200      404     in
GET    student_data_file   student            200      403     404     200     404     200      404     in
GET    student_erase       student            200      403     403     403     403     403      403     in
POST   student_erase       student            200      403     403     403     403     403      403     in
GET    erasure_list        -                  200      403     403     403     403     403      403     in
GET    erasure_detail      erasure            200      403     403     403     403     403      403     in
GET    my_children         -                  403      403     403     403     403     200      200     in
GET    people              -                  200      403     403     403     403     403      403     in
GET    invite              -                  200      403     403     403     403     403      403     in
GET    event_list          -                  200      403     403     403     403     403      403     in
GET    event_export        -                  200      403     403     403     403     403      403     in
POST   invite              -                  200      403     403     403     403     403      403     in
POST   account_close       person             302      403     403     403     403     403      403     in
POST   account_open        former             302      403     403     403     403     403      403     in
POST   second_factor_end   person             302      403     403     403     403     403      403     in
POST   role_end            grant              302      403     403     403     403     403      403     in
POST   guardianship_end    guardianship       302      403     403     403     403     403      403     in
POST   invitation_withdraw invitation         302      403     403     403     403     403      403     in
GET    invitation          token              403      403     403     403     403     403      403     200
GET    privacy             -                  200      200     200     200     200     200      200     200
GET    privacy_edit        -                  200      403     403     403     403     403      403     in
POST   privacy_edit        -                  200      403     403     403     403     403      403     in
POST   content_reports     -                  204      204     204     204     204     204      204     204
GET    healthz             -                  200      200     200     200     200     200      200     200
GET    verdicts            -                  200      403     403     403     403     403      403     in
GET    readiness           -                  200      200     200     403     403     403      403     in
GET    season_set_up       season             200      403     403     403     403     403      403     in
GET    audition_set_up     audition           200      403     403     403     403     403      403     in
GET    audition_sending    audition           200      200     200     403     403     403      403     in
GET    entry_sending       entry              200      200     404     200     404     200      404     in
POST   entry_sending_choose entry             302      302     404     302     404     403      404     in
POST   entry_files_make    entry              302      302     404     403     404     403      404     in
GET    entry_files_progress entry             200      200     404     403     404     403      404     in
GET    entry_files         entry              404      404     404     403     404     403      404     in
POST   entry_sign          entry              403      403     404     403     404     403      404     in
POST   entry_sent          entry              422      422     404     403     404     403      404     in
POST   entry_unsent        entry              302      302     404     403     404     403      404     in
GET    this_week           -                  200      200     200     403     403     403      403     in
GET    panel_add           audition           200      403     403     403     403     403      403     in
POST   panel_add           audition           200      403     403     403     403     403      403     in
GET    panel_list          -                  200      200     200     403     403     403      403     in
GET    panel_detail        panel              200      404     302     404     404     404      404     in
GET    panel_listener_add  panel              200      404     403     404     404     404      404     in
POST   panel_listener_add  panel              200      404     403     404     404     404      404     in
POST   panel_listener_remove panel,listener   302      404     403     404     404     404      404     in
GET    panel_export        closed_panel       200      404     403     404     404     404      404     in
POST   panel_seats         closed_panel       302      404     403     404     404     404      404     in
POST   panel_remarks       closed_panel,code  302      404     403     404     404     404      404     in
POST   panel_close         panel              302      404     403     404     404     404      404     in
GET    panel_listen        panel              403      404     200     404     404     404      404     in
GET    panel_sheet         panel,code         403      404     200     404     404     404      404     in
POST   panel_sheet         panel,code         403      404     302     404     404     404      404     in
GET    panel_sound         panel,code         403      404     200     404     404     404      404     in
GET    my_music            -                  200      200     200     200     200     200      200     in
GET    student_page        student            200      200     404     200     404     200      404     in
GET    student_file        student            200      200     404     403     404     403      404     in
GET    requirement_takes   entry,requirement  200      200     404     200     404     200      404     in
GET    requirement_print   entry,requirement  200      200     404     200     404     200      404     in
GET    takes_compare       entry,requirement  404      404     404     404     404     404      404     in
POST   requirement_remind entry,requirement  302      302     404     403     404     403      404     in
POST   take_upload         entry,requirement  422      422     404     422     404     422      404     in
POST   upload_begin        entry,requirement  412      412     404     412     404     412      404     in
POST   upload_part         upload             404      404     404     412     404     404      404     in
GET    sight_room          -                  200      200     200     200     200     200      200     in
POST   sight_room          -                  422      422     422     422     422     422      422     in
GET    sight_reading       reading            404      404     404     200     404     404      404     in
GET    sight_reading       handed_reading     200      200     404     200     404     404      404     in
GET    sight_svg           reading            404      404     404     404     404     404      404     in
GET    sight_svg           handed_reading     200      200     404     200     404     404      404     in
POST   sight_look          reading            404      404     404     302     404     404      404     in
POST   sight_look          handed_reading     403      403     404     302     404     404      404     in
POST   sight_take          reading            404      404     404     422     404     404      404     in
GET    sight_sound         reading            404      404     404     404     404     404      404     in
GET    sight_sound         handed_reading     200      200     404     200     404     404      404     in
POST   sight_hand_in       reading            404      404     404     302     404     404      404     in
POST   sight_hand_in       handed_reading     403      403     404     302     404     404      404     in
POST   sight_remove        handed_reading     403      403     404     302     404     404      404     in
GET    take_detail         take               200      200     404     200     404     200      404     in
GET    take_plan           take               200      200     404     200     404     200      404     in
GET    take_progress       take               200      200     404     200     404     200      404     in
GET    take_sound          take               200      200     404     200     404     200      404     in
GET    take_remove         take               200      200     404     200     404     200      404     in
POST   take_remove         take               302      302     404     302     404     302      404     in
POST   take_hear_anyway    take               302      302     404     302     404     302      404     in
GET    handover_list       -                  200      200     200     403     403     403      403     in
GET    handover_add        -                  200      200     200     403     403     403      403     in
POST   handover_add        -                  200      200     200     403     403     403      403     in
POST   handover_end        handover           302      302     404     403     403     403      403     in
GET    phrase_list         -                  200      200     200     403     403     403      403     in
GET    phrase_add          -                  200      200     200     403     403     403      403     in
POST   phrase_add          -                  200      200     200     403     403     403      403     in
GET    phrase_edit         phrase             404      200     404     403     403     403      403     in
POST   phrase_edit         phrase             404      200     404     403     403     403      403     in
POST   phrase_remove       phrase             404      302     404     403     403     403      403     in
GET    phrase_edit         studio_phrase      200      403     403     403     403     403      403     in
POST   phrase_edit         studio_phrase      200      403     403     403     403     403      403     in
POST   phrase_remove       studio_phrase      302      403     403     403     403     403      403     in
POST   take_correct        take               422      422     404     403     404     403      404     in
POST   take_measure_again  take               302      302     404     403     404     403      404     in
GET    review_queue        -                  200      200     200     403     403     403      403     in
GET    review              take               200      200     404     403     404     403      404     in
POST   review_save         take               422      422     404     403     404     403      404     in
POST   review_release      take               422      422     404     403     404     403      404     in
POST   review_withdraw     take               302      302     404     403     404     403      404     in
POST   review_record_again take               302      302     404     403     404     403      404     in
GET    excerpt_list        -                  200      200     200     200     200     200      200     in
GET    excerpt_add         -                  200      403     403     403     403     403      403     in
POST   excerpt_add         -                  200      403     403     403     403     403      403     in
GET    scale_add           -                  200      403     403     403     403     403      403     in
POST   scale_add           -                  200      403     403     403     403     403      403     in
GET    scale_set_add       -                  200      403     403     403     403     403      403     in
POST   scale_set_add       -                  200      403     403     403     403     403      403     in
GET    excerpt_detail      excerpt            200      200     200     200     404     200      404     in
GET    excerpt_svg         excerpt            200      200     200     200     404     200      404     in
GET    excerpt_print       excerpt            200      200     200     200     404     200      404     in
GET    excerpt_musicxml    excerpt            200      200     200     200     404     200      404     in
GET    excerpt_edit        excerpt            200      403     403     403     404     403      404     in
POST   excerpt_edit        excerpt            200      403     403     403     404     403      404     in
GET    excerpt_correct     excerpt            200      403     403     403     404     403      404     in
POST   excerpt_correct     excerpt            200      403     403     403     404     403      404     in
POST   excerpt_measure_again excerpt          302      403     403     403     404     403      404     in
GET    excerpt_pages       excerpt            200      403     403     403     404     403      404     in
POST   excerpt_pages       excerpt            200      403     403     403     404     403      404     in
GET    excerpt_page        excerpt,page       200      200     200     200     404     200      404     in
POST   excerpt_page_remove excerpt,page       302      403     403     403     404     403      404     in
POST   excerpt_remove      excerpt            302      403     403     403     404     403      404     in
POST   excerpt_confirm     excerpt            302      403     403     403     404     403      404     in
GET    excerpt_times       excerpt            200      200     200     200     404     200      404     in
GET    bar_note_add        excerpt            200      200     200     403     404     403      404     in
POST   bar_note_add        excerpt            200      200     200     403     404     403      404     in
GET    bar_note_edit       bar_note           200      200     403     403     404     403      404     in
POST   bar_note_edit       bar_note           200      200     403     403     404     403      404     in
POST   bar_note_remove     bar_note           302      302     403     403     404     403      404     in
GET    fingering           excerpt            200      200     200     403     404     403      404     in
POST   fingering           excerpt            302      302     302     403     404     403      404     in
GET    fingering_svg       excerpt            200      200     200     403     404     403      404     in
POST   fingering_lock      excerpt            302      302     302     403     404     403      404     in
POST   fingering_show      excerpt            302      302     302     403     404     403      404     in
POST   fingering_hide      excerpt            302      302     302     403     404     403      404     in
GET    question_add        excerpt            403      403     403     200     404     200      404     in
POST   question_add        excerpt            403      403     403     200     404     200      404     in
GET    question_list       -                  200      200     200     403     403     403      403     in
GET    question_detail     question           200      200     404     200     404     200      404     in
POST   question_detail     question           200      200     404     403     404     403      404     in
POST   question_remove     question           302      403     404     302     404     403      404     in
GET    clinic_list         -                  200      200     200     403     403     403      403     in
GET    clinic_add          -                  200      200     200     403     403     403      403     in
POST   clinic_add          -                  200      200     200     403     403     403      403     in
GET    clinic_detail       clinic             200      200     200     200     404     200      404     in
GET    clinic_hand_out     clinic             200      200     200     200     404     200      404     in
GET    clinic_paper        clinic             200      200     200     200     404     200      404     in
POST   clinic_accept       clinic,student      403      403     403     302     404     302      404     in
POST   clinic_decline      clinic,student      403      403     403     302     404     302      404     in
GET    clinic_detail       foreign_clinic      200      200     200     200     404     200      404     in
GET    question_detail     clinic_question     200      200     404     200     404     200      404     in
POST   question_detail     clinic_question     200      200     404     403     404     403      404     in
GET    question_detail     accepted_question   200      200     200     200     404     200      404     in
POST   question_detail     accepted_question   200      200     200     403     404     403      404     in
POST   question_remove     accepted_question   302      403     403     302     404     403      404     in
GET    clinic_edit         clinic             200      200     403     403     404     403      404     in
POST   clinic_edit         clinic             200      200     403     403     404     403      404     in
POST   clinic_remove       clinic             302      302     403     403     404     403      404     in
GET    excerpt_share       excerpt            200      403     403     403     404     403      404     in
POST   excerpt_share       excerpt            200      403     403     403     404     403      404     in
GET    excerpt_import      -                  200      403     403     403     403     403      403     in
POST   excerpt_import      -                  200      403     403     403     403     403      403     in
GET    rubric_list         -                  200      200     200     403     403     403      403     in
GET    rubric_add          -                  200      403     403     403     403     403      403     in
POST   rubric_add          -                  200      403     403     403     403     403      403     in
GET    rubric_detail       rubric             200      200     200     404     404     404      404     in
GET    rubric_edit         rubric             200      403     403     404     404     404      404     in
POST   rubric_edit         rubric             200      403     403     404     404     404      404     in
"""


@dataclass(frozen=True)
class Line:
    method: str
    name: str
    objects: tuple[str, ...]
    expected: tuple[str, ...]

    def __str__(self) -> str:
        return f"{self.method} {self.name}"


def lines() -> list[Line]:
    rows = [row.split() for row in TABLE.strip().splitlines()]
    kept = [row for row in rows if row[0] in ("GET", "POST")]
    return [
        Line(method, name, () if objects == "-" else tuple(objects.split(",")), tuple(expected))
        for method, name, objects, *expected in kept
    ]


def by_first_word() -> list:
    """Addresses about one kind of thing share what is stored for them."""
    found: dict[str, list[Line]] = {}
    for line in lines():
        found.setdefault(line.name.split("_")[0], []).append(line)
    return [pytest.param(together, id=word) for word, together in found.items()]
