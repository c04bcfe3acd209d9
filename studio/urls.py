from django.urls import include, path

urlpatterns = [
    path("accounts/", include("allauth.urls")),
    path("", include("studio.pages")),
    path("", include("repertoire.urls")),
    path("", include("recordings.urls")),
]
