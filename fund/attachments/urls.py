from django.urls import path

from fund.attachments import views

app_name = "attachments"
urlpatterns = [path("<str:code>/", views.file, name="file")]
