from django.urls import path

from fund.rulebook import views

app_name = "rulebook"
urlpatterns = [
    path("", views.rules, name="rules"),
    path("<slug:name>/", views.rule, name="rule"),
]
