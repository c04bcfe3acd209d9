from django.urls import path

from recordings.views.audition_sending import audition_sending
from recordings.views.entry_files import entry_files, entry_files_make, entry_files_progress
from recordings.views.entry_sending import entry_sending, entry_sending_choose
from recordings.views.entry_sent import entry_sent, entry_sign, entry_unsent
from recordings.views.excerpt_detail import excerpt_detail
from recordings.views.excerpt_measure_again import excerpt_measure_again
from recordings.views.health import healthz
from recordings.views.my_children import my_children
from recordings.views.my_music import my_music
from recordings.views.panel_add import panel_add
from recordings.views.panel_close import panel_close
from recordings.views.panel_detail import panel_detail
from recordings.views.panel_export import panel_export
from recordings.views.panel_list import panel_list
from recordings.views.panel_listen import panel_listen
from recordings.views.panel_listener_add import panel_listener_add
from recordings.views.panel_listener_remove import panel_listener_remove
from recordings.views.panel_remarks import panel_remarks
from recordings.views.panel_seats import panel_seats
from recordings.views.panel_sheet import panel_sheet
from recordings.views.panel_sound import panel_sound
from recordings.views.phrases import phrase_add, phrase_edit, phrase_list, phrase_remove
from recordings.views.privacy import privacy, privacy_edit
from recordings.views.readiness import readiness
from recordings.views.requirement_print import requirement_print
from recordings.views.requirement_remind import requirement_remind
from recordings.views.requirement_takes import requirement_takes
from recordings.views.review import review
from recordings.views.review_queue import review_queue
from recordings.views.review_release import review_record_again, review_release, review_withdraw
from recordings.views.review_save import review_save
from recordings.views.set_up import audition_set_up, season_set_up
from recordings.views.sight_reading import sight_hand_in, sight_look, sight_reading, sight_remove, sight_svg
from recordings.views.sight_room import sight_room
from recordings.views.sight_take import sight_sound, sight_take
from recordings.views.student_data import (
    student_data,
    student_data_file,
    student_data_make,
    student_data_progress,
)
from recordings.views.student_erase import erasure_detail, erasure_list, student_erase
from recordings.views.student_file import student_file
from recordings.views.student_page import student_page
from recordings.views.take_correct import take_correct
from recordings.views.take_detail import take_detail
from recordings.views.take_hear_anyway import take_hear_anyway
from recordings.views.take_measure_again import take_measure_again
from recordings.views.take_plan import take_plan
from recordings.views.take_progress import take_progress
from recordings.views.take_remove import take_remove
from recordings.views.take_sound import take_sound
from recordings.views.take_upload import take_upload
from recordings.views.takes_compare import takes_compare
from recordings.views.this_week import this_week
from recordings.views.upload_begin import upload_begin
from recordings.views.upload_part import upload_part
from recordings.views.verdicts import verdicts

_CELL = "entries/<int:entry_id>/requirements/<int:requirement_id>/"
_PANEL = "panels/<int:pk>/"

