from django.urls import path

from reports.position import views

app_name = "position"
urlpatterns = [
    path("", views.today, name="today"),
    path("find/", views.find, name="find"),
    path("books/verify/", views.verify, name="verify"),
    path("patterns/", views.patterns, name="patterns"),
]
