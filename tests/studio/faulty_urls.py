from django.urls import path


def fault(request):
    raise RuntimeError("planted")


urlpatterns = [path("", fault)]
