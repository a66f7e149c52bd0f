from django.urls import path

from jobs.intake import views, views_questions, views_same

app_name = "intake"
urlpatterns = [
    path("", views.requests_list, name="list"),
    path("new/", views.new, name="new"),
    path("new/<str:household>/", views.new, name="new-of"),
    path("alike/", views_same.alike, name="alike"),
    path("merged/<int:pk>/", views_same.merged, name="merged"),
    path("<str:code>/", views.one_request, name="request"),
    path("<str:code>/questions/", views_questions.questions, name="questions"),
    path("<str:code>/same/<str:household>/", views_same.same, name="same"),
]