urlpatterns = [
    path("privacy/", privacy, name="privacy"),
    path("studio/privacy/", privacy_edit, name="privacy_edit"),
    path("sight-reading/", sight_room, name="sight_room"),
    path("sight-reading/<int:pk>/", sight_reading, name="sight_reading"),
    path("sight-reading/<int:pk>/music.svg", sight_svg, name="sight_svg"),
    path("sight-reading/<int:pk>/look/", sight_look, name="sight_look"),
    path("sight-reading/<int:pk>/take/", sight_take, name="sight_take"),
    path("sight-reading/<int:pk>/sound/", sight_sound, name="sight_sound"),
    path("sight-reading/<int:pk>/hand-in/", sight_hand_in, name="sight_hand_in"),
    path("sight-reading/<int:pk>/remove/", sight_remove, name="sight_remove"),
    path(f"{_CELL}two-takes/", takes_compare, name="takes_compare"),
    path("healthz", healthz, name="healthz"),
    path("music/<int:pk>/", excerpt_detail, name="excerpt_detail"),
    path("music/<int:pk>/measure-again/", excerpt_measure_again, name="excerpt_measure_again"),
    path("studio/verdicts/", verdicts, name="verdicts"),
    path("this-week/", this_week, name="this_week"),
    path("readiness/", readiness, name="readiness"),
    path("seasons/<int:pk>/set-up/", season_set_up, name="season_set_up"),
    path("auditions/<int:pk>/set-up/", audition_set_up, name="audition_set_up"),
    path("auditions/<int:pk>/sending/", audition_sending, name="audition_sending"),
    path("entries/<int:entry_id>/sending/", entry_sending, name="entry_sending"),
    path("entries/<int:entry_id>/sending/choose/", entry_sending_choose, name="entry_sending_choose"),
    path("entries/<int:entry_id>/sending/files.zip", entry_files, name="entry_files"),
    path("entries/<int:entry_id>/sending/files/make/", entry_files_make, name="entry_files_make"),
    path("entries/<int:entry_id>/sending/files/progress/", entry_files_progress, name="entry_files_progress"),
    path("entries/<int:entry_id>/sending/sign/", entry_sign, name="entry_sign"),
    path("entries/<int:entry_id>/sending/sent/", entry_sent, name="entry_sent"),
    path("entries/<int:entry_id>/sending/not-sent/", entry_unsent, name="entry_unsent"),
    path("auditions/<int:pk>/panels/new/", panel_add, name="panel_add"),
    path("panels/", panel_list, name="panel_list"),
    path(_PANEL, panel_detail, name="panel_detail"),
    path(f"{_PANEL}close/", panel_close, name="panel_close"),
    path(f"{_PANEL}results.csv", panel_export, name="panel_export"),
    path(f"{_PANEL}listeners/new/", panel_listener_add, name="panel_listener_add"),
    path(f"{_PANEL}listeners/<int:listener_id>/remove/", panel_listener_remove, name="panel_listener_remove"),
    path(f"{_PANEL}seats/", panel_seats, name="panel_seats"),
    path(f"{_PANEL}takes/<str:code>/remarks/", panel_remarks, name="panel_remarks"),
    path(f"{_PANEL}listen/", panel_listen, name="panel_listen"),
    path(f"{_PANEL}listen/<str:code>/", panel_sheet, name="panel_sheet"),
    path(f"{_PANEL}listen/<str:code>/sound", panel_sound, name="panel_sound"),
    path("children/", my_children, name="my_children"),
    path("my-music/", my_music, name="my_music"),
    path("students/<int:student_id>/", student_page, name="student_page"),
    path("students/<int:student_id>/file/", student_file, name="student_file"),
    path("students/<int:student_id>/data/", student_data, name="student_data"),
    path("students/<int:student_id>/data/everything.zip", student_data_file, name="student_data_file"),
    path("students/<int:student_id>/data/make/", student_data_make, name="student_data_make"),
    path("students/<int:student_id>/data/progress/", student_data_progress, name="student_data_progress"),
    path("students/<int:student_id>/erase/", student_erase, name="student_erase"),
    path("students/erased/", erasure_list, name="erasure_list"),
    path("students/erased/<int:pk>/", erasure_detail, name="erasure_detail"),
    path(_CELL, requirement_takes, name="requirement_takes"),
    path(f"{_CELL}music.pdf", requirement_print, name="requirement_print"),
    path(f"{_CELL}remind/", requirement_remind, name="requirement_remind"),
    path(f"{_CELL}upload/", take_upload, name="take_upload"),
    path(f"{_CELL}uploads/", upload_begin, name="upload_begin"),
    path("uploads/<uuid:upload_id>/", upload_part, name="upload_part"),
    path("takes/<int:take_id>/", take_detail, name="take_detail"),
    path("takes/<int:take_id>/plan/", take_plan, name="take_plan"),
    path("takes/<int:take_id>/progress/", take_progress, name="take_progress"),
    path("takes/<int:take_id>/sound", take_sound, name="take_sound"),
    path("takes/<int:take_id>/correct/", take_correct, name="take_correct"),
    path("takes/<int:take_id>/hear-anyway/", take_hear_anyway, name="take_hear_anyway"),
    path("takes/<int:take_id>/measure-again/", take_measure_again, name="take_measure_again"),
    path("takes/<int:take_id>/remove/", take_remove, name="take_remove"),
    path("phrases/", phrase_list, name="phrase_list"),
    path("phrases/new/", phrase_add, name="phrase_add"),
    path("phrases/<int:pk>/", phrase_edit, name="phrase_edit"),
    path("phrases/<int:pk>/remove/", phrase_remove, name="phrase_remove"),
    path("reviews/", review_queue, name="review_queue"),
    path("takes/<int:pk>/review/", review, name="review"),
    path("takes/<int:pk>/review/save/", review_save, name="review_save"),
    path("takes/<int:pk>/review/record-again/", review_record_again, name="review_record_again"),
    path("takes/<int:pk>/review/release/", review_release, name="review_release"),
    path("takes/<int:pk>/review/withdraw/", review_withdraw, name="review_withdraw"),
]
