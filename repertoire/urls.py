from django.urls import path

from repertoire.views.bar_note_edit import bar_note_add, bar_note_edit, bar_note_remove
from repertoire.views.excerpt_add import excerpt_add
from repertoire.views.excerpt_confirm import excerpt_confirm
from repertoire.views.excerpt_edit import excerpt_edit
from repertoire.views.excerpt_list import excerpt_list
from repertoire.views.excerpt_musicxml import excerpt_musicxml
from repertoire.views.excerpt_pages import excerpt_page, excerpt_page_remove, excerpt_pages
from repertoire.views.excerpt_print import excerpt_print
from repertoire.views.excerpt_remove import excerpt_remove
from repertoire.views.excerpt_svg import excerpt_svg
from repertoire.views.excerpt_times import excerpt_times
from repertoire.views.fingering import (
    fingering,
    fingering_hide,
    fingering_lock,
    fingering_show,
    fingering_svg,
)
from repertoire.views.rubric_add import rubric_add
from repertoire.views.rubric_detail import rubric_detail
from repertoire.views.rubric_edit import rubric_edit
from repertoire.views.rubric_list import rubric_list
from repertoire.views.scale_add import scale_add
from repertoire.views.scale_set_add import scale_set_add
from repertoire.views.sharing import excerpt_import, excerpt_share

urlpatterns = [
    path("music/", excerpt_list, name="excerpt_list"),
    path("music/new/", excerpt_add, name="excerpt_add"),
    path("music/scales/new/", scale_add, name="scale_add"),
    path("music/scales/set/", scale_set_add, name="scale_set_add"),
    path("music/<int:pk>/edit/", excerpt_edit, name="excerpt_edit"),
    path("music/<int:pk>/pages/", excerpt_pages, name="excerpt_pages"),
    path("music/<int:pk>/pages/<int:page>/", excerpt_page, name="excerpt_page"),
    path("music/<int:pk>/pages/<int:page>/remove/", excerpt_page_remove, name="excerpt_page_remove"),
    path("music/<int:pk>/remove/", excerpt_remove, name="excerpt_remove"),
    path("music/<int:pk>/confirm-order/", excerpt_confirm, name="excerpt_confirm"),
    path("music/<int:pk>/score.svg", excerpt_svg, name="excerpt_svg"),
    path("music/<int:pk>/print.pdf", excerpt_print, name="excerpt_print"),
    path("music/<int:pk>/score.musicxml", excerpt_musicxml, name="excerpt_musicxml"),
    path("music/<int:pk>/notes/new/", bar_note_add, name="bar_note_add"),
    path("music/notes/<int:pk>/edit/", bar_note_edit, name="bar_note_edit"),
    path("music/notes/<int:pk>/remove/", bar_note_remove, name="bar_note_remove"),
    path("music/<int:pk>/times.json", excerpt_times, name="excerpt_times"),
    path("music/<int:pk>/share/", excerpt_share, name="excerpt_share"),
    path("music/import/", excerpt_import, name="excerpt_import"),
    path("music/<int:pk>/fingering/", fingering, name="fingering"),
    path("music/<int:pk>/fingering/score.svg", fingering_svg, name="fingering_svg"),
    path("music/<int:pk>/fingering/show/", fingering_show, name="fingering_show"),
    path("music/<int:pk>/fingering/hide/", fingering_hide, name="fingering_hide"),
    path("music/<int:pk>/fingering/choose/", fingering_lock, name="fingering_lock"),
    path("marking-forms/", rubric_list, name="rubric_list"),
    path("marking-forms/new/", rubric_add, name="rubric_add"),
    path("marking-forms/<int:pk>/", rubric_detail, name="rubric_detail"),
    path("marking-forms/<int:pk>/edit/", rubric_edit, name="rubric_edit"),
]
