from django.urls import path

from studio.views.access_ending import (
    account_close,
    account_open,
    guardianship_end,
    role_end,
    second_factor_end,
)
from studio.views.account import account, account_notices
from studio.views.auditions import audition_add, audition_detail, audition_edit
from studio.views.calendar import account_calendar, account_calendar_end, calendar_feed
from studio.views.clinics import (
    clinic_accept,
    clinic_add,
    clinic_decline,
    clinic_detail,
    clinic_edit,
    clinic_hand_out,
    clinic_list,
    clinic_paper,
    clinic_remove,
)
from studio.views.components import components
from studio.views.consent import consent, consent_withdraw
from studio.views.consent_receipt import consent_receipt
from studio.views.content_reports import content_reports
from studio.views.deletion import deletion_ask, deletion_decline, deletion_take_back
from studio.views.entries import entry_add, entry_remove
from studio.views.events import event_export, event_list
from studio.views.excerpt_correct import excerpt_correct
from studio.views.handovers import handover_add, handover_end, handover_list
from studio.views.home import home
from studio.views.invitation import invitation
from studio.views.more_time import more_time, more_time_end
from studio.views.offline import app_manifest, offline_files, offline_page, offline_worker
from studio.views.people import invitation_withdraw, invite, people
from studio.views.questions import question_add, question_detail, question_list, question_remove
from studio.views.requirement_copy import requirement_copy
from studio.views.requirements import requirement_add, requirement_edit, requirement_remove
from studio.views.requirements_many import requirement_add_many
from studio.views.seasons import season_add, season_detail, season_edit, season_list
from studio.views.sending_rules import sending_rules, sending_rules_file, sending_rules_read
from studio.views.sign_ins import sign_in_end, sign_ins
from studio.views.student_import import student_export, student_import
from studio.views.students import student_add, student_edit, student_invite, student_list
from studio.views.studio_edit import studio_edit

urlpatterns = [
    path("", home, name="home"),
    path("worker.js", offline_worker, name="offline_worker"),
    path("app.webmanifest", app_manifest, name="app_manifest"),
    path("offline/", offline_page, name="offline_page"),
    path("offline/files.json", offline_files, name="offline_files"),
    path("account/", account, name="account"),
    path("account/sign-ins/", sign_ins, name="sign_ins"),
    path("account/sign-ins/end/", sign_in_end, name="sign_in_end"),
    path("account/mail/", account_notices, name="account_notices"),
    path("account/calendar/", account_calendar, name="account_calendar"),
    path("account/calendar/end/", account_calendar_end, name="account_calendar_end"),
    path("calendar/<str:secret>.ics", calendar_feed, name="calendar_feed"),
    path("content-reports/", content_reports, name="content_reports"),
    path("components/", components, name="components"),
    path("studio/", studio_edit, name="studio_edit"),
    path("seasons/", season_list, name="season_list"),
    path("seasons/new/", season_add, name="season_add"),
    path("seasons/<int:pk>/", season_detail, name="season_detail"),
    path("seasons/<int:pk>/edit/", season_edit, name="season_edit"),
    path("seasons/<int:pk>/auditions/new/", audition_add, name="audition_add"),
    path("auditions/<int:pk>/", audition_detail, name="audition_detail"),
    path("auditions/<int:pk>/edit/", audition_edit, name="audition_edit"),
    path("auditions/<int:pk>/sending-rules/", sending_rules, name="sending_rules"),
    path("auditions/<int:pk>/sending-rules/file/", sending_rules_file, name="sending_rules_file"),
    path("auditions/<int:pk>/sending-rules/read/", sending_rules_read, name="sending_rules_read"),
    path("auditions/<int:pk>/requirements/new/", requirement_add, name="requirement_add"),
    path("auditions/<int:pk>/requirements/copy/", requirement_copy, name="requirement_copy"),
    path("auditions/<int:pk>/requirements/many/", requirement_add_many, name="requirement_add_many"),
    path("auditions/<int:pk>/entries/new/", entry_add, name="entry_add"),
    path("auditions/<int:pk>/more-time/", more_time, name="more_time"),
    path("entries/<int:pk>/more-time/end/", more_time_end, name="more_time_end"),
    path("requirements/<int:pk>/edit/", requirement_edit, name="requirement_edit"),
    path("requirements/<int:pk>/remove/", requirement_remove, name="requirement_remove"),
    path("entries/<int:pk>/remove/", entry_remove, name="entry_remove"),
    path("students/", student_list, name="student_list"),
    path("students/new/", student_add, name="student_add"),
    path("students/import/", student_import, name="student_import"),
    path("students/export.csv", student_export, name="student_export"),
    path("students/<int:pk>/edit/", student_edit, name="student_edit"),
    path("students/<int:pk>/invite/", student_invite, name="student_invite"),
    path("students/<int:pk>/consent/", consent, name="consent"),
    path("students/<int:pk>/consent/withdraw/", consent_withdraw, name="consent_withdraw"),
    path("students/<int:pk>/agreements/<int:consent_id>/", consent_receipt, name="consent_receipt"),
    path("students/<int:pk>/deletion/", deletion_ask, name="deletion_ask"),
    path("students/<int:pk>/deletion/take-back/", deletion_take_back, name="deletion_take_back"),
    path("students/<int:pk>/deletion/decline/", deletion_decline, name="deletion_decline"),
    path("students/guardians/<int:pk>/end/", guardianship_end, name="guardianship_end"),
    path("people/", people, name="people"),
    path("people/events/", event_list, name="event_list"),
    path("people/events.csv", event_export, name="event_export"),
    path("people/<int:pk>/close/", account_close, name="account_close"),
    path("people/<int:pk>/open/", account_open, name="account_open"),
    path("people/<int:pk>/second-factor/end/", second_factor_end, name="second_factor_end"),
    path("people/roles/<int:pk>/end/", role_end, name="role_end"),
    path("people/invite/", invite, name="invite"),
    path("people/invitations/<int:pk>/withdraw/", invitation_withdraw, name="invitation_withdraw"),
    path("invitation/<str:token>/", invitation, name="invitation"),
    path("music/<int:pk>/correct/", excerpt_correct, name="excerpt_correct"),
    path("music/<int:pk>/questions/new/", question_add, name="question_add"),
    path("handovers/", handover_list, name="handover_list"),
    path("handovers/new/", handover_add, name="handover_add"),
    path("handovers/<int:pk>/end/", handover_end, name="handover_end"),
    path("questions/", question_list, name="question_list"),
    path("questions/<int:pk>/", question_detail, name="question_detail"),
    path("questions/<int:pk>/remove/", question_remove, name="question_remove"),
    path("clinics/", clinic_list, name="clinic_list"),
    path("clinics/new/", clinic_add, name="clinic_add"),
    path("clinics/<int:pk>/", clinic_detail, name="clinic_detail"),
    path("clinics/<int:pk>/students/<int:student_id>/accept/", clinic_accept, name="clinic_accept"),
    path("clinics/<int:pk>/students/<int:student_id>/decline/", clinic_decline, name="clinic_decline"),
    path("clinics/<int:pk>/edit/", clinic_edit, name="clinic_edit"),
    path("clinics/<int:pk>/remove/", clinic_remove, name="clinic_remove"),
    path("clinics/<int:pk>/hand-out/", clinic_hand_out, name="clinic_hand_out"),
    path("clinics/<int:pk>/hand-out.pdf", clinic_paper, name="clinic_paper"),
]
