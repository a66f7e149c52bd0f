from django.urls import path

from jobs.eligibility import views, views_file, views_second

app_name = "eligibility"
urlpatterns = [
    path("income-tables/", views.tables, name="tables"),
    path("income-tables/load/", views_file.load_tables, name="load-tables"),
    path("help-given/", views_file.files, name="files"),
    path("help-given/<str:number>/", views_file.file, name="file"),
    path("related-parties/", views_file.related, name="related"),
    path("decisions/<int:pk>/", views.decision, name="decision"),
    path("decisions/<int:pk>/letter/", views_second.letter, name="letter"),
    path("decisions/<int:pk>/letter-file/", views_second.letter_file, name="letter-file"),
    path("exceptions/<int:pk>/", views_second.answer, name="exception"),
    path("<str:code>/decide/", views.decide_request, name="decide"),
    path("<str:code>/exception/", views_second.ask, name="exception-ask"),
    path("<str:code>/second-look/", views_second.second_look, name="second-look"),
    path("<str:code>/worksheet/", views.worksheet, name="worksheet"),
]
