from django.urls import path

from reports.workbook import views

app_name = "workbook"
urlpatterns = [path("", views.take_out, name="take-out")]
