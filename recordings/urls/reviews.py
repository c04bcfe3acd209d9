from django.urls import path

from recordings.views.review import review
from recordings.views.review_queue import review_queue
from recordings.views.review_release import review_release, review_withdraw
from recordings.views.review_save import review_save

urlpatterns = [
    path("reviews/", review_queue, name="review_queue"),
    path("takes/<int:pk>/review/", review, name="review"),
    path("takes/<int:pk>/review/save/", review_save, name="review_save"),
    path("takes/<int:pk>/review/release/", review_release, name="review_release"),
    path("takes/<int:pk>/review/withdraw/", review_withdraw, name="review_withdraw"),
]
