from django.urls import path, re_path

from reports.public import views

app_name = "public"
urlpatterns = [
    path("", views.latest, name="latest"),
    path("months/", views.months, name="months"),
    re_path(r"^months/(?P<key>\d{4}-\d{2})/$", views.month, name="month"),
    re_path(r"^months/(?P<key>\d{4}-\d{2})/(?P<name>[\w./-]{1,60})$", views.month_file, name="file"),
    path("how-it-works/", views.how_it_works, name="how-it-works"),
    path("ask-for-help/", views.ask_for_help, {"language": "en"}, name="ask-for-help"),
    path("ask-for-help/es/", views.ask_for_help, {"language": "es"}, name="ask-for-help-es"),
    path("verify/", views.verify, name="verify"),
]
