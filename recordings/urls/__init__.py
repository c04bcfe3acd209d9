from recordings.urls import reviews, standing, takes

urlpatterns = [*standing.urlpatterns, *takes.urlpatterns, *reviews.urlpatterns]
