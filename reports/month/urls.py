from django.urls import path, re_path

from reports.month import views

app_name = "month"
KEY = r"(?P<key>\d{4}-\d{2})"
urlpatterns = [
    path("", views.month_list, name="months"),
    re_path(rf"^{KEY}/$", views.month, name="month"),
    re_path(rf"^{KEY}/close/$", views.close, name="close"),
    re_path(rf"^{KEY}/publish/$", views.publish, name="publish"),
    re_path(rf"^{KEY}/repairs/(?P<number>[\w-]{{1,20}})/words/$", views.word, name="word"),
    re_path(rf"^{KEY}/files\.zip$", views.bundle, name="bundle"),
]
