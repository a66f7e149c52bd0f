from django.urls import path

from fund.trail import views

app_name = "trail"
urlpatterns = [path("", views.lines, name="lines")]
